"""How the database changes from release to release."""
