"""A therapist's line about a plan, read into edits of it."""
