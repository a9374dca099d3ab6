"""A plan as a therapist edits, checks, previews and publishes it, and as a family hears of it."""
