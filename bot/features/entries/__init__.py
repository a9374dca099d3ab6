"""What carers did: recorded, asked about where unclear, corrected, taken back."""
