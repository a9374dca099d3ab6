"""Facts of many rows at once: what a digest, a family's copy or an export is made from."""
