"""What many tests need."""

import shutil
import subprocess
from pathlib import Path

import pytest
from argon2 import PasswordHasher

import cast
from system_packages import node_flags
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import passwords
from witnessmark.records.database import db

ROOT = Path(__file__).parent.parent


def pytest_addoption(parser):
    """How much of what is thrown: see test_random_twins."""
    amounts = parser.getgroup("amounts of the fault runs")
    amounts.addoption("--random-cases", type=int, default=100_000, help="random inputs of each rule")
    amounts.addoption("--random-seed", type=int, default=None, help="the seed that another run has printed")


def pytest_terminal_summary(terminalreporter):
    """How many random inputs the rules were tried on."""
    told = [value for report in terminalreporter.stats.get("passed", []) for name, value in report.user_properties
            if name == "random_cases"]
    if told:
        seeds = ", ".join(sorted({str(seed) for *_, seed in told}))
        terminalreporter.section(f"random inputs in both languages, seed {seeds}")
        for name, cases, refused, _ in sorted(told):
            terminalreporter.write_line(f"{name}: {cases} cases the same, {refused} of them refused")
        terminalreporter.write_line(f"{sum(cases for _, cases, _, _ in told)} cases of {len(told)} functions")


def shut_down(app):
    """End what an app has started, and close its database."""
    app.extensions["witnessmark_office"].close()
    with app.app_context():
        db.engine.dispose()


@pytest.fixture(scope="session")
def node():
    """Run a line of JavaScript in Node at the repository root; returns what it printed."""
    def run(script, given=""):
        done = subprocess.run(["node", *node_flags(), "--input-type=module", "-e", script], input=given, cwd=ROOT,
                              capture_output=True, text=True, timeout=120, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout
    return run


@pytest.fixture(scope="session")
def root():
    """The repository root."""
    return ROOT


@pytest.fixture(scope="session")
def cheap_passwords():
    """Password hashes that cost nothing. The real hasher, for the tests of what they cost."""
    real = passwords.HASHER
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        passwords._nobodys.cache_clear()
        yield real
    passwords._nobodys.cache_clear()


@pytest.fixture(scope="session")
def filled(tmp_path_factory, cheap_passwords):
    """(data folder, card): the cast's shop with one work card issued, to be copied."""
    folder = tmp_path_factory.mktemp("filled") / "data"
    made = create_app(read_settings({"data": folder}, {}))
    issued = cast.fill(made)
    shut_down(made)
    return folder, issued


@pytest.fixture
def settings(tmp_path, filled):
    """Settings of a server on this test's own copy of the cast's shop."""
    return read_settings({"data": shutil.copytree(filled[0], tmp_path / "data"), "hosts": "shop.example"}, {})


@pytest.fixture
def app(settings):
    """A server of the cast's shop."""
    made = create_app(settings)
    yield made
    shut_down(made)


@pytest.fixture
def card(app, filled):
    """The work card that is issued in the cast's shop."""
    return filled[1]


@pytest.fixture
def browser(app, card):
    """Make a browser on a new phone, signed in by `login` unless None."""
    def make(login="maria"):
        made = cast.Browser(app)
        return made.sign_in(login) if login else made
    return make
