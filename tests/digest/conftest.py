"""No example is timed: how long one takes depends on the machine's other work."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
