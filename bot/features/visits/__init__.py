"""Visits, scale scores, handouts."""
