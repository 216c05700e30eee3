"""The trends of a card as the server reads them from its records, and on the card's paper."""

import copy

import pytest
from sqlalchemy import event

from cast import REGISTRATION, TEMPLATE, field
from crew import Member
from witnessmark.pdf.paper import paper_html
from witnessmark.pdf.proofs import checkpoint, signing_keys
from witnessmark.records import cards, people, templates
from witnessmark.records.database import db, writing
from witnessmark.records.trends import trends_of

PLAY = field("play", "measure", title="Play of the bolt", unit="in", limits={"min": None, "max": "0.050"},
             source="invented for the tests", trend=True)


def followed(play=PLAY, **changes):
    template = copy.deepcopy(TEMPLATE) | changes
    template["zones"][0]["items"][0]["fields"] = [play]
    return template


@pytest.fixture
def records(app):
    with app.app_context():
        yield app


def issue(template, hours, registration=REGISTRATION):
    """A card at these hours of the airframe; None leaves them out."""
    times = {} if hours is None else {"airframe": {"value": hours, "unit": "h"}}
    return cards.issue(templates.load(template), registration, times, Member("noor").person)


def measured(member, card, value, unit="in", said="pass", **inputs):
    reading = {"values": [value], "unit": unit, "tools": [], "inputs": inputs, "derived": {}}
    entry = member.passes(card, "surface", readings={"play": reading}, result=said)
    assert member.send(entry) == [("kept", None)]
    return entry


def test_a_card_is_followed_over_past_cards_of_its_aircraft_and_template(records):
    with writing() as session:
        cards.add_aircraft(session, {"registration": "N0582W", "serial_number": "0099", "model": "Invented"})
    maria, told = Member("maria"), followed()
    in_mm = followed(PLAY | {"unit": "mm", "limits": None, "source": None})
    measured(maria, issue(in_mm, "1000"), "0.508", unit="mm")
    measured(maria, issue(told, "1050.0"), "0.021")
    measured(maria, issue(told, "1060", "N0582W"), "0.049")
    measured(maria, issue(followed(card="other"), "1070"), "0.049")
    measured(maria, issue(told, None), "0.049")
    issue(told, "1080")
    card = issue(told, "1100")
    measured(maria, card, "0.022", new_part="yes")
    measured(maria, issue(told, "1150"), "0.049")
    [series] = trends_of(card, told)
    assert series["points"] == [
        {"at": "1000", "value": "0.020000", "new_part": False, "card": "WC-0002"},
        {"at": "1050", "value": "0.021", "new_part": False, "card": "WC-0003"},
        {"at": "1100", "value": "0.022", "new_part": True, "card": "WC-0008"}]
    assert series["limits"] == {"min": None, "max": "0.050"} and series["projection"]["count"] == 1


def test_two_mechanics_who_disagree_and_a_correction_leave_no_point(records):
    maria, tom, told = Member("maria"), Member("tom"), followed()
    disputed, mended = issue(told, "1000"), issue(told, "1050")
    measured(maria, disputed, "0.020")
    measured(tom, disputed, "0.030")
    failed = maria.passes(mended, "surface", readings={}, result="fail", discrepancy={"what": "Worn.", "where": "Hub."})
    action = {"action": "Changed the bolt.", "readings": {}, "note": "", "photos": []}
    corrected = maria.phone.make(maria.facts, mended, "corrective_action", "surface", action, [failed["id"]])
    assert {verdict for verdict, _ in maria.send(failed, corrected)} == {"kept"}
    assert trends_of(mended, told) == []


def test_the_same_few_questions_however_many_cards_there_are(records):
    maria, told, asked = Member("maria"), followed(), []
    made = [issue(told, str(1000 + 25 * number)) for number in range(12)]
    for number, card in enumerate(made):
        measured(maria, card, f"0.0{20 + number}")
    event.listen(db.engine, "before_cursor_execute",
                 lambda *told: asked.append(told[2]) if told[2].startswith("SELECT") else None)
    [series] = trends_of(made[-1], told)
    assert len(series["points"]) == 12 and len(asked) == 3
    assert trends_of(made[-1], TEMPLATE) == [] and len(asked) == 3, "nothing followed, nothing asked"


def test_the_paper_of_a_card_tells_its_trend(records):
    maria, told = Member("maria"), followed()
    for number in range(6):
        card = issue(told, str(1000 + 50 * number))
        measured(maria, card, f"0.0{20 + number}")
    facts = cards.card_facts(card["card"])
    facts |= {"photos": {}, "people": people.names(), "keys": signing_keys(facts["entries"]), "log": checkpoint(),
              "trends": trends_of(facts["card"], facts["template"])}
    # 0.001 in per 50 h, 0.025 at the last card: 0.050 is 25 steps of 50 h away.
    told = " ".join(paper_html(facts).split())
    assert "0.0020 in per 100 h" in told and "limit of 0.050 in after 1250.0 h" in told
