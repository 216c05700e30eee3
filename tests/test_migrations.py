"""Migrated tables are the models' tables, and a database is never changed without a copy."""


import pytest
from alembic.script import ScriptDirectory
from pysqlite3 import dbapi2 as sqlite3
from sqlalchemy import create_engine, text

from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import database, schema
from witnessmark.records.database import APPEND_ONLY, WrongDatabase, append_only_statements, db

FILE = "witnessmark.sqlite3"
LATER = '''
import sqlalchemy as sa
from alembic import op
revision = "0002"
down_revision = "0001"
def upgrade():
    op.create_table("later", sa.Column("one", sa.Text(), primary_key=True), sqlite_strict=True)
'''


def tables(connection):
    """{name: the lines of its SQL}. Sorted, because SQLAlchemy lists the foreign keys of a table in any order."""
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {name: sorted(line.strip(" ,\t") for line in sql.strip().split("\n"))
            for name, sql in rows if not name.startswith(("alembic", "sqlite_"))}


def test_the_migrated_tables_are_those_of_the_models(app, settings):
    fresh = create_engine("sqlite://", module=database.sqlite)
    with fresh.begin() as connection:
        db.metadata.create_all(connection)
        for table in APPEND_ONLY:
            for statement in append_only_statements(table):
                connection.execute(text(statement))
        of_models = tables(connection.connection.dbapi_connection)
    fresh.dispose()
    with sqlite3.connect(settings.data / FILE) as migrated:
        assert tables(migrated) == of_models
    assert len(of_models) > 14 + len(APPEND_ONLY)


def test_there_is_one_head_and_the_files_are_named_in_order():
    config = ScriptDirectory(str(schema.FOLDER))
    steps = [step.revision for step in config.walk_revisions()][::-1]
    assert [path.name[:4] for path in sorted((schema.FOLDER / "versions").glob("0*.py"))] == steps
    assert len(config.get_heads()) == 1


def test_starting_again_changes_nothing(app, settings):
    create_app(settings)
    assert not list(settings.data.glob("before-*"))


def test_an_older_database_is_copied_and_brought_up_to_date(app, settings, tmp_path, monkeypatch):
    later = tmp_path / "migrations"
    (later / "versions").mkdir(parents=True)
    for path in [schema.FOLDER / "env.py", *(schema.FOLDER / "versions").glob("0*.py")]:
        (later / path.relative_to(schema.FOLDER)).write_text(path.read_text())
    (later / "versions" / "0002_later.py").write_text(LATER)
    monkeypatch.setattr(schema, "FOLDER", later)
    create_app(settings)
    with sqlite3.connect(settings.data / FILE) as migrated:
        assert "later" in tables(migrated)
    (copy,) = settings.data.glob("before-0002-*.sqlite3")
    with sqlite3.connect(copy) as before:
        assert "later" not in tables(before)
        assert before.execute("SELECT count(*) FROM people").fetchone() == (5,)


def test_records_of_a_newer_version_are_left_alone(app, settings):
    with sqlite3.connect(settings.data / FILE) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(WrongDatabase, match="newer version"):
        create_app(settings)


def test_a_migration_that_fails_leaves_the_database_as_it_was(tmp_path, monkeypatch):
    settings = read_settings({"data": tmp_path / "data"}, {})
    monkeypatch.setattr(schema.command, "upgrade", lambda config, to: (
        config.attributes["connection"].execute(text("CREATE TABLE half (one TEXT) STRICT")), 1 / 0))
    with pytest.raises(ZeroDivisionError):
        create_app(settings)
    with sqlite3.connect(settings.data / FILE) as left:
        assert tables(left) == {}
