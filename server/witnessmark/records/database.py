"""The database: how it is opened, how it is written, and the only SQL of one engine (SQLite).

Every write goes through `writing()`: one writer at a time, `BEGIN IMMEDIATE`, and on disk when it returns. A connection
outside `writing()` may only read; SQLite itself refuses the rest.
"""

import threading
from contextlib import contextmanager

from flask_sqlalchemy import SQLAlchemy
from pysqlite3 import dbapi2 as sqlite
from sqlalchemy import MetaData, event
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import DeclarativeBase

OLDEST_SQLITE = (3, 51, 3)
APPEND_ONLY = ("entries", "revisions", "cards", "changes", "papers", "quarantine", "keys", "key_ends", "log", "nodes",
               "resolutions", "local_codes", "vouches")
PRAGMAS = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000, "trusted_schema": 0,
           "cell_size_check": 1}
SET_PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", "fullfsync = 1", "checkpoint_fullfsync = 1",
               "foreign_keys = ON", "busy_timeout = 5000", "trusted_schema = OFF", "cell_size_check = ON")
NAMES = {"ix": "ix_%(column_0_N_label)s", "uq": "uq_%(table_name)s_%(column_0_N_name)s",
         "ck": "ck_%(table_name)s_%(constraint_name)s", "fk": "fk_%(table_name)s_%(column_0_N_name)s",
         "pk": "pk_%(table_name)s"}


class Base(DeclarativeBase):
    metadata = MetaData(naming_convention=NAMES)


class WrongDatabase(Exception):
    """The database cannot be used. The message says what to do."""


class DatabaseBusy(Exception):
    """Another process held the database for too long; nothing was written."""


class DiskFull(Exception):
    """There was no room to write; nothing was kept."""


db = SQLAlchemy(model_class=Base)
_one_writer = threading.Lock()
_here = threading.local()


def engine_options(url, threads):
    """What `create_engine` needs for this database URL, with a connection for each of the server's threads."""
    pool = {"pool_size": threads, "max_overflow": 4}
    if not url.startswith("sqlite"):
        return pool
    return {**pool, "module": sqlite, "connect_args": {"isolation_level": None, "timeout": 5}}


def attach():
    """Hang the rules of this engine on the app's engine, once; needs the app's context."""
    if db.engine.dialect.name == "sqlite":
        check_sqlite_version(sqlite.sqlite_version_info)
        event.listen(db.engine, "connect", _set_pragmas)
        event.listen(db.engine, "begin", _begin)


@contextmanager
def writing():
    """One transaction that writes. On leaving it is on disk; on an exception nothing of it is.

    Raises RuntimeError when nested, DatabaseBusy or DiskFull with nothing kept.
    """
    if getattr(_here, "writes", False):
        raise RuntimeError("writing() inside writing() would wait for itself")
    with _one_writer, _marked_as_writer():
        db.session.rollback()
        try:
            yield db.session
            db.session.commit()
        except OperationalError as error:
            db.session.rollback()
            raise _refusal(error) from error
        except BaseException:
            db.session.rollback()
            raise


def check_sqlite_version(version):
    """Refuse a SQLite library that can corrupt a WAL database (WAL-reset bug, sqlite.org/wal.html, fixed in 3.51.3)."""
    if tuple(version) < OLDEST_SQLITE:
        raise WrongDatabase(f"The SQLite library is {'.'.join(map(str, version))}; versions before 3.51.3 can damage "
                            "the records. Install the package pysqlite3 again.")


def check_pragmas():
    """Refuse to run when the database does not keep what `PRAGMAS` promises. Needs the app's context."""
    if db.engine.dialect.name != "sqlite":
        return
    with db.engine.connect() as connection:
        for name, wanted in PRAGMAS.items():
            found = connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            if found != wanted:
                raise WrongDatabase(f"The database runs with {name} = {found} instead of {wanted}, so records could be "
                                    "lost. Keep the data folder on a local disk, not on a network drive.")


def append_only_statements(table):
    """The statements that make the database itself refuse to change or delete rows of `table`."""
    return [f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END" for verb in ("UPDATE", "DELETE")]


def snapshot(path):
    """Write a consistent copy of the database to `path`, which must not exist."""
    with db.engine.connect() as connection:
        raw = connection.connection.dbapi_connection
        connection.rollback()
        raw.execute("PRAGMA query_only = 0")
        raw.execute("VACUUM INTO ?", (str(path),))


@contextmanager
def _marked_as_writer():
    _here.writes = True
    try:
        yield
    finally:
        _here.writes = False


def _set_pragmas(connection, _record):
    for pragma in SET_PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection):
    # A deferred BEGIN that writes later fails at once when another has written meanwhile, whatever the busy timeout.
    writes = getattr(_here, "writes", False)
    connection.exec_driver_sql(f"PRAGMA query_only = {0 if writes else 1}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _refusal(error):
    code = getattr(error.orig, "sqlite_errorcode", None)
    primary = code & 0xFF if code is not None else None
    if primary in (sqlite.SQLITE_BUSY, sqlite.SQLITE_LOCKED):
        return DatabaseBusy("the database was busy")
    if primary == sqlite.SQLITE_FULL:
        return DiskFull("the disk is full")
    return error
