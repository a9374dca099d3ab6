"""Reminders: planned, sent, closed, fewer or more, paused, and what silence brings."""
