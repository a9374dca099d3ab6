"""The activity library: one data file an activity, and the refresher cards made of it."""
