"""Statements that every reply asks for, built once, and handed to the database's driver without a detour.

SQLite answers within the process in some microseconds, PostgreSQL in a hundred, where SQLAlchemy's own work around a statement is
some fifty to two hundred. So a statement is compiled once a database, with the types of its parameters and columns, and then runs
on the driver's connection, in the transaction that SQLAlchemy opened. Where somebody listens to the statements, SQLAlchemy does it
all. What the driver raises is then its own error. PostgreSQL is told of a statement's plan once (psycopg prepares what comes again).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeAlias, cast

from sqlalchemy import Connection, Delete, Dialect, Insert, Select, Update
from sqlalchemy.sql.compiler import ExpandedState
from sqlalchemy.types import TypeEngine

from bot.storage.direct import Direct, Processor
from bot.storage.rows import AnyRow, FoundRow, new_id, row_kind

Statement: TypeAlias = Select[Any] | Insert | Update | Delete

_NAMED = re.compile(r"%\((.+?)\)s")  # a parameter as psycopg's dialect writes it


_DOUBLE = 701  # PostgreSQL's number of the type of every number that is not whole


class Answer(Protocol):
    """What a driver found or did."""

    @property
    def rowcount(self) -> int: ...

    def fetchall(self) -> list[tuple[Any, ...]]: ...


class Driver(Protocol):
    """A connection of sqlite3 or psycopg, as far as statements need it."""

    def execute(self, sql: str, values: Sequence[object] = (), /) -> Answer: ...


@dataclass(frozen=True, slots=True)
class Form:
    """A statement compiled for one database.

    places: a value for each place, filled in where the statement itself has one. parameters: of each other place which it is, the
    name, and how a value is stored. lists: of each parameter that is a list the names of its values.
    columns: of each column that needs it, where it stands and how what is not null is read. kind: the class of its rows.
    """

    sql: str
    places: tuple[object, ...]
    parameters: tuple[tuple[int, str, Processor | None], ...]
    lists: Mapping[str, Sequence[str]]
    columns: tuple[tuple[int, Processor], ...]
    kind: type[FoundRow]

    def arguments(self, given: Mapping[str, object]) -> list[object]:
        if self.lists:
            given = dict(given)
            for name, names in self.lists.items():
                given.update(zip(names, cast("Sequence[object]", given[name]), strict=True))
        values = list(self.places)
        for place, name, store in self.parameters:
            values[place] = given[name] if store is None else store(given[name])
        return values

    def read(self, found: list[tuple[Any, ...]]) -> list[AnyRow]:
        kind, columns = self.kind, self.columns
        if not columns:
            return cast("list[AnyRow]", list(map(kind._make, found)))
        rows = []
        for each in found:
            values = list(each)
            for place, opened in columns:
                if values[place] is not None:
                    values[place] = opened(values[place])
            rows.append(kind._make(values))
        return cast("list[AnyRow]", rows)


class Prepared:
    """A statement with named parameters. For an update or insert the names given tell what is set.

    lists: the parameters that are lists (expanding ones); of each length that comes a form is kept.
    """

    def __init__(self, statement: Statement, *, lists: Sequence[str] = ()) -> None:
        self.statement, self._lists = statement, lists

    def all(self, conn: Connection, given: Mapping[str, object]) -> Sequence[AnyRow]:
        driver = driver_of(conn)
        if driver is None:
            return conn.execute(self.statement, dict(given)).all()
        form = self.form(conn.dialect, given)
        found = driver.execute(form.sql, form.arguments(given)).fetchall()
        return form.read(found) if found else []

    def first(self, conn: Connection, given: Mapping[str, object]) -> AnyRow | None:
        rows = self.all(conn, given)
        return rows[0] if rows else None

    def change(self, conn: Connection, given: Mapping[str, object]) -> int:
        """Return how many rows were changed."""
        driver = driver_of(conn)
        if driver is None:
            return int(conn.execute(self.statement, dict(given)).rowcount)
        form = self.form(conn.dialect, given)
        return driver.execute(form.sql, form.arguments(given)).rowcount

    def insert(self, conn: Connection, given: Mapping[str, object]) -> int:
        """Return the number that the database gave the new row."""
        driver = driver_of(conn)
        if driver is None:
            return new_id(conn.execute(self.statement, dict(given)))
        form = self.form(conn.dialect, given)
        answer = driver.execute(form.sql, form.arguments(given))
        if conn.dialect.name == "sqlite":
            return int(cast(Any, answer).lastrowid)
        return int(answer.fetchall()[0][0])  # its dialect adds the number to what an insert returns

    def form(self, dialect: Dialect, given: Mapping[str, object]) -> Form:
        """Return the statement as it is compiled for a database, with the parameters that are given."""
        # Each engine has a dialect of its own; what was compiled for it goes with it.
        forms: dict[tuple[object, ...], Form] | None = getattr(dialect, "prepared_forms", None)
        if forms is None:
            forms = dialect.prepared_forms = {}  # type: ignore[attr-defined]
        key: tuple[object, ...] = (self, *given)
        if self._lists:
            key += tuple(len(cast("Sequence[object]", given[name])) for name in self._lists)
        form = forms.get(key)
        if form is None:
            form = forms[key] = _compiled(self.statement, dialect, given, self._lists)
        return form


def driver_of(conn: Connection) -> Driver | None:
    """Return the driver's own connection; None where somebody listens to the statements."""
    if conn.engine.dispatch.before_cursor_execute:
        return None
    return cast(Driver, conn.connection.driver_connection)


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
    types = {name: bind.type for name, bind in compiled.binds.items()} | {
        each: compiled.binds[name].type
        for name, names in expanded.parameter_expansion.items()
        for each in names
    }
    varying = {*given, *(each for names in values_of.values() for each in names)}
    fixed = {name: value for name, value in expanded.parameters.items() if name not in varying}
    stores = {name: _store_of(types[name], dialect) for name in expanded.parameters}
    written, places, parameters = _filled_in(*_pieces(expanded, dialect), fixed, stores)
    columns = list(statement.exported_columns)
    readers = [_reader_of(column.type, dialect) for column in columns]
    return Form(
        sql=written,
        places=places,
        parameters=parameters,
        lists=values_of,
        columns=tuple((place, reader) for place, reader in enumerate(readers) if reader is not None),
        kind=row_kind(tuple(str(column.key) for column in columns)),
    )


def _pieces(expanded: ExpandedState, dialect: Dialect) -> tuple[Sequence[str], Sequence[str], str]:
    """Return the SQL between the parameters, the parameters' names in order, and how the driver marks a place."""
    if dialect.name == "sqlite":
        pieces, names, mark = expanded.statement.split("?"), list(expanded.positiontup or ()), "?"
    else:
        parts = _NAMED.split(expanded.statement)
        pieces, names, mark = parts[::2], parts[1::2], "%s"
    if len(pieces) != len(names) + 1:
        raise AssertionError("a question mark stands in a statement itself; give it as a parameter")
    return pieces, names, mark


def _filled_in(
    pieces: Sequence[str],
    names: Sequence[str],
    mark: str,
    fixed: Mapping[str, object],
    stores: Mapping[str, Processor | None],
) -> tuple[str, tuple[object, ...], tuple[tuple[int, str, Processor | None], ...]]:
    """Return the SQL with words and whole numbers of the statement itself written into it, and what `Form` tells of the rest.

    Both databases choose a partial index by what is compared with. Where that is a parameter, SQLite plans the statement anew at
    every run (its manual of sqlite3_prepare_v2 tells of such parameters), which costs more than most statements themselves, and
    PostgreSQL's plan for all values (its manual of PREPARE) cannot use the index.
    """
    written, places = pieces[0], list[object]()
    parameters: list[tuple[int, str, Processor | None]] = []
    for name, after in zip(names, pieces[1:], strict=True):
        store, shown = stores[name], mark
        if name not in fixed:
            parameters.append((len(places), name, store))
            places.append(None)
        else:
            value = fixed[name]
            value = value if store is None else store(value)
            shown = _literal(value, mark)
            if shown == mark:
                places.append(value)
        written += shown + after
    return written, tuple(places), tuple(parameters)


def _literal(value: object, mark: str) -> str:
    """Return a word or a whole number as SQL has it; the mark of a parameter for anything else."""
    if isinstance(value, bool) and mark == "%s":
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return str(int(value))
    if not isinstance(value, str):
        return mark
    quoted = "'" + value.replace("'", "''") + "'"
    return quoted if mark == "?" else quoted.replace("%", "%%")


def _store_of(kind: TypeEngine[Any], dialect: Dialect) -> Processor | None:
    """Return how a value of a type is stored: the shorter way where the type knows one for SQLite."""
    if isinstance(kind, Direct) and dialect.name == "sqlite":
        return kind.stored_directly(dialect)
    return kind.dialect_impl(dialect).bind_processor(dialect)


def _reader_of(kind: TypeEngine[Any], dialect: Dialect) -> Processor | None:
    if isinstance(kind, Direct) and dialect.name == "sqlite":
        return kind.read_directly(dialect)
    return kind.dialect_impl(dialect).result_processor(dialect, _DOUBLE)
