"""What the database promises: on disk when it says so, one writer, nothing signed ever changed."""

import threading

import pytest
from pysqlite3 import dbapi2 as sqlite3
from sqlalchemy import select, text
from sqlalchemy.exc import IntegrityError, OperationalError

from witnessmark import create_app
from witnessmark.records import database, keys, quarantine
from witnessmark.records.database import APPEND_ONLY, PRAGMAS, WrongDatabase, db, writing
from witnessmark.records.log_tables import Vouch
from witnessmark.records.tables import Aircraft


@pytest.fixture
def inside(app):
    """The app's context."""
    with app.app_context():
        yield app


@pytest.mark.parametrize("version", [(3, 40, 1), (3, 46, 1), (3, 51, 2)])
def test_a_sqlite_that_can_damage_the_records_is_refused(version):
    """The WAL-reset bug is fixed in 3.51.3: sqlite.org/wal.html, section "WAL-reset bug"."""
    with pytest.raises(WrongDatabase, match="can damage the records"):
        database.check_sqlite_version(version)


def test_the_sqlite_in_use_is_new_enough():
    database.check_sqlite_version(database.sqlite.sqlite_version_info)
    database.check_sqlite_version((3, 51, 3))


def test_every_connection_keeps_the_pragmas(inside):
    connections = [db.engine.connect() for _ in range(4)]
    for connection in connections:
        assert {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in PRAGMAS} == PRAGMAS
        connection.close()


@pytest.mark.parametrize("pragma", ["synchronous = NORMAL", "foreign_keys = OFF", "journal_mode = DELETE"])
def test_the_server_does_not_start_on_a_database_that_could_lose_records(settings, monkeypatch, pragma):
    monkeypatch.setattr(database, "SET_PRAGMAS", (*database.SET_PRAGMAS, pragma))
    with pytest.raises(WrongDatabase, match=pragma.split()[0]):
        create_app(settings)


def test_every_table_is_strict(inside):
    """A STRICT table refuses text in a whole-number column: sqlite.org/stricttables.html."""
    rows = db.session.execute(text("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")).all()
    assert {name for name, strict in rows if not strict} <= {"sqlite_schema", "sqlite_sequence", "alembic_version"}
    with pytest.raises(IntegrityError), writing() as session:
        session.execute(text("INSERT INTO photos VALUES ('a', 'many', 'now')"))


def test_what_was_signed_cannot_be_changed_or_deleted(browser, card, inside, settings):
    maria = browser("maria")
    maria.send(maria.passes(card, "surface"))
    maria.exchange(["nonsense"])
    with writing() as session:
        kid = keys.of_person(maria.person["person"])[0]["kid"]
        session.add(Vouch(kid=kid, person=maria.person["person"], at="2026-11-25T08:00:00Z", text="seen"))
        keys.end(session, kid, "phone lost", None)
        quarantine.set_aside(session, quarantine.refused()[0]["number"], "Nonsense.", maria.person["person"])
    for table in sorted(set(APPEND_ONLY) - {"papers"}):
        for statement in (f"DELETE FROM {table}", f"UPDATE {table} SET rowid = rowid"):
            with pytest.raises(IntegrityError, match="append-only"), writing() as session:
                session.execute(text(statement))
    with sqlite3.connect(settings.data / "witnessmark.sqlite3") as other:
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            other.execute("UPDATE entries SET text = ''")


def test_nothing_is_written_outside_writing(inside):
    db.session.add(Aircraft(registration="N0001W", serial_number="1", model="Invented"))
    with pytest.raises(OperationalError, match="readonly"):
        db.session.commit()
    db.session.rollback()


def test_an_exception_takes_everything_back(inside):
    with pytest.raises(ZeroDivisionError), writing() as session:
        session.add(Aircraft(registration="N0001W", serial_number="1", model="Invented"))
        session.flush()
        raise ZeroDivisionError
    assert db.session.get(Aircraft, "N0001W") is None


def test_writing_within_writing_is_said_at_once(inside):
    with pytest.raises(RuntimeError, match="wait for itself"), writing(), writing():
        pass


def test_a_writer_sees_what_another_wrote_before_it_began(inside, settings):
    """BEGIN IMMEDIATE: a deferred one would fail with SQLITE_BUSY_SNAPSHOT here (sqlite.org/isolation.html)."""
    assert db.session.scalars(select(Aircraft.registration)).all() == ["N0417W"]
    other = sqlite3.connect(settings.data / "witnessmark.sqlite3")
    with other:
        other.execute("INSERT INTO aircraft VALUES ('N0001W', '1', 'Invented')")
    other.close()
    with writing() as session:
        assert session.get(Aircraft, "N0001W").serial_number == "1"
        session.add(Aircraft(registration="N0002W", serial_number="2", model="Invented"))
    assert db.session.get(Aircraft, "N0002W")


def test_nobody_else_can_write_from_the_moment_a_writer_begins(inside, settings):
    with writing() as session:
        assert session.get(Aircraft, "N0417W")
        other = sqlite3.connect(settings.data / "witnessmark.sqlite3", timeout=0)
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("INSERT INTO aircraft VALUES ('N0001W', '1', 'Invented')")
        other.close()
        session.add(Aircraft(registration="N0002W", serial_number="2", model="Invented"))


def test_a_database_held_by_another_process_is_said_to_be_busy(browser, card, settings, monkeypatch):
    monkeypatch.setattr(database, "SET_PRAGMAS", (*database.SET_PRAGMAS, "busy_timeout = 50"))
    maria = browser("maria")
    with maria.client.application.app_context():
        db.engine.dispose()
    other = sqlite3.connect(settings.data / "witnessmark.sqlite3", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    entry = maria.passes(card, "surface")
    body = {"epoch": None, "after": 0, "entries": [entry["text"]], "check": [], "size": 0}
    answer = maria.ask("POST", "/api/sync", body)
    other.execute("ROLLBACK")
    other.close()
    assert (answer.status_code, answer.json["problem"]["code"]) == (503, "database_busy")
    assert maria.send(entry) == [("kept", None)]


def test_many_writers_take_turns(app):
    def add(number):
        with app.app_context(), writing() as session:
            session.add(Aircraft(registration=f"N9{number:03}W", serial_number="1", model="Invented"))

    threads = [threading.Thread(target=add, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with app.app_context():
        assert len(db.session.scalars(select(Aircraft.registration)).all()) == 21
