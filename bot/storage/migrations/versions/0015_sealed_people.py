"""Names, birth dates, sides, chats, topics and all else that is told of people, sealed"""

import re
from collections.abc import Iterator

import sqlalchemy as sa
from alembic import op

from bot.storage.encryption import Encryption
from bot.storage.lookup import Lookup, new_lookup_key

revision = "0015"
down_revision = "0014"

# text: sealed as it is. json: its text, and none where it says null. chat, word: so that it can be looked up.
SEALED = {
    "clinics": {"name": "text", "emergency_line": "text", "nurse_line": "text", "crisis_line": "text"},
    "therapists": {"chat_id": "chat", "name": "text"},
    "families": {
        "nickname": "text",
        "time_zone": "text",
        "home_zone": "text",
        "shape_draft": "json",
        "reminder_hours": "json",
        "emergency_line": "text",
        "nurse_line": "text",
        "crisis_line": "text",
        "loaded": "text",
    },
    "carers": {"chat_id": "chat", "name": "text"},
    "chats": {"chat_id": "chat", "step": "text"},
    "plans": {"document": "json"},
    "plan_drafts": {"document": "json"},
    "reminders": {"side": "text", "because": "json", "reason": "text"},
    "materials": {"file_id": "text"},
    "messages": {"chat_id": "chat", "file_id": "text"},
    "sessions": {"side": "text"},
    "observations": {"kind": "word", "side": "text"},
    "skips": {"reason": "word"},
    "concerns": {"topics": "json", "advice": "text"},
    "answers": {"chat_id": "chat"},
    "suggestions": {"suggestion": "json"},
    "audit": {"detail": "text"},
    "inbox": {"chat_id": "chat", "error": "text"},
    "outbox": {"chat_id": "chat", "file_id": "text"},
}
AT_ONCE = 500  # rows


def upgrade() -> None:
    bind = op.get_bind()
    encryption: Encryption = bind.dialect.encryption  # type: ignore[attr-defined]
    lookup = Lookup(key := new_lookup_key())
    made = op.create_table(
        "lookup_keys",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("sealed", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lookup_keys")),
    )
    bind.execute(made.insert().values(id=1, sealed=encryption.seal_bytes(key)))
    for table, columns in SEALED.items():
        if bind.dialect.name == "sqlite":
            _bytes_on_sqlite(bind, table, list(columns))
        else:
            if table == "chats":  # the first release numbered chats by itself, which nobody ever used
                bind.exec_driver_sql("ALTER TABLE chats ALTER COLUMN chat_id DROP DEFAULT")
                bind.exec_driver_sql("DROP SEQUENCE IF EXISTS chats_chat_id_seq")
            changes = (
                f"ALTER COLUMN {name} TYPE BYTEA USING convert_to({name}::text, 'UTF8')" for name in columns
            )
            bind.execute(sa.text(f"ALTER TABLE {table} {', '.join(changes)}"))
        for name, kind in columns.items():
            _seal(bind, table, name, kind, encryption, lookup)


def _bytes_on_sqlite(bind: sa.Connection, table: str, columns: list[str]) -> None:
    """Make a table anew with columns of bytes; SQLite changes no column's type in place."""
    of_table = sa.text(
        "SELECT sql FROM sqlite_master WHERE type = :kind AND tbl_name = :name AND sql IS NOT NULL"
    )
    made = bind.execute(of_table, {"kind": "table", "name": table}).scalar_one()
    indexes = bind.scalars(of_table, {"kind": "index", "name": table}).all()
    for name in columns:
        made, n = re.subn(rf'([(,]\s*"?{name}"?\s+)(?:VARCHAR\(\d+\)|BIGINT|JSON)', r"\1BLOB", made)
        if n != 1:
            raise AssertionError(f"{table}.{name} stands in its table once")
    made, _ = re.subn(rf'^CREATE TABLE "?{table}"?', f"CREATE TABLE new_{table}", made)
    order = ", ".join(f'"{row[1]}"' for row in bind.exec_driver_sql(f"PRAGMA table_info({table})"))
    bind.exec_driver_sql(made)
    bind.exec_driver_sql(f"INSERT INTO new_{table} ({order}) SELECT {order} FROM {table}")
    bind.exec_driver_sql(f"DROP TABLE {table}")
    bind.exec_driver_sql(f"ALTER TABLE new_{table} RENAME TO {table}")
    for index in indexes:
        bind.exec_driver_sql(index)


def _seal(
    bind: sa.Connection, table: str, name: str, kind: str, encryption: Encryption, lookup: Lookup
) -> None:
    own = sa.inspect(bind).get_pk_constraint(table)["constrained_columns"]
    here = " AND ".join(f"{column} = :key{number}" for number, column in enumerate(own))
    change = sa.text(f"UPDATE {table} SET {name} = :sealed WHERE {here}").bindparams(
        sa.bindparam("sealed", type_=sa.LargeBinary())
    )
    for rows in _plain(bind, table, name, own):
        values = []
        for *key, plain in rows:
            text = plain.decode() if isinstance(plain, bytes) else str(plain)
            match kind:
                case "chat":
                    sealed: bytes | None = lookup.seal_chat(int(text))
                case "word":
                    sealed = lookup.seal_word(text)
                case "json" if text == "null":
                    sealed = None
                case _:
                    sealed = encryption.seal(text)
            values.append({"sealed": sealed, **{f"key{number}": each for number, each in enumerate(key)}})
        bind.execute(change, values)


def _plain(bind: sa.Connection, table: str, name: str, own: list[str]) -> Iterator[list[tuple[object, ...]]]:
    """Read all first: what is changed below must not be met again."""
    rows = bind.exec_driver_sql(
        f"SELECT {', '.join(own)}, {name} FROM {table} WHERE {name} IS NOT NULL"
    ).all()
    for first in range(0, len(rows), AT_ONCE):
        yield [tuple(row) for row in rows[first : first + AT_ONCE]]
