"""What a carer can do, one module each."""
