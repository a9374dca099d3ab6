"""Statements that every reply asks for, built once, and on SQLite handed to its driver without a detour.

SQLite answers within the process in some microseconds, where SQLAlchemy's own work around a statement is some fifty. So a
statement is compiled once a database, with the types of its parameters and columns, and then runs on the driver's connection,
in the transaction that SQLAlchemy opened. On PostgreSQL, and where somebody listens to the statements, SQLAlchemy does it all.
What the driver raises is then SQLite's own error.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Delete, Dialect, Insert, Select, Update
from sqlalchemy.engine.result import IteratorResult, SimpleResultMetaData

from bot.storage.rows import AnyRow, new_id

Processor = Callable[[Any], Any]
Statement = Select[Any] | Insert | Update | Delete


@dataclass(frozen=True, slots=True)
class Form:
    """A statement compiled for one database.

    parameters: of each place the name and how a value is stored. constants: what stands in the statement itself, as stored.
    lists: of each parameter that is a list the names of its values.
    columns: of each column that needs it, where it stands and how it is read.
    """

    sql: str
    parameters: tuple[tuple[str, Processor | None], ...]
    constants: Mapping[str, object]
    lists: Mapping[str, Sequence[str]]
    columns: tuple[tuple[int, Processor], ...]
    described: SimpleResultMetaData

    def arguments(self, given: Mapping[str, object]) -> list[object]:
        constants = self.constants
        if self.lists:
            given = dict(given)
            for name, names in self.lists.items():
                given.update(zip(names, cast("Sequence[object]", given[name]), strict=True))
        return [
            constants[name] if name in constants else given[name] if store is None else store(given[name])
            for name, store in self.parameters
        ]

    def read(self, found: list[tuple[Any, ...]]) -> list[AnyRow]:
        if not found:
            return []
        rows = [list(each) for each in found]
        for place, opened in self.columns:
            for row in rows:
                row[place] = opened(row[place])
        return cast("list[AnyRow]", IteratorResult(self.described, iter(rows)).all())


class Prepared:
    """A statement with named parameters. For an update or insert the names given tell what is set.

    lists: the parameters that are lists (expanding ones); of each length that comes a form is kept.
    """

    def __init__(self, statement: Statement, *, lists: Sequence[str] = ()) -> None:
        self.statement, self._lists = statement, lists
        self._forms: WeakKeyDictionary[Dialect, dict[tuple[str | int, ...], Form]] = WeakKeyDictionary()

    def all(self, conn: Connection, given: Mapping[str, object]) -> Sequence[AnyRow]:
        driver = driver_of(conn)
        if driver is None:
            return conn.execute(self.statement, dict(given)).all()
        form = self._form(conn.dialect, given)
        return form.read(driver.execute(form.sql, form.arguments(given)).fetchall())

    def first(self, conn: Connection, given: Mapping[str, object]) -> AnyRow | None:
        rows = self.all(conn, given)
        return rows[0] if rows else None

    def change(self, conn: Connection, given: Mapping[str, object]) -> int:
        """Return how many rows were changed."""
        driver = driver_of(conn)
        if driver is None:
            return int(conn.execute(self.statement, dict(given)).rowcount)
        form = self._form(conn.dialect, given)
        return driver.execute(form.sql, form.arguments(given)).rowcount

    def insert(self, conn: Connection, given: Mapping[str, object]) -> int:
        """Return the number that the database gave the new row."""
        driver = driver_of(conn)
        if driver is None:
            return new_id(conn.execute(self.statement, dict(given)))
        form = self._form(conn.dialect, given)
        number = driver.execute(form.sql, form.arguments(given)).lastrowid
        if number is None:
            raise AssertionError("one row was inserted, so it has a number")
        return number

    def _form(self, dialect: Dialect, given: Mapping[str, object]) -> Form:
        forms = self._forms.get(dialect)
        if forms is None:
            forms = self._forms[dialect] = {}
        key: tuple[str | int, ...] = tuple(given)
        if self._lists:
            key += tuple(len(cast("Sequence[object]", given[name])) for name in self._lists)
        form = forms.get(key)
        if form is None:
            form = forms[key] = _compiled(self.statement, dialect, given, self._lists)
        return form


def driver_of(conn: Connection) -> sqlite3.Connection | None:
    """Return SQLite's own connection; None for another database, and where somebody listens to the statements."""
    if conn.dialect.name != "sqlite" or conn.engine.dispatch.before_cursor_execute:
        return None
    return cast(sqlite3.Connection, conn.connection.driver_connection)


def say(conn: Connection, sql: str) -> None:
    """Run a statement that takes nothing and returns nothing, such as a savepoint's."""
    driver = driver_of(conn)
    if driver is None:
        conn.exec_driver_sql(sql)
    else:
        driver.execute(sql)


def _compiled(
    statement: Statement, dialect: Dialect, given: Mapping[str, object], lists: Sequence[str]
) -> Form:
    compiled: Any = statement.compile(dialect=dialect, column_keys=list(given))
    expanded = compiled.construct_expanded_state(dict(given))
    values_of = {name: expanded.parameter_expansion[name] for name in lists}
    stores = {
        name: bind.type.dialect_impl(dialect).bind_processor(dialect) for name, bind in compiled.binds.items()
    } | dict(expanded.processors)
    in_order = tuple((name, stores.get(name)) for name in expanded.positiontup)
    varying = {*given, *(each for names in values_of.values() for each in names)}
    constants = {
        name: value if store is None else store(value)
        for name, store in in_order
        for value in [expanded.parameters[name]]
        if name not in varying
    }
    columns = list(statement.exported_columns)
    readers = [column.type.dialect_impl(dialect).result_processor(dialect, None) for column in columns]
    return Form(
        sql=expanded.statement,
        parameters=in_order,
        constants=constants,
        lists=values_of,
        columns=tuple((place, reader) for place, reader in enumerate(readers) if reader is not None),
        described=SimpleResultMetaData([str(column.key) for column in columns]),
    )
