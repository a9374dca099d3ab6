"""A hold explained again, with the therapist's own material first."""
