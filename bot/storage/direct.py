"""Types of columns that know a short way to what SQLite holds, for the statements that run on its driver (prepared.py)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy import Dialect

Processor = Callable[[Any], Any]


class Direct:
    """What SQLAlchemy does with such a type in several steps, in one; the same values come of it (storage/test_prepared.py)."""

    def stored_directly(self, dialect: Dialect) -> Processor:
        """Return what gives the value that SQLite keeps, and None for None."""
        raise NotImplementedError

    def read_directly(self, dialect: Dialect) -> Processor:
        """Return what gives the value again; it is asked for what is not null alone."""
        raise NotImplementedError
