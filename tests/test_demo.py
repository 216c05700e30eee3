"""The demo: invented throughout, complete, filled once."""

import pytest

from witnessmark import create_app, demo
from witnessmark.cli_audit import attached_record
from witnessmark.config import read_settings
from witnessmark.records import audit, cards, papers, quarantine, templates, tools, trends
from witnessmark.records.clock import utc_text
from witnessmark.rules.tool_facts import row_inputs


@pytest.fixture(scope="module")
def shop(tmp_path_factory, cheap_passwords):
    """A server filled with the demo."""
    app = create_app(read_settings({"data": tmp_path_factory.mktemp("demo"), "shop": demo.SHOP}, {}))
    assert demo.fill(app)
    yield app
    app.extensions["witnessmark_office"].close()


def states(shop):
    with shop.app_context():
        return [cards.card_facts(card["card"]) for card in cards.all_cards()]


def released(shop, registration):
    return [one for one in states(shop)
            if one["state"]["status"] == "released" and one["card"]["aircraft"]["registration"] == registration]


def test_nine_cards_wait_for_one_aircraft_and_one_of_the_other_is_released(shop):
    facts = states(shop)
    waiting = [one["card"]["aircraft"]["registration"] for one in facts if one["state"]["status"] == "open"]
    assert waiting == ["N0417W"] * 9
    (released_one,) = released(shop, "N0582W")
    assert released_one["state"]["counts"]["done"] == released_one["state"]["counts"]["items"] >= 12
    kinds = {entry["payload"]["kind"] for entry in released_one["entries"]}
    assert kinds == {"result", "corrective_action", "countersignature", "release"}


def test_seven_cards_of_the_past_follow_the_wear_of_one_aircraft_25_hours_apart(shop):
    past = sorted(released(shop, "N0417W"), key=lambda one: one["card"]["issued_at"])
    assert {one["card"]["title"] for one in past} == {"Wear readings, every 25 hours"}
    hours = [one["card"]["times"]["airframe"]["value"] for one in past]
    assert hours == ["1059.5", "1084.5", "1109.5", "1134.5", "1159.5", "1184.5", "1209.5"]
    assert max(one["card"]["issued_at"] for one in past) < utc_text()


def test_the_past_shows_a_wearing_edge_and_a_part_too_new_to_tell(shop):
    with shop.app_context():
        (card,) = [one for one in cards.all_cards()
                   if one["title"].startswith("Wear") and not cards.entries_of(one["card"])]
        found = {(one["field"], one["station"]): one["projection"]["verdict"]
                 for one in trends.trends_of(card, templates.template(card["revision"]))}
    assert found[("edge", "95 %")] == found[("lash", "")] == found[("grip", "Blade A")] == "reaches"
    assert found[("tail_shaft", "")] == "too_few_points"


def test_one_entry_waits_for_an_inspector_because_its_key_was_ended(shop):
    with shop.app_context():
        (refused,) = quarantine.refused()
    assert (refused["problem"].code, refused["admissible"], refused["resolution"]) == ("key_ended", True, None)


def test_the_demo_stands_up_to_the_audit(shop):
    with shop.app_context():
        assert [line for line in audit.audit(attached_record) if line.findings] == []


def test_one_tool_of_the_register_is_out_of_calibration(shop):
    with shop.app_context():
        past = [tool["serial"] for tool in tools.all_tools()
                if tool["calibrated_until"] and tool["calibrated_until"] < utc_text()[:10]]
    assert past == ["TW-03"]


def test_two_tensiometers_give_different_tensions_for_one_dial_reading(shop):
    with shop.app_context():
        known = {tool["serial"]: tool["facts"] for tool in tools.all_tools()}
    column = "3/32 cable, riser 1"
    read = [[row_inputs(known[serial], column, "20")[name] for name in ("result_low", "result_high")]
            for serial in ("TN-21", "TN-34")]
    assert read == [["40", "50"], ["50", "50"]]


def test_the_papers_of_the_released_cards_can_be_made_at_once(shop):
    assert shop.extensions["witnessmark_office"].make_due_papers() == []
    made = [one["card"]["card"] for one in released(shop, "N0582W") + released(shop, "N0417W")]
    with shop.app_context():
        assert [papers.read(papers.find(card)["sha256"])[:5] for card in made] == [b"%PDF-"] * 8


def test_a_second_start_keeps_what_is_there(shop):
    before = [one["card"] for one in states(shop)]
    assert not demo.fill(shop)
    assert [one["card"] for one in states(shop)] == before


def test_every_role_can_be_played_and_every_password_is_long(shop):
    people = demo.people()
    assert {role for one in people for role in one["roles"]} == {"mechanic", "inspector", "author", "reader"}
    assert len({one["login"] for one in people}) == len(people) == 5
    assert all(len(one["password"]) >= 15 for one in people)


def test_the_people_can_sign_in(shop):
    for one in demo.people():
        answer = shop.test_client().post(
            "/api/session", json={"login": one["login"], "password": one["password"], "device_key": "d" * 64},
            headers={"X-Witnessmark": "1", "Origin": "http://localhost"})
        assert answer.status_code == 201 and answer.json["person"]["name"] == one["name"]


def test_everything_says_that_it_is_invented():
    assert "invented" in demo.SHOP
    for aircraft in demo.FACTS["aircraft"]:
        assert aircraft["registration"].startswith("N0") and "Invented" in aircraft["model"]
    for one in demo.FACTS["people"]:
        assert "invented" in one["certificate"]["kind"] or one["certificate"]["kind"] == "none"
