"""A plan lived by invented families before a baby gets it: what is asked, what it came to, and how that is drawn.

Who lives the weeks is not here: that takes a messaging service to talk with, and the program knows none but the real one. Whoever
brings one is found by entry point (living.py).
"""
