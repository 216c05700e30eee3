"""A real shop from nothing, by the commands alone: made, staffed, loaded, and a person can sign in."""

import json

import pytest
from click.testing import CliRunner

from cast import PASSWORD
from witnessmark.cli import main
from witnessmark.cli_start import opened
from witnessmark.config import bundled, read_settings
from witnessmark.records import cards, local_codes, people, sessions, templates, tools
from witnessmark.records.database import db, writing
from witnessmark.records.shop import shop
from witnessmark.records.tables import Person


@pytest.fixture
def command(tmp_path, cheap_passwords):
    """Run `witnessmark WORDS` on this test's data folder."""
    def run(*words):
        return CliRunner().invoke(main, [*words, "--data", str(tmp_path / "data")])
    return run


def person(command, login="eva", password=PASSWORD, certificate=("--certificate", "mechanic", "--number", "1"),
           days=()):
    return command("add-person", login, "--name", "Eva Example", "--role", "mechanic", "--password", password,
                   *certificate, *days)


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
    ({"certificate": ()}, "Give its kind and number"),
    ({"days": ("--from", "2026-13-01")}, "Write it as 2026-11-25"),
    ({"days": ("--from", "2026-02-02", "--until", "2026-02-01")}, "The last day is before the first"),
])
def test_a_person_that_cannot_stand_is_refused_in_words(command, changed, told):
    command("init")
    refused = person(command, **changed)
    assert refused.exit_code in (1, 2) and told in refused.output


def test_a_role_may_have_a_first_and_a_last_day(command, tmp_path):
    command("init")
    person(command, days=("--from", "2001-01-01", "--until", "2001-12-31"))
    with opened(read_settings({"data": tmp_path / "data"}, {})):
        (facts,) = people.working_people()
    assert facts["authorities"] == [{"role": "mechanic", "from": "2001-01-01", "until": "2001-12-31"}]
    assert facts["roles"] == []


def test_a_shop_chooses_its_local_code(command, tmp_path):
    command("init")
    listed = command("choose-code").output
    assert "None is chosen yet" in listed
    assert all(name in listed for name in ("us", "easa_ml", "uk", "ca"))
    told = command("choose-code", "ca").output
    assert [line.split()[1] for line in told.splitlines() if line.startswith("*")] == ["ca"]
    assert "confirm with your authority" in told
    refused = command("choose-code", "atlantis")
    assert refused.exit_code == 1 and "There are: ca, easa_ml, uk, us" in refused.output
    with opened(read_settings({"data": tmp_path / "data"}, {})):
        assert shop()["local_code"] == local_codes.shipped_revision("ca")


def test_a_tool_is_registered_and_its_calibration_renewed(command, tmp_path):
    command("init")
    assert "calibrated until 2026-12-31" in command("add-tool", "TW-01", "--name", "torque wrench",
                                                    "--calibrated-until", "2026-12-31").output
    command("add-tool", "TW-01", "--name", "torque wrench", "--calibrated-until", "2027-12-31")
    assert command("add-tool", "TL-01", "--name", "lamp", "--calibrated-until", "31.12.2027").exit_code == 2
    with opened(read_settings({"data": tmp_path / "data"}, {})):
        assert tools.all_tools() == [{"serial": "TW-01", "name": "torque wrench", "calibrated_until": "2027-12-31",
                                      "facts": None}]


def test_what_is_known_of_a_tool_is_read_from_a_file_and_outlives_a_renewed_calibration(command, tmp_path):
    command("init")
    facts = {"use": "tensiometer", "unit": "lbf", "tables": [
        {"column": "3/32 cable, riser 1", "rows": [["10", "20"], ["14", "30"]]}]}
    file = tmp_path / "facts.json"
    add = ("add-tool", "TN-21", "--name", "tensiometer")
    file.write_text(json.dumps(facts))
    assert command(*add, "--facts", str(file)).exit_code == 0
    for wrong, told in (("{", "not well-formed JSON"), ('{"use": "hammer"}', "facts.use"), ("\xff", "not readable"),
                        (json.dumps(facts).replace('"14"', '"9"'), "the dial reading of line 2 must be above")):
        file.write_text(wrong, encoding="latin-1")
        refused = command(*add, "--facts", str(file))
        assert refused.exit_code == 1 and told in refused.output
    command(*add, "--calibrated-until", "2027-12-31")
    with opened(read_settings({"data": tmp_path / "data"}, {})):
        assert tools.all_tools() == [{"serial": "TN-21", "name": "tensiometer", "calibrated_until": "2027-12-31",
                                      "facts": facts}]


def test_a_name_of_somebody_who_left_is_not_given_again(command, tmp_path):
    command("init")
    person(command)
    with opened(read_settings({"data": tmp_path / "data"}, {})), writing() as session:
        session.execute(db.update(Person).values(active=0))
    again = person(command)
    assert again.exit_code == 1 and "never given again" in again.output


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
