"""From text to values: what every reader of messages shares. Knows nothing of the rest of the bot."""
