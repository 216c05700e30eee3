"""Which entries the server does not take, why, and that it keeps them all the same."""

import json

import pytest

from cast import PASSWORD
from witnessmark.records.database import writing
from witnessmark.records.tables import Person, Role
from witnessmark.rules.canonical import canonical_text

OTHER = "e" * 32


def changed(entry, **members):
    """The entry's text with other members, canonical again."""
    return canonical_text({**json.loads(entry["text"]), **members})


def verdict(browser, text):
    (answer,) = browser.exchange([text])["answers"]
    return answer["verdict"], answer["problem"]["code"]


WRONG = {
    "entry_other_server": {"server": OTHER},
    "entry_card_unknown": {"card": OTHER},
    "entry_card_differs": {"aircraft": {"registration": "N0582W", "serial_number": "0057"}},
    "entry_item_unknown": {"item": "nowhere"},
    "entry_shape": {"sequence": 0},
}


@pytest.mark.parametrize(("code", "members"), WRONG.items())
def test_an_entry_that_does_not_belong_here_is_refused(browser, card, code, members):
    maria = browser()
    assert verdict(maria, changed(maria.passes(card, "surface"), **members)) == ("refused", code)


def test_an_entry_for_another_revision_is_refused(browser, card):
    maria = browser()
    text = changed(maria.passes(card, "surface"), revision="a" * 64)
    assert verdict(maria, text) == ("refused", "entry_card_differs")


def test_a_text_that_is_not_canonical_is_refused(browser, card):
    maria = browser()
    text = maria.passes(card, "surface")["text"]
    assert verdict(maria, text.replace(":", ": ", 1)) == ("refused", "not_canonical")
    assert verdict(maria, "{") == ("refused", "json_malformed")
    assert verdict(maria, "") == ("refused", "json_malformed")
    assert verdict(maria, '"' + "x" * 70000 + '"') == ("refused", "entry_too_large")


def test_an_author_who_never_signed_in_on_the_phone_is_refused(browser, card):
    maria, tom = browser("maria"), browser("tom")
    maria.person = tom.person
    assert maria.send(maria.passes(card, "surface")) == [("refused", "author_not_on_phone")]


def test_the_phone_handed_over_brings_entries_of_both(browser, card):
    phone = browser("maria")
    of_maria = phone.passes(card, "grip")
    phone.sign_in("ines")
    of_ines = phone.phone.countersign(phone.person, card, "grip", [of_maria["id"]])
    assert phone.send(of_maria, of_ines) == [("kept", None)] * 2


def test_a_mechanic_cannot_pass_off_an_entry_as_from_the_inspectors_phone(browser, card):
    maria, ines = browser("maria"), browser("ines")
    forged = ines.phone.countersign(ines.person, card, "grip", ["a" * 64])
    assert maria.send(forged) == [("refused", "author_not_on_phone")]


def test_knowing_a_phones_id_is_not_holding_that_phone(browser, card):
    """Every entry tells the id of its phone, so a reader could otherwise release a card in the inspector's name."""
    ines, rowan = browser("ines"), browser(None)
    entry = ines.phone.make(ines.person, card, "disapproval", None, {
        "covers": [], "times": {}, "discrepancies": [], "statement": "Forged by the reader."})
    body = {"login": "rowan", "password": PASSWORD}
    for told in ({"device": ines.phone.device}, {"device_key": ines.phone.device}):
        assert rowan.ask("POST", "/api/session", body | told).status_code == 422
    rowan.key = ines.phone.device * 2
    assert rowan.sign_in("rowan").send(entry) == [("refused", "author_not_on_phone")]


@pytest.mark.parametrize("kind", ["countersignature", "settlement", "release", "disapproval"])
def test_a_mechanic_cannot_sign_what_only_an_inspector_may(browser, card, kind):
    maria = browser()
    approval = {"covers": [], "statement": "I sign.", "times": {}, "discrepancies": []}
    result = {"result": "pass", "readings": {}, "note": "", "photos": [], "discrepancy": None, "statement": "So."}
    body = {"countersignature": {"covers": ["a" * 64], "statement": "I looked."}, "settlement": result,
            "release": approval, "disapproval": approval}[kind]
    item = None if kind in ("release", "disapproval") else "grip"
    assert maria.send(maria.phone.make(maria.person, card, kind, item, body)) == [("refused", "not_allowed")]


@pytest.mark.parametrize("login", ["noor", "rowan"])
def test_author_and_reader_record_nothing(browser, card, login):
    person = browser(login)
    assert person.send(person.passes(card, "surface")) == [("refused", "not_allowed")]


def test_a_lost_role_counts_from_the_next_entry_on(app, browser, card):
    maria = browser("maria")
    before, after = maria.passes(card, "surface"), maria.passes(card, "grip")
    assert maria.send(before) == [("kept", None)]
    with app.app_context(), writing() as session:
        session.delete(session.get(Role, (maria.person["person"], "mechanic")))
        session.add(Role(person=maria.person["person"], role="reader"))
    assert maria.send(before, after) == [("already_here", None), ("refused", "not_allowed")]


def test_a_person_who_left_is_refused_but_their_entries_stay(app, browser, card):
    maria, tom = browser("maria"), browser("tom")
    phone = maria.phone
    phone_of_both = browser("maria")
    kept, late = phone_of_both.passes(card, "surface"), phone_of_both.passes(card, "grip")
    phone_of_both.send(kept)
    phone_of_both.sign_in("tom")
    with app.app_context(), writing() as session:
        session.get(Person, maria.person["person"]).active = 0
    assert phone_of_both.send(late) == [("refused", "author_unknown")]
    assert tom.page(card)["state"]["entries"] == 1
    assert phone.sequence == 0


@pytest.mark.parametrize("members", [{"name": "Maria Vanse"}, {"certificate": {"kind": "mechanic", "number": "M-2"}}])
def test_name_and_certificate_must_be_those_of_the_record(browser, card, members):
    maria = browser()
    entry = maria.passes(card, "surface")
    author = {**entry["payload"]["author"], **members}
    assert verdict(maria, changed(entry, author=author)) == ("refused", "author_differs")


def test_a_second_entry_with_a_used_number_is_refused(browser, card):
    maria = browser()
    first = maria.passes(card, "surface")
    maria.phone.sequence, maria.phone.previous = 0, None
    second = maria.passes(card, "grip")
    assert maria.send(first, second) == [("kept", None), ("refused", "device_sequence_taken")]
    assert maria.send(first) == [("already_here", None)]


def test_the_numbers_of_a_phone_may_arrive_in_any_order(browser, card):
    maria = browser()
    sent = [maria.passes(card, "surface", note=str(n)) for n in range(6)]
    assert maria.send(*sent[3:], *sent[:2]) == [("kept", None)] * 5
    maria.phone.sequence, maria.phone.previous = 1, sent[0]["id"]
    assert maria.send(maria.passes(card, "grip"), sent[2]) == [("refused", "device_sequence_taken"), ("kept", None)]


def test_one_refused_entry_does_not_hold_back_the_others(browser, card):
    maria = browser()
    good, bad = maria.passes(card, "surface"), maria.passes(card, "grip")
    answers = maria.exchange([changed(bad, server=OTHER), good["text"]])["answers"]
    assert [answer["verdict"] for answer in answers] == ["refused", "kept"]


def test_a_refusal_that_could_not_be_written_down_holds_back_nothing(browser, card):
    """The doubled name is half a character, which no reason in the quarantine can quote."""
    maria = browser()
    poison = {"text": '{"\\ud800":1,"\\ud800":2}'}
    assert maria.send(poison, maria.passes(card, "surface")) == [("refused", "json_text"), ("kept", None)]


def test_what_was_refused_is_kept_with_its_reason(browser, card):
    maria, ines = browser("maria"), browser("ines")
    text = changed(maria.passes(card, "surface"), server=OTHER)
    maria.exchange([text]), maria.exchange([text])
    (kept,) = ines.ask("GET", "/api/quarantine").json["entries"]
    assert (kept["text"], kept["sent_by"], kept["kept"]) == (text, "Maria Vance", False)
    assert kept["problem"] == {"code": "entry_other_server", "fields": {}, "sentence":
                               "The entry was made for another server. Sign in on that server to send it."}


def test_a_mechanic_sees_what_they_sent_themselves_and_no_more(browser, card):
    maria, tom = browser("maria"), browser("tom")
    maria.exchange(["nonsense of maria"])
    assert tom.ask("GET", "/api/quarantine").json == {"entries": []}
    assert [one["text"] for one in maria.ask("GET", "/api/quarantine").json["entries"]] == ["nonsense of maria"]


def test_what_came_before_its_author_signed_in_is_taken_in_as_soon_as_they_do(app, browser, card):
    maria, lent = browser("maria"), browser("tom")
    lent.person = maria.person
    entry = lent.passes(card, "surface")
    assert lent.send(entry) == [("refused", "author_not_on_phone")]
    lent.sign_in("maria")
    assert [one["text"] for one in maria.exchange()["news"][1:]] == [entry["text"]]
    assert lent.send(entry) == [("already_here", None)]
    assert [one["kept"] for one in browser("ines").ask("GET", "/api/quarantine").json["entries"]] == [True]


def test_another_phones_sign_in_does_not_take_it_in(browser, card):
    maria, lent = browser("maria"), browser("tom")
    lent.person = maria.person
    lent.send(lent.passes(card, "surface"))
    browser("maria")
    assert maria.page(card)["state"]["entries"] == 0
