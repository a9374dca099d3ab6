"""Tests of what every reader of messages shares."""
