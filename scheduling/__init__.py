"""When and what: the pure planning of a family's day."""
