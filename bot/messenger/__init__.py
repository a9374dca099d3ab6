"""The edge to the messaging service: inbox, outbox, limits."""
