"""Whose words these are and which feature they go to."""
