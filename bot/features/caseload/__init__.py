"""A therapist's families: browsed, covered for, handed over, discharged."""
