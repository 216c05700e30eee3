"""Which entries the server does not take, why, and that it keeps them all the same."""

import pytest

from cast import PASSWORD
from witnessmark.records.database import writing
from witnessmark.records.tables import Person, Role
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.signature import ENTRY_TYP

OTHER = "e" * 32
NOBODYS = "a" * 64


def signed(browser, text):
    """The JWS by the key of who is signed in on this phone, over any text."""
    return browser.phone.key_of(browser.person["person"]).sign(ENTRY_TYP, text)


def changed(browser, entry, **members):
    """The entry's text with other members, canonical and signed again."""
    return signed(browser, canonical_text({**entry["payload"], **members}))


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
    assert verdict(maria, changed(maria, maria.passes(card, "surface"), **members)) == ("refused", code)


def test_an_entry_for_another_revision_is_refused(browser, card):
    maria = browser()
    text = changed(maria, maria.passes(card, "surface"), revision="a" * 64)
    assert verdict(maria, text) == ("refused", "entry_card_differs")


def test_a_text_that_is_not_a_signed_canonical_entry_is_refused(browser, card):
    maria = browser()
    payload = canonical_text(maria.passes(card, "surface")["payload"])
    assert verdict(maria, signed(maria, payload.replace(":", ": ", 1))) == ("refused", "not_canonical")
    assert verdict(maria, signed(maria, "{")) == ("refused", "json_malformed")
    assert verdict(maria, payload) == ("refused", "jws_malformed")
    assert verdict(maria, "") == ("refused", "jws_malformed")
    assert verdict(maria, signed(maria, '"' + "x" * 70000 + '"')) == ("refused", "entry_too_large")


def test_only_the_authors_own_key_on_that_phone_signs_for_them(browser, card):
    maria, tom = browser("maria"), browser("tom")
    maria.phone.keys[tom.person["person"]] = maria.phone.keys[maria.person["person"]]
    maria.person = tom.person
    assert maria.send(maria.passes(card, "surface")) == [("refused", "key_of_other")]


def test_any_phone_may_carry_what_another_has_signed(browser, card):
    """The signature says who did it, not the phone that brings it."""
    maria, tom = browser("maria"), browser("tom")
    assert tom.send(maria.passes(card, "surface")) == [("kept", None)]


def test_the_phone_handed_over_brings_entries_of_both(browser, card):
    phone = browser("maria")
    of_maria = phone.passes(card, "grip")
    phone.sign_in("ines")
    of_ines = phone.phone.countersign(phone.person, card, "grip", [of_maria["id"]])
    assert phone.send(of_maria, of_ines) == [("kept", None)] * 2


def test_knowing_a_phones_id_and_a_persons_facts_signs_nothing(browser, card):
    """Every entry tells both, so a reader could otherwise countersign in the inspector's name."""
    ines, rowan = browser("ines"), browser(None)
    body = {"login": "rowan", "password": PASSWORD}
    for told in ({"device": ines.phone.device}, {"device_key": ines.phone.device}):
        assert rowan.ask("POST", "/api/session", body | told).status_code == 422
    rowan.key = ines.phone.device * 2
    rowan.sign_in("rowan")
    rowan.phone.device = ines.phone.device
    forged = rowan.phone.countersign(ines.person, card, "grip", [NOBODYS])
    assert rowan.send(forged) == [("refused", "key_unknown")]


@pytest.mark.parametrize("login", ["noor", "rowan"])
def test_author_and_reader_have_no_key_and_record_nothing(browser, card, login):
    person = browser(login)
    assert person.ask("POST", "/api/keys", person.phone.enrolment(person.person["person"])).status_code == 403
    assert person.send(person.passes(card, "surface")) == [("refused", "key_unknown")]


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
    assert verdict(maria, changed(maria, entry, author=author)) == ("refused", "author_differs")


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
    answers = maria.exchange([changed(maria, bad, server=OTHER), good["text"]])["answers"]
    assert [answer["verdict"] for answer in answers] == ["refused", "kept"]


def test_a_refusal_that_could_not_be_written_down_holds_back_nothing(browser, card):
    """The doubled name is half a character, which no reason in the quarantine can quote."""
    maria = browser()
    poison = {"text": signed(maria, '{"\\ud800":1,"\\ud800":2}')}
    assert maria.send(poison, maria.passes(card, "surface")) == [("refused", "json_text"), ("kept", None)]


def test_what_was_refused_is_kept_with_its_reason(browser, card):
    maria, ines = browser("maria"), browser("ines")
    text = changed(maria, maria.passes(card, "surface"), server=OTHER)
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
