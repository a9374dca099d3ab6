"""Every statement that a database gets, for tests that count or compare them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Engine, event


@contextmanager
def statements(engine: Engine) -> Iterator[list[str]]:
    """Gather the statements that an engine hears meanwhile: all of them, since prepared ones then go through SQLAlchemy too."""
    heard: list[str] = []

    def note(_conn: Any, _cursor: Any, statement: str, *_: Any) -> None:
        heard.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield heard
    finally:
        event.remove(engine, "before_cursor_execute", note)
