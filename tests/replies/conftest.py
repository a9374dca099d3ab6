"""What all tests of reading share."""

from __future__ import annotations

import pytest

from tests.replies.said import read


@pytest.fixture(scope="session", autouse=True)
def vocabulary() -> None:
    """Load the vocabulary once, so that no test's own time holds it."""
    read("10")
