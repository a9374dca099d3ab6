"""Which families a therapist sees, finds and may change, and when they want quiet."""
