"""The therapist's week, a page a family, where a figure comes from, and the family's own week."""
