"""The bot: what families and therapists talk to."""
