"""Tests of the notation of wordings."""
