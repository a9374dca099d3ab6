"""What reading and writing a row tells."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from typing import Any, TypeAlias, TypeVar

from sqlalchemy import CursorResult, Row

Found = TypeVar("Found")
AnyRow: TypeAlias = Row[*tuple[Any, ...]]


class NotKept(LookupError):
    """A row that something else speaks of is not there: an error of ours, or it was erased meanwhile."""


def new_id(result: CursorResult[Any]) -> int:
    """Return the number that the database gave the inserted row."""
    key = result.inserted_primary_key
    if key is None:
        raise AssertionError("one row was inserted, so it has a key")
    return int(key[0])


def kept(found: Found | None, noun: str, key: object) -> Found:
    """Return what was found. Raises NotKept where there was nothing. noun, key: for its message."""
    if found is None:
        raise NotKept(f"no {noun} {key} is kept")
    return found


def value_of(kind: type[Found], row: AnyRow, **given: object) -> Found:
    """Return a row as a frozen value: each field from the column of that name, or as given. Raises KeyError for none."""
    named = row._mapping
    names = _names_of(kind)  # type: ignore[arg-type]
    return kind(**{name: given[name] if name in given else named[name] for name in names})


@cache
def _names_of(kind: type[Any]) -> tuple[str, ...]:
    return tuple(each.name for each in fields(kind))
