"""Migrated tables are the models' tables, and a database is never changed without a copy."""

import re

import pytest
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from pysqlite3 import dbapi2 as sqlite3
from sqlalchemy import create_engine, text

from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import database, schema, tools
from witnessmark.records.database import APPEND_ONLY, WrongDatabase, append_only_statements, db

FILE = "witnessmark.sqlite3"
LATER = '''
import sqlalchemy as sa
from alembic import op
revision = "0005"
down_revision = "0004"
def upgrade():
    op.create_table("later", sa.Column("one", sa.Text(), primary_key=True), sqlite_strict=True)
'''


def tables(connection):
    """{name: the parts of its SQL}. Sorted: foreign keys stand in any order, and an added column comes last."""
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {name: parts(sql) for name, sql in rows if not name.startswith(("alembic", "sqlite_"))}


def parts(sql):
    """What stands between the outermost brackets, cut at the commas that are in no other brackets; and the rest."""
    head, inside, tail = re.fullmatch(r"([^(]*)\((.*)\)([^)]*)", " ".join(sql.split())).groups()
    found = re.findall(r"(?:[^,()]|\((?:[^()]|\([^()]*\))*\))+", inside)
    return [head.strip(), *sorted(part.strip() for part in found), tail.strip()]


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
    (later / "versions" / "0005_later.py").write_text(LATER)
    monkeypatch.setattr(schema, "FOLDER", later)
    create_app(settings)
    with sqlite3.connect(settings.data / FILE) as migrated:
        assert "later" in tables(migrated)
    (copy,) = settings.data.glob("before-0005-*.sqlite3")
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


def older(tmp_path, revision, rows):
    """Settings of a server on a database that stands at this revision and holds what `rows` insert."""
    settings = read_settings({"data": tmp_path / "data"}, {})
    settings.data.mkdir()
    config = Config()
    config.set_main_option("script_location", str(schema.FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["metadata"] = db.metadata
    engine = create_engine(settings.database_url, module=database.sqlite)
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)
        for row in rows:
            connection.execute(text(row))
    engine.dispose()
    return settings


@pytest.fixture
def unsigned(tmp_path):
    """A database of before signing: a shop, a person, a work card."""
    return older(tmp_path, schema.BEFORE_SIGNING, UNSIGNED)


UNSIGNED = (
    f"INSERT INTO shop VALUES (1, '{'5e' * 16}', '{'e0' * 16}', 'Old shop', 0)",
    "INSERT INTO people VALUES ('maria', 'maria', 'Maria Vance', 'mechanic', 'M-1', 'x', 1)",
    "INSERT INTO roles VALUES ('maria', 'mechanic')",
    "INSERT INTO aircraft VALUES ('N0417W', '0042', 'Invented')",
    f"INSERT INTO revisions VALUES (1, '{'0' * 64}', 'trial', 'Trial', 0, '{{}}')",
    f"INSERT INTO cards VALUES (1, '{'ca' * 16}', '{'0' * 64}', 'N0417W', '0042', '{{}}', '2026-11-25T08:00:00Z', "
    "'maria')",
)
ENTRY = (f"INSERT INTO entries VALUES ('{'1' * 64}', '{'ca' * 16}', 'surface', 'result', 'maria', '{'d0' * 16}', 1, "
         "'2026-11-25T08:00:00Z', '{\"v\":1}')")


def test_a_shop_of_before_signing_without_entries_is_brought_over(unsigned):
    app = create_app(unsigned)
    with app.app_context():
        db.engine.dispose()
    with sqlite3.connect(unsigned.data / FILE) as migrated:
        assert migrated.execute("SELECT name, local_code FROM shop").fetchall() == [("Old shop", None)]
        assert migrated.execute("SELECT person, role, from_day, until_day FROM roles").fetchall() == [
            ("maria", "mechanic", None, None)]
        assert migrated.execute("SELECT number, code FROM cards").fetchall() == [(1, None)]
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            migrated.execute("UPDATE cards SET code = 'x'")
    assert len(list(unsigned.data.glob("before-0004-*.sqlite3"))) == 1


def test_records_of_before_signing_are_refused_in_words_and_left_as_they_are(unsigned):
    with sqlite3.connect(unsigned.data / FILE) as old:
        old.execute(ENTRY)
    old.close()
    before = (unsigned.data / FILE).read_bytes()
    with pytest.raises(WrongDatabase, match="Keep the folder as it is.*start a new one"):
        create_app(unsigned)
    with sqlite3.connect(unsigned.data / FILE) as left:
        assert left.execute("SELECT text FROM entries").fetchall() == [('{"v":1}',)]
        assert "log" not in tables(left)
    assert not list(unsigned.data.glob("before-*"))
    assert len(before) == (unsigned.data / FILE).stat().st_size


SIGNED = (
    f"INSERT INTO shop VALUES (1, '{'5e' * 16}', '{'e0' * 16}', 'Shop that signs', 0, NULL)",
    "INSERT INTO people VALUES ('maria', 'maria', 'Maria Vance', 'mechanic', 'M-1', 'x', 1)",
    f"INSERT INTO keys VALUES ('{'k' * 43}', 'maria', '{'d0' * 16}', '{{}}', 'code', '2026-11-25T08:00:00Z')",
)


def test_keys_of_before_vouching_need_no_vouch_and_stay_as_final_as_they_were(tmp_path):
    settings = older(tmp_path, "0002", SIGNED)
    app = create_app(settings)
    with app.app_context():
        db.engine.dispose()
    with sqlite3.connect(settings.data / FILE) as migrated:
        assert migrated.execute("SELECT person, vouch_needed FROM keys").fetchall() == [("maria", 0)]
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            migrated.execute("UPDATE keys SET vouch_needed = 1")
        migrated.execute("INSERT INTO vouches VALUES (?, 'maria', 'x', '2026-11-25T08:00:00Z')", ("k" * 43,))
        for change in ("UPDATE vouches SET text = 'y'", "DELETE FROM vouches"):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                migrated.execute(change)


def test_tools_of_before_stay_and_nothing_more_is_known_of_them(tmp_path):
    settings = older(tmp_path, "0003", ["INSERT INTO tools VALUES ('TW-07', 'Torque wrench', '2026-12-31')"])
    app = create_app(settings)
    with app.app_context():
        assert tools.all_tools() == [{"serial": "TW-07", "name": "Torque wrench", "calibrated_until": "2026-12-31",
                                      "facts": None}]
        db.engine.dispose()
