"""What every repository is: the rows of one noun, read and written in one transaction."""

from __future__ import annotations

from sqlalchemy import Connection


class Repository:
    """Verbs over the rows of one noun, in the transaction of its unit of work."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
