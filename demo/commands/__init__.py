"""The commands that play on the local messaging server; added to `underwing` by an entry point."""
