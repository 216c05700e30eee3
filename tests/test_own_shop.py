"""A real shop from nothing, by the commands alone: made, staffed, loaded, and a person can sign in."""

import pytest
from click.testing import CliRunner

from cast import PASSWORD
from witnessmark.cli import main
from witnessmark.cli_start import opened
from witnessmark.config import bundled, read_settings
from witnessmark.records import cards, sessions, templates
from witnessmark.records.shop import shop


@pytest.fixture
def command(tmp_path, cheap_passwords):
    """Run `witnessmark WORDS` on this test's data folder."""
    def run(*words):
        return CliRunner().invoke(main, [*words, "--data", str(tmp_path / "data")])
    return run


def person(command, login="eva", password=PASSWORD, certificate=("--certificate", "mechanic", "--number", "1")):
    return command("add-person", login, "--name", "Eva Example", "--role", "mechanic", "--password", password,
                   *certificate)


def test_a_shop_is_made_staffed_and_loaded(command, tmp_path):
    assert command("init", "--shop", "Own shop").exit_code == 0
    assert "can sign in as eva" in person(command, "Eva").output
    assert command("add-aircraft", "N0001W", "--serial-number", "1", "--model", "Invented").exit_code == 0
    assert command("load", str(bundled("checklists") / "fuel.yaml")).exit_code == 0
    with opened(read_settings({"data": tmp_path / "data"}, {})):
        assert shop()["demo"] is False
        assert sessions.sign_in("eva", PASSWORD, "ab" * 16, None)[1]["roles"] == ["mechanic"]
        assert [one["registration"] for one in cards.all_aircraft()] == ["N0001W"]
        assert [one["card"] for one in templates.newest_templates()] == ["fuel"]


@pytest.mark.parametrize(("changed", "told"), [
    ({"password": "too short"}, "Take 15 or more"),
    ({"certificate": ()}, "Give --certificate and --number"),
])
def test_a_person_that_cannot_stand_is_refused_in_words(command, changed, told):
    command("init")
    refused = person(command, **changed)
    assert refused.exit_code == 1 and told in refused.output


def test_nobody_is_added_twice(command):
    command("init")
    person(command)
    again = person(command, "EVA")
    assert again.exit_code == 1 and "already" in again.output
    for _ in range(2):
        twice = command("add-aircraft", "N0001W", "--serial-number", "1", "--model", "Invented")
    assert twice.exit_code == 1 and "already" in twice.output


def test_there_must_be_a_shop_first(command):
    assert "Run `witnessmark init`" in person(command).output
