"""What reading and writing a row tells."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from functools import cache
from operator import itemgetter
from typing import Any, ClassVar, TypeAlias, TypeVar

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


class FoundRow(tuple[Any, ...]):
    """A row that SQLite's driver gave, for those who read a row of SQLAlchemy's: its values by place and by name."""

    __slots__ = ()
    _fields: ClassVar[tuple[str, ...]] = ()

    @classmethod
    def _make(cls, values: Iterable[object]) -> FoundRow:
        return cls(values)

    @property
    def _mapping(self) -> dict[str, Any]:
        return dict(zip(self._fields, self, strict=True))


@cache
def row_kind(names: tuple[str, ...]) -> type[FoundRow]:
    """Return the class of rows with these columns."""
    places = {name: property(itemgetter(place)) for place, name in enumerate(names)}
    return type("FoundRow", (FoundRow,), {**places, "__slots__": (), "_fields": names})


def value_of(kind: type[Found], row: AnyRow, **given: object) -> Found:
    """Return a row as a frozen value: each field from the column of that name, or as given. Raises KeyError for none."""
    names, places = _laid_out(kind, row._fields, tuple(given))  # type: ignore[arg-type]
    return kind(**dict(zip(names, map(row.__getitem__, places), strict=True)), **given)


@cache
def _laid_out(
    kind: type[Any], columns: tuple[str, ...], given: tuple[str, ...]
) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Return the fields that a row gives, and the place of each in it."""
    at = {name: place for place, name in enumerate(columns)}
    names = tuple(each.name for each in fields(kind) if each.name not in given)
    return names, tuple(at[name] for name in names)
