"""A family's day told and changed in words and taps."""
