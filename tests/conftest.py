"""Databases for tests: a real SQLite file, and a real PostgreSQL where the machine has one."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import psycopg
import pytest
from cryptography.fernet import Fernet
from hypothesis import settings
from psycopg import sql

from bot.storage import migrate
from bot.storage.encryption import Encryption
from bot.storage.store import Store

# The same examples in every run, so that a red run is a change's doing; UNDERWING_RANDOM_EXAMPLES=1 looks further.
settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("random", derandomize=False, deadline=None, print_blob=True)
settings.load_profile("random" if os.environ.get("UNDERWING_RANDOM_EXAMPLES") == "1" else "same")


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than there are cores: many tests wait for a server of their own to start or stop."""
    return (os.cpu_count() or 1) + 1


NO_POSTGRESQL = (
    "no PostgreSQL on this machine; get it with: apt-get install postgresql (or set PATH to its programs)"
)


def _server_programs() -> Path | None:
    """Return the folder of initdb and pg_ctl, which Debian keeps off the PATH."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).resolve().parent
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: float(path.parent.name))
    return folders[-1] if folders else None


def _as_ordinary_user() -> list[str] | None:
    """Return what goes before a server command: it refuses to run as root. None where nobody else is there to run it."""
    if os.geteuid() != 0:
        return []
    try:
        pwd.getpwnam("postgres")
    except KeyError:
        return None
    return ["runuser", "-u", "postgres", "--"]


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """Start a PostgreSQL of our own on a socket in a folder of its own; yield the folder."""
    programs, user = _server_programs(), _as_ordinary_user()
    if programs is None or user is None:
        if os.environ.get("CI"):
            pytest.fail(f"CI skips nothing: {NO_POSTGRESQL}")
        pytest.skip(NO_POSTGRESQL)
    folder = Path(tempfile.mkdtemp(prefix="underwing-pg-"))
    if user:
        shutil.chown(folder, "postgres")
    data = folder / "data"
    run = [
        *user,
        str(programs / "initdb"),
        "-D",
        str(data),
        "-U",
        "tester",
        "-A",
        "trust",
        "-E",
        "UTF8",
        "--no-sync",
    ]
    subprocess.run(run, check=True, capture_output=True, cwd="/")
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off -c max_connections=60"
    control = [*user, str(programs / "pg_ctl"), "-D", str(data), "-w"]
    log = folder / "log"
    subprocess.run(
        [*control, "-o", options, "-l", str(log), "start"], check=True, capture_output=True, cwd="/"
    )
    try:
        yield str(folder)
    finally:
        subprocess.run([*control, "-m", "immediate", "stop"], check=False, capture_output=True, cwd="/")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def database(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the URL of an empty database; parametrize it indirectly with "postgresql" for one there."""
    if getattr(request, "param", "sqlite") == "sqlite":
        return f"sqlite:///{tmp_path / 'test.db'}"
    return _on_postgresql(request.getfixturevalue("postgresql_server"), "template1")


def _on_postgresql(folder: str, template: str, name: str | None = None) -> str:
    """Create a database that is like another one; one of this name makes way. Return its URL."""
    name = name or f"test_{uuid.uuid4().hex}"
    with psycopg.connect(f"host={folder} user=tester dbname=postgres", autocommit=True) as admin:
        admin.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))
        create = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
        admin.execute(create.format(sql.Identifier(name), sql.Identifier(template)))
    return f"postgresql://tester@/{name}?host={folder}"


def _migrated(url: str) -> str:
    store = Store.open(url, Encryption(KEY))
    migrate.upgrade(store)
    store.close()
    return url


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with every table, made once by the migrations and copied for each test: a migration takes a third of a second."""
    path = tmp_path_factory.mktemp("migrated") / "empty.db"
    _migrated(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def migrated_postgresql(postgresql_server: str) -> str:
    """The name of a database with every table, to make others like it."""
    return _name_in(_migrated(_on_postgresql(postgresql_server, "template1")))


def _name_in(url: str) -> str:
    return url.removeprefix("postgresql://tester@/").partition("?")[0]


KEY = (
    Fernet.generate_key().decode()
)  # of every test of this run, since a database is bound to the key of its first day


@pytest.fixture
def encryption() -> Encryption:
    return Encryption(KEY)


@pytest.fixture
async def store(
    request: pytest.FixtureRequest, database: str, encryption: Encryption
) -> AsyncIterator[Store]:
    """An open store with every table, as the migrations leave it; asserts afterwards that no connection is left out."""
    if database.startswith("sqlite"):
        shutil.copyfile(request.getfixturevalue("migrated_sqlite"), database.removeprefix("sqlite:///"))
    else:
        folder = request.getfixturevalue("postgresql_server")
        _on_postgresql(folder, request.getfixturevalue("migrated_postgresql"), _name_in(database))
    store = Store.open(database, encryption)
    yield store
    left_out = store.engine.pool.checkedout()  # type: ignore[attr-defined]
    store.close()

    assert left_out == 0


BOTH = pytest.mark.parametrize("database", ["sqlite", "postgresql"], indirect=True)
