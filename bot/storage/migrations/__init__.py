"""TODO bot/records/migrations."""
