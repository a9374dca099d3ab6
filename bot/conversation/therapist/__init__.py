"""What a therapist can do, one module each."""
