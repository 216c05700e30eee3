"""What many tests need."""

import subprocess
from pathlib import Path

import pytest
from argon2 import PasswordHasher

import cast
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import passwords
from witnessmark.records.database import db

ROOT = Path(__file__).parent.parent


def shut_down(app):
    """End what an app has started, and close its database."""
    app.extensions["witnessmark_office"].close()
    with app.app_context():
        db.engine.dispose()


@pytest.fixture(scope="session")
def node():
    """Run a line of JavaScript in Node at the repository root; returns what it printed."""
    def run(script, given=""):
        done = subprocess.run(["node", "--input-type=module", "-e", script], input=given, cwd=ROOT,
                              capture_output=True, text=True, timeout=120, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout
    return run


@pytest.fixture(scope="session")
def root():
    """The repository root."""
    return ROOT


@pytest.fixture
def cheap_passwords(monkeypatch):
    """Password hashes that cost nothing, for tests that are not about their cost."""
    passwords._nobodys.cache_clear()
    monkeypatch.setattr(passwords, "HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    yield
    passwords._nobodys.cache_clear()


@pytest.fixture
def settings(tmp_path):
    """Settings of a server whose data folder is this test's own."""
    return read_settings({"data": tmp_path / "data"}, {})


@pytest.fixture
def app(settings, cheap_passwords):
    """A server with an empty database."""
    made = create_app(settings)
    yield made
    shut_down(made)


@pytest.fixture
def card(app):
    """The cast's shop with one work card issued: the card."""
    return cast.fill(app)


@pytest.fixture
def browser(app, card):
    """Make a browser on a new phone, signed in by `login` unless None."""
    def make(login="maria"):
        made = cast.Browser(app)
        return made.sign_in(login) if login else made
    return make
