"""Bringing the database to this version's tables, one migration after the other, with a copy made first."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from . import database, log_tables
from .clock import unix_now
from .database import db

FOLDER = Path(__file__).with_name("migrations")
BEFORE_SIGNING = "0001"
UNSIGNED = ("The records in this folder were made before entries were signed, and nobody can sign them afterwards. "
            "Keep the folder as it is, with the version that wrote it; start a new one with `witnessmark init`, "
            "or with `witnessmark demo --fresh` for the demo.")


def migrate(data):
    """Bring the app's database to the newest tables; needs the app's context.

    Before an existing database is changed, a copy goes to `data`/before-<revision>-<seconds>.sqlite3. Raises
    WrongDatabase when it was written by a newer version, or holds entries from before they were signed.
    """
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["metadata"] = log_tables.db.metadata
    script = ScriptDirectory.from_config(config)
    found = current()
    if found == script.get_current_head():
        return
    if found is not None and found not in {step.revision for step in script.walk_revisions()}:
        raise database.WrongDatabase("The records were written by a newer version of Witnessmark. Install that one.")
    if found == BEFORE_SIGNING and _holds_entries():
        raise database.WrongDatabase(UNSIGNED)
    if found is not None and db.engine.dialect.name == "sqlite":
        database.snapshot(data / f"before-{script.get_current_head()}-{unix_now()}.sqlite3")
    with database.writing() as session:
        config.attributes["connection"] = session.connection()
        command.upgrade(config, "head")


def _holds_entries():
    with db.engine.connect() as connection:
        return connection.scalar(text("SELECT count(*) FROM entries")) > 0


def current():
    """The migration this database stands at, or None for an empty one."""
    with db.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()
