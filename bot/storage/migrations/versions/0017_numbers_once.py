"""On SQLite too no number of an erased row is given again: buttons of old messages hold them"""

import re

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"


def upgrade() -> None:
    bind = op.get_bind()
    if bind.dialect.name != "sqlite":
        return  # a sequence never goes back
    made = sa.text("SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    for table, written in bind.execute(made).all():
        numbered = re.search(rf",\s*CONSTRAINT pk_{table} PRIMARY KEY \((id|seq)\)", written)
        if numbered and re.search(rf"\b{numbered[1]} INTEGER NOT NULL", written):
            _number_once(bind, table, written.replace(numbered[0], ""), numbered[1])


def _number_once(bind: sa.Connection, table: str, written: str, number: str) -> None:
    """Make a table anew whose numbers are counted apart from its rows; SQLite adds that to none in place."""
    of_table = sa.text(
        "SELECT sql FROM sqlite_master WHERE type = 'index' AND tbl_name = :name AND sql IS NOT NULL"
    )
    indexes = bind.scalars(of_table, {"name": table}).all()
    key = f"{number} INTEGER NOT NULL CONSTRAINT pk_{table} PRIMARY KEY AUTOINCREMENT"
    written = re.sub(rf"\b{number} INTEGER NOT NULL", key, written, count=1)
    written = re.sub(rf'^CREATE TABLE "?{table}"?', f"CREATE TABLE new_{table}", written)
    order = ", ".join(f'"{row[1]}"' for row in bind.exec_driver_sql(f"PRAGMA table_info({table})"))
    bind.exec_driver_sql(written)
    bind.exec_driver_sql(f"INSERT INTO new_{table} ({order}) SELECT {order} FROM {table}")
    bind.exec_driver_sql(f"DROP TABLE {table}")
    bind.exec_driver_sql(f"ALTER TABLE new_{table} RENAME TO {table}")
    for index in indexes:
        bind.exec_driver_sql(index)
