"""The demo's page: three phones of one world, its clock, the baby's day, and what the program made of each message."""
