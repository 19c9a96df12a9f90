"""Opening the index: a file in the data folder, or a hall's PostgreSQL server by its URL."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.schema import NEWEST
from swaytrainer.words import Name, say

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

FILE: Final = "index.sqlite"
#: A station that writes may be waited for so long.
PATIENCE_S: Final = 10


def open_file(path: Path, patience_s: float = PATIENCE_S) -> Engine:
    """The index in a file, made or brought up to date if need be.

    Args:
        path: of the file.
        patience_s: how long another program that writes is waited for.

    Raises:
        SwaytrainerError: it can't be opened, is damaged, locked, or of a newer version.
    """
    from sqlalchemy import create_engine, event
    from sqlalchemy.pool import NullPool

    # No pool: a connection is open as long as its transaction, and the file is free in between.
    engine = create_engine(
        f"sqlite:///{path}", poolclass=NullPool, connect_args={"timeout": patience_s}
    )

    @event.listens_for(engine, "connect")
    def _on_connect(connection: Any, _record: object) -> None:
        # The driver's own habit begins a transaction too late: a new schema would be half made.
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys=ON")

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        # Who only reads waits for nobody; who writes waits at the beginning, not in the middle.
        reads = connection.get_execution_options().get("reads", False)
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return _up_to_date(engine)


def open_url(url: str) -> Engine:
    """A hall's index on a server: ``postgresql://user@server/database``.

    Raises:
        SwaytrainerError: no such URL, its driver is missing, the server is away, or its index is of
            a newer version.
    """
    from sqlalchemy import create_engine
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError
    from sqlalchemy.pool import NullPool

    remedy = "Write it as postgresql://user@server/database."
    try:
        if not url.startswith("postgresql:"):
            raise ArgumentError(url)
        engine = create_engine(
            url.replace("postgresql:", "postgresql+psycopg:", 1),
            poolclass=NullPool,
            connect_args={
                "connect_timeout": PATIENCE_S,
                "options": f"-c lock_timeout={PATIENCE_S}s",
            },
        )
    except (ArgumentError, NoSuchModuleError, ValueError):
        # The URL itself is not repeated: it may hold a password.
        raise SwaytrainerError(say("The hall's index is no address of a server."), remedy) from None
    except ImportError:
        raise SwaytrainerError(
            say("The driver for PostgreSQL is not installed."),
            say("Install it with: pip install 'swaytrainer[hall]'"),
        ) from None
    return _up_to_date(engine)


@contextmanager
def begun(engine: Engine, reads: bool = False) -> Iterator[Connection]:
    """One transaction: all of it or nothing.

    Args:
        engine: the index, opened.
        reads: nothing will be written.

    Raises:
        SwaytrainerError: the database is away, locked, damaged or full; nothing has changed then.
    """
    from sqlalchemy.exc import DBAPIError

    try:
        with engine.execution_options(reads=reads).begin() as connection:
            yield connection
    except DBAPIError as error:
        raise _told(engine, str(error.orig).strip().split("\n")[0]) from None


def _told(engine: Engine, why: str) -> SwaytrainerError:
    said = why.rstrip(".")
    if "locked" in said or "lock timeout" in said:
        return SwaytrainerError(
            say("Another program holds the index ({said}).", said=Name(said)),
            say("Nothing is lost: the recordings are there. Try again when it is done."),
        )
    if engine.dialect.name == "sqlite":
        return SwaytrainerError(
            say(
                "The index {database} can't be used ({said}).",
                database=Name(engine.url.database),
                said=Name(said),
            ),
            say(
                "Nothing is lost: make it anew from the recordings with: swaytrainer index"
                " --rebuild"
            ),
        )
    return SwaytrainerError(
        say("The hall's index can't be reached or used ({said}).", said=Name(said)),
        say("Nothing is lost: the recordings are here. Try again when the server is there."),
    )


def _up_to_date(engine: Engine) -> Engine:
    return engine if _is_newest(engine) else _brought(engine)


def _is_newest(engine: Engine) -> bool:
    """Asked without the library of the steps, whose import takes longer than a table may."""
    from sqlalchemy import inspect, text

    with begun(engine, reads=True) as connection:
        if not inspect(connection).has_table("alembic_version"):
            return False
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    return found == [NEWEST]


def _brought(engine: Engine) -> Engine:
    from alembic.config import Config
    from alembic.migration import MigrationContext
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")))
    script = ScriptDirectory.from_config(config)
    newest = script.get_current_head()
    known = {step.revision for step in script.walk_revisions()}
    with begun(engine) as connection:
        if engine.dialect.name == "postgresql":
            # Two stations that open a new server at once: one makes the tables, the other waits.
            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(7929001)")
        found = MigrationContext.configure(connection).get_current_revision()
        if found == newest:
            return engine
        if found is not None and found not in known:
            raise SwaytrainerError(
                say("The index was made by a newer swaytrainer."),
                say("Update swaytrainer here; the index and the recordings are as they were."),
            )
        with EnvironmentContext(
            config, script, fn=lambda rev, _: script._upgrade_revs("head", rev)
        ) as environment:
            environment.configure(
                connection=connection, target_metadata=None, transactional_ddl=False
            )
            environment.run_migrations()
    return engine
