"""Bringing the database to this version's tables, one migration after the other, with a copy made first."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from . import database, tables
from .clock import unix_now
from .database import db

FOLDER = Path(__file__).with_name("migrations")


def migrate(data):
    """Bring the app's database to the newest tables; needs the app's context.

    Before an existing database is changed, a copy goes to `data`/before-<revision>-<seconds>.sqlite3. Raises
    WrongDatabase when it was written by a newer version.
    """
    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["metadata"] = tables.db.metadata
    script = ScriptDirectory.from_config(config)
    found = current()
    if found == script.get_current_head():
        return
    if found is not None and found not in {step.revision for step in script.walk_revisions()}:
        raise database.WrongDatabase("The records were written by a newer version of Witnessmark. Install that one.")
    if found is not None and db.engine.dialect.name == "sqlite":
        database.snapshot(data / f"before-{script.get_current_head()}-{unix_now()}.sqlite3")
    with database.writing() as session:
        config.attributes["connection"] = session.connection()
        command.upgrade(config, "head")


def current():
    """The migration this database stands at, or None for an empty one."""
    with db.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()
