"""Signs of trouble in what carers write, and the fixed advice for each urgency."""
