"""What a person can do with the bot, one module each."""
