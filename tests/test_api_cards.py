"""Aircraft, templates, cards: issued once, read as they are, released by those who may."""

import hashlib

import pytest

from cast import REGISTRATION, TEMPLATE, TIMES
from witnessmark.records import templates
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.entry import content_id


def issue(browser, card, **changed):
    return browser.ask("POST", "/api/cards", {"revision": card["revision"], "registration": REGISTRATION,
                                              "times": TIMES, **changed})


def test_the_lists(browser, card):
    maria = browser()
    assert maria.ask("GET", "/api/aircraft").json == {
        "aircraft": [{"registration": REGISTRATION, "serial_number": "0042", "model": "Invented"}]}
    assert maria.ask("GET", "/api/templates").json == {
        "templates": [{"revision": card["revision"], "card": "trial", "title": "Trial card", "items": 4}]}


def test_a_revision_is_named_by_the_hash_of_its_text(browser, card):
    answer = browser().ask("GET", f"/api/revisions/{card['revision']}")
    assert content_id(answer.text) == card["revision"]
    assert answer.text == canonical_text(TEMPLATE)


def test_a_changed_template_is_a_new_revision_and_the_old_card_keeps_its_own(app, browser, card):
    with app.app_context():
        newer = templates.load({**TEMPLATE, "title": "Trial card, revised"})
        assert templates.load(TEMPLATE) == card["revision"]
    maria = browser()
    assert [one["revision"] for one in maria.ask("GET", "/api/templates").json["templates"]] == [newer]
    assert maria.page(card)["card"] == card
    assert content_id(maria.ask("GET", f"/api/revisions/{card['revision']}").text) == card["revision"]


def test_issuing_a_card(browser, card):
    maria = browser("maria")
    answer = issue(maria, card)
    assert answer.status_code == 201
    issued = answer.json
    assert (issued["number"], issued["title"]) == ("WC-0002", "Trial card")
    assert issued["aircraft"] == {"registration": REGISTRATION, "serial_number": "0042"}
    assert (issued["times"], issued["issued_by"]) == (TIMES, maria.person["person"])
    page = maria.page(issued)
    assert (page["card"], page["state"]["status"], page["entries"]) == (issued, "open", [])
    assert browser("tom").exchange()["news"][-1]["card"] == issued


@pytest.mark.parametrize(("changed", "status", "code"), [
    ({"revision": "a" * 64}, 404, "not_found"),
    ({"registration": "N0000W"}, 404, "not_found"),
    ({"revision": "A" * 64}, 422, "request_shape"),
    ({"times": {"airframe": {"value": "12,5x", "unit": "h"}}}, 422, "number_unreadable"),
    ({"times": {"airframe": {"value": "12.5", "unit": "hours"}}}, 422, "unit_unknown"),
    ({"times": {"Air Frame": {"value": "12.5", "unit": "h"}}}, 422, "request_shape"),
    ({"times": {"airframe": {"value": "12.5"}}}, 422, "request_shape"),
    ({"times": []}, 422, "request_shape")])
def test_a_card_that_cannot_be_issued(browser, card, changed, status, code):
    maria = browser()
    answer = issue(maria, card, **changed)
    assert (answer.status_code, answer.json["problem"]["code"]) == (status, code)
    assert len(maria.exchange()["news"]) == 1


@pytest.mark.parametrize("path", ["/api/cards/" + "a" * 32, "/api/cards/x/paper", "/api/revisions/" + "a" * 64,
                                  "/api/photos/" + "a" * 64, "/api/photos/x/view"])
def test_what_is_not_here_is_said_to_be_not_here(browser, card, path):
    answer = browser().ask("GET", path)
    assert (answer.status_code, answer.json["problem"]["code"]) == (404, "not_found")


def walk(browser, card):
    """A walked and countersigned card: (the mechanic's entries, the inspector's browser, all entries)."""
    maria, ines = browser("maria"), browser("ines")
    made = [maria.passes(card, name) for name in ("surface", "grip", "bolts", "boom")]
    signed = ines.phone.countersign(ines.person, card, "grip", [made[1]["id"]])
    assert maria.send(*made) == [("kept", None)] * 4 and ines.send(signed) == [("kept", None)]
    return maria, ines, [*made, signed]


def test_from_open_to_released(browser, card):
    _, ines, entries = walk(browser, card)
    assert ines.page(card)["state"]["status"] == "complete"
    assert ines.page(card)["paper"]["sentence"] == "The paper is made when the card is released or disapproved."
    ines.send(ines.phone.release(ines.person, card, TEMPLATE, entries))
    page = ines.page(card)
    assert (page["state"]["status"], page["state"]["stops"]) == ("released", [])


def test_a_late_entry_makes_a_released_card_contested(browser, card):
    maria, ines, entries = walk(browser, card)
    ines.send(ines.phone.release(ines.person, card, TEMPLATE, entries))
    late = maria.passes(card, "boom", [entries[3]["id"]], note="Seen again.")
    assert maria.send(late) == [("kept", None)]
    assert ines.page(card)["state"]["status"] == "contested"
    superseded = [approval["id"] for approval in ines.page(card)["state"]["approvals"]]
    again = ines.phone.release(ines.person, card, TEMPLATE, [*entries, late], superseded)
    assert ines.send(again) == [("kept", None)]
    assert ines.page(card)["state"]["status"] == "released"


def test_the_paper_comes_by_itself_after_the_release(app, browser, card):
    _, ines, entries = walk(browser, card)
    ines.send(ines.phone.release(ines.person, card, TEMPLATE, entries))
    assert app.extensions["witnessmark_office"].make_due_papers() == []
    page, answer = ines.page(card), ines.ask("GET", f"/api/cards/{card['card']}/paper")
    assert page["paper"]["ready"] and content_hash(answer.data) == page["paper"]["sha256"]
    assert answer.data.startswith(b"%PDF-")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="WC-0001.pdf"'
    assert answer.headers["Content-Type"] == "application/pdf"
    assert ines.ask("GET", f"/api/cards/{card['card']}/paper").data == answer.data


def content_hash(data):
    return hashlib.sha256(data).hexdigest()
