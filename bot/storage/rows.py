"""What inserting a row tells."""

from __future__ import annotations

from typing import Any

from sqlalchemy import CursorResult


def new_id(result: CursorResult[Any]) -> int:
    """Return the number that the database gave the inserted row."""
    key = result.inserted_primary_key
    if key is None:
        raise AssertionError("one row was inserted, so it has a key")
    return int(key[0])
