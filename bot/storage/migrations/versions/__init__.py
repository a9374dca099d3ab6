"""TODO bot/records/migrations/versions."""
