"""What every table is made of. Instants are UTC; what is told of people is sealed."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import cast

from sqlalchemy import BigInteger, DateTime, Dialect, Integer, MetaData, Table
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

from bot.storage.direct import Direct, Processor


class Instant(Direct, TypeDecorator[datetime]):
    """An aware UTC instant; SQLite would drop the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)

    def stored_directly(self, dialect: Dialect) -> Processor:
        def stored(value: datetime | None) -> str | None:
            if value is None:
                return None
            return value.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")

        return stored

    def read_directly(self, dialect: Dialect) -> Processor:
        return lambda text: datetime.fromisoformat(text).replace(tzinfo=UTC)


# SQLite numbers rows by itself only in an INTEGER primary key.
RowId = BigInteger().with_variant(Integer, "sqlite")


class Base(DeclarativeBase):
    """The tables' common ground: one set of names for keys and indexes."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


def table_of(declared: type[Base]) -> Table:
    """Return the table of a declared class, for queries."""
    return cast(Table, declared.__table__)
