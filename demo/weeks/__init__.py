"""Weeks of invented families under a real plan, on the real program: what a plan would be like before a baby gets it."""
