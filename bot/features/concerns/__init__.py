"""A concern from alert to resolution."""
