"""Tests of reading replies."""
