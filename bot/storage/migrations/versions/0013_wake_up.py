"""PostgreSQL tells its listeners when something comes into inbox or outbox"""

from alembic import op

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    if op.get_bind().dialect.name != "postgresql":
        return  # SQLite has no such thing; there one process does everything
    op.execute(
        "CREATE FUNCTION underwing_wake_up() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN PERFORM pg_notify('underwing_' || TG_TABLE_NAME, ''); RETURN NULL; END $$"
    )
    for table in ("inbox", "outbox"):
        op.execute(
            f"CREATE TRIGGER wake_up AFTER INSERT ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION underwing_wake_up()"
        )
