"""A learned reader of concerns beside the rules: it asks, and never raises an alarm alone."""
