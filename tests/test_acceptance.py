"""What the server takes in, refuses and lifts: the order of its checks, the lease, alarms, admissions."""

import copy

import pytest
from sqlalchemy import update

from cast import CODE, TEMPLATE
from crew import Member, choose, hire, leave, leaves, person_of
from witnessmark.demo_phone import failing
from witnessmark.records import cards, entries, keys, log, phones, quarantine, shop
from witnessmark.records.clock import unix_now, utc_text
from witnessmark.records.database import writing
from witnessmark.records.log_tables import Phone
from witnessmark.records.tables import Person, Role
from witnessmark.rules.acceptance import ADMISSIBLE
from witnessmark.rules.entry import content_id, entry_text
from witnessmark.rules.merkle import leaf_hash, verify_inclusion
from witnessmark.rules.problems import Problem
from witnessmark.rules.signature import ENTRY_TYP

OTHER = "0" * 32
DAY_S = 24 * 3600


@pytest.fixture
def inside(app):
    """The app's context."""
    with app.app_context():
        yield app


@pytest.fixture
def maria(inside):
    return Member("maria")


@pytest.fixture
def ines(inside):
    return Member("ines")


@pytest.fixture
def ivo(inside):
    """A second inspector."""
    hire("ivo", "inspector")
    return Member("ivo")


def end_key(member, why="phone lost"):
    with writing() as session:
        keys.end(session, member.kid, why, None)


def synced_days_ago(member, days):
    with writing() as session:
        session.execute(update(Phone).where(Phone.device == member.phone.device).values(
            synced_s=unix_now() - days * DAY_S))


def admission(member, card, entry):
    return member.phone.admit(member.facts, card, entry["id"], "I saw the work done.")


def signed_again(member, entry):
    """The same payload under a fresh signature of the same key (ECDSA signatures differ each time)."""
    return member.phone.key_of(member.person).sign(ENTRY_TYP, entry_text(entry["payload"]))


def broken(entry):
    """The entry's text with one bit of its signature's first byte turned."""
    head, body, signature = entry["text"].split(".")
    letter = "A" if signature[0] != "A" else "B"
    return f"{head}.{body}.{letter}{signature[1:]}"


def test_an_entry_that_is_kept_is_a_leaf_of_the_log_at_once(maria, card):
    entry = maria.passes(card, "surface")
    before = log.size()
    assert maria.send(entry) == [("kept", None)]
    (leaf,) = leaves("entry")
    assert (leaf["id"], leaf["signed"]) == (entry["id"], content_id(entry["text"]))
    assert log.size() == before + 1
    found = log.inclusion(entry["id"])
    assert found["root"] == log.checkpoint()["root"]
    assert verify_inclusion(leaf_hash(found["leaf"]), found["number"] - 1, found["size"], found["proof"], found["root"])


def test_the_same_text_again_is_here_already_and_no_second_leaf(maria, card):
    entry = maria.passes(card, "surface")
    assert maria.send(entry, entry) == [("kept", None), ("already_here", None)]
    assert maria.send(entry) == [("already_here", None)]
    assert len(leaves("entry")) == 1


def test_a_text_that_cannot_be_read_is_kept_apart_and_holds_back_nothing(maria, card):
    assert maria.send("nonsense", "a.b.c", "x" * 70000, maria.passes(card, "surface")) == [
        ("refused", "jws_malformed"), ("refused", "jws_malformed"), ("refused", "entry_too_large"), ("kept", None)]
    assert [(leaf["code"], leaf["id"]) for leaf in leaves("refused")][0] == ("jws_malformed", content_id("nonsense"))


def test_the_id_of_what_is_signed_but_misshapen_is_still_that_of_its_payload(maria, card):
    text = maria.phone.key_of(maria.person).sign(ENTRY_TYP, '{"v":2}')
    with writing() as session:
        (answer,), _, _ = entries.receive(session, [text], maria.person, maria.phone.device)
    assert (answer["id"], answer["problem"].code) == (content_id('{"v":2}'), "entry_shape")


REFUSALS = [
    ("entry_other_server", {"server": OTHER}),
    ("entry_card_unknown", {"card": OTHER}),
    ("entry_card_differs", {"revision": "0" * 64}),
    ("entry_card_differs", {"aircraft": {"registration": "N0417W", "serial_number": "0043"}}),
    ("entry_item_unknown", {"item": "wing"}),
]


@pytest.mark.parametrize(("code", "changes"), REFUSALS)
def test_what_is_said_of_the_card_must_be_true(maria, card, code, changes):
    assert maria.send(maria.passes(card, "surface", changes=changes)) == [("refused", code)]


def test_a_key_the_shop_never_saw_is_refused(maria, card):
    del maria.phone.keys[maria.person]
    assert maria.send(maria.passes(card, "surface")) == [("refused", "key_unknown")]


def test_a_changed_signature_is_refused(maria, card):
    assert maria.send(broken(maria.passes(card, "surface"))) == [("refused", "signature_wrong")]


def test_a_payload_under_the_signature_of_another_payload_is_refused(maria, card):
    one, other = maria.passes(card, "surface"), maria.passes(card, "boom")
    head, _, signature = one["text"].split(".")
    assert maria.send(f"{head}.{other['text'].split('.')[1]}.{signature}") == [("refused", "signature_wrong")]


def test_one_person_cannot_sign_for_another_nor_on_another_phone(maria, ines, card):
    author = {name: maria.facts[name] for name in ("person", "name", "certificate")}
    assert ines.send(ines.passes(card, "surface", changes={"author": author})) == [("refused", "key_of_other")]
    assert ines.send(ines.passes(card, "surface", changes={"device": maria.phone.device})) == [
        ("refused", "key_of_other")]


@pytest.mark.parametrize("change", [{"name": "Maria Vanse"}, {"certificate": {"kind": "mechanic", "number": "M-2"}}])
def test_name_and_certificate_must_be_those_of_the_record(maria, card, change):
    author = {name: maria.facts[name] for name in ("person", "name", "certificate")}
    entry = maria.passes(card, "surface", changes={"author": {**author, **change}})
    assert maria.send(entry) == [("refused", "author_differs")]


def test_what_arrives_after_its_key_was_ended_is_refused_but_what_came_before_stays(maria, card):
    before, after = maria.passes(card, "surface"), maria.passes(card, "boom")
    assert maria.send(before) == [("kept", None)]
    end_key(maria)
    assert maria.send(before, after) == [("already_here", None), ("refused", "key_ended")]
    assert [leaf["kid"] for leaf in leaves("key_ended")] == [maria.kid]


def test_enrolling_a_new_key_ends_the_older_one_of_that_person_on_that_phone_alone(maria, ines, card):
    first, old = maria.passes(card, "surface"), maria.kid
    del maria.phone.keys[maria.person]
    again = Member("maria", maria.phone)
    assert (keys.key_of(old)["ended"]["why"], keys.key_of(again.kid)["ended"]) == ("replaced", None)
    assert keys.key_of(ines.kid)["ended"] is None
    assert again.send(first, again.passes(card, "boom")) == [("refused", "key_ended"), ("kept", None)]


def test_the_same_key_is_enrolled_once_and_never_for_somebody_else_or_after_its_end(maria, ines):
    jwk = maria.phone.key_of(maria.person).jwk
    with writing() as session:
        assert keys.enrol(session, maria.person, maria.phone.device, jwk, "code", "x") == (maria.kid, False)
    for person, device in ((ines.person, maria.phone.device), (maria.person, ines.phone.device)):
        with pytest.raises(Problem, match="somebody else"), writing() as session:
            keys.enrol(session, person, device, jwk, "code", "x")
    end_key(maria)
    with pytest.raises(Problem, match="was ended"), writing() as session:
        keys.enrol(session, maria.person, maria.phone.device, jwk, "code", "x")
    assert len(leaves("key")) == 2


def test_no_mechanic_signs_what_is_an_inspectors(maria, card):
    entry = maria.passes(card, "grip")
    made = maria.phone.countersign(maria.facts, card, "grip", [entry["id"]])
    assert maria.send(entry, made) == [("kept", None), ("refused", "not_allowed")]


def test_a_role_counts_on_the_day_of_receipt(maria, card):
    entry = maria.passes(card, "surface")
    with writing() as session:
        session.execute(update(Role).where(Role.person == maria.person).values(until_day="2026-01-31"))
    assert maria.send(entry) == [("refused", "not_allowed")]
    with writing() as session:
        session.execute(update(Role).where(Role.person == maria.person).values(until_day="2999-01-31"))
    assert maria.send(maria.passes(card, "boom")) == [("kept", None)]


def test_a_countersignature_needs_the_code_for_it_alone_and_its_exact_sentence(maria, ines, card):
    entry = maria.passes(card, "grip")
    fresh = ines.phone.countersign(ines.facts, card, "grip", [entry["id"]])
    stale = ines.phone.make(ines.facts, card, "countersignature", "grip", fresh["payload"]["body"],
                            unlocked={"by": "code", "at": utc_text(), "use": 2})
    other = ines.phone.make(ines.facts, card, "countersignature", "grip",
                            {**fresh["payload"]["body"], "statement": "Looks fine."})
    assert ines.send(entry, stale, other, fresh) == [("kept", None), ("refused", "code_not_fresh"),
                                                     ("refused", "statement_differs"), ("kept", None)]


def test_a_release_is_of_the_kind_of_record_that_the_card_is(ines, card):
    body = ines.phone.approval("release", card, TEMPLATE, [])
    unfit = ines.phone.make(ines.facts, card, "release", None, {**body, "record": "inspection_part"})
    assert ines.send(unfit, ines.phone.make(ines.facts, card, "release", None, body)) == [
        ("refused", "record_unfit"), ("kept", None)]


def test_a_certificate_that_the_local_code_does_not_name_signs_no_release(ines, card, app):
    strict = copy.deepcopy(CODE)
    strict["statements"]["inspection"]["certificates"] = ["authorised inspector"]
    choose(strict)
    issued = cards.issue(card["revision"], "N0417W", card["times"], person_of("noor"))
    assert issued["code"] != card["code"]
    ines.phone.code = strict
    release = ines.phone.release(ines.facts, issued, TEMPLATE, [])
    assert ines.send(release) == [("refused", "certificate_unfit")]
    assert ines.send(ines.phone.release(ines.facts, card, TEMPLATE, [])) == [("kept", None)], "its card's code stands"


def test_nobody_countersigns_their_own_work_whatever_the_order_of_arrival(maria, ines, card):
    own = ines.passes(card, "grip")
    made = ines.phone.countersign(ines.facts, card, "grip", [own["id"]])
    assert ines.send(made, own) == [("refused", "own_work"), ("kept", None)], "both in one delivery"
    again = ines.phone.countersign(ines.facts, card, "grip", [own["id"]])
    assert ines.send(again) == [("refused", "own_work")], "the work is here already"


def test_who_mended_it_does_not_countersign_the_new_result(maria, ines, card):
    """The correction behind the head is work too (compare 14 CFR 91.1429)."""
    failed = maria.phone.make(maria.facts, card, "result", "grip", failing("A crack.", "At the root."))
    mended = ines.phone.make(ines.facts, card, "corrective_action", "grip",
                             {"action": "New grip.", "readings": {}, "note": "", "photos": []}, [failed["id"]])
    passed = maria.passes(card, "grip", [mended["id"]])
    made = ines.phone.countersign(ines.facts, card, "grip", [passed["id"]])
    assert maria.send(failed, mended, passed) == [("kept", None)] * 3
    assert ines.send(made) == [("refused", "own_work")]


def test_the_first_check_that_fails_is_the_one_told(maria, card):
    """Each turn has one fault less than the one before."""
    end_key(maria)
    synced_days_ago(maria, 20)
    author = {name: maria.facts[name] for name in ("person", "name", "certificate")}
    faults = [({"server": OTHER}, "entry_other_server"), ({"card": OTHER}, "entry_card_unknown"),
              ({"item": "wing"}, "entry_item_unknown"), ({"device": OTHER}, "key_of_other"),
              ({"author": {**author, "name": "Mary"}}, "author_differs"), ({}, "key_ended")]
    told = []
    for at, (_, code) in enumerate(faults):
        changes = {name: value for change, _ in faults[at:] for name, value in change.items()}
        told.append((maria.send(maria.passes(card, "surface", changes=changes))[0][1], code))
    assert [one for one, _ in told] == [code for _, code in told]


def test_the_same_entry_with_another_signature_is_an_alarm_and_the_first_stands(maria, card):
    entry = maria.passes(card, "surface")
    again = signed_again(maria, entry)
    assert again != entry["text"]
    assert maria.send(entry, again) == [("kept", None), ("refused", "entry_resigned")]
    assert maria.send(again, again) == [("refused", "entry_resigned")] * 2
    assert [(leaf["what"], leaf["id"]) for leaf in leaves("alarm")] == [("entry_resigned", entry["id"])]
    assert [one["text"] for one in cards.entries_of(card["card"])] == [entry["text"]]


def test_a_damaged_copy_of_a_kept_entry_is_no_alarm(maria, card):
    entry = maria.passes(card, "surface")
    assert maria.send(entry, broken(entry)) == [("kept", None), ("refused", "signature_wrong")]
    assert leaves("alarm") == []


def test_a_second_entry_under_one_number_of_a_phone_is_an_alarm(maria, card):
    first = maria.passes(card, "surface")
    maria.phone.sequence, maria.phone.previous = 0, None
    fork = maria.passes(card, "boom")
    assert maria.send(first, fork) == [("kept", None), ("refused", "device_sequence_taken")]
    assert [leaf["what"] for leaf in leaves("alarm")] == ["device_sequence_taken"]


@pytest.mark.parametrize(("away", "signed_days_ago", "verdict"), [
    (20, 0, ("refused", "lease_ended")),
    (20, 5.9, ("refused", "lease_ended")),
    (20, 6.1, ("kept", None)),
    (13, 0, ("kept", None)),
    (13, -300, ("kept", None)),
    (20, 4000, ("kept", None)),
], ids=["away too long", "just after the lease", "signed within the lease", "met in time", "clock far ahead",
        "clock far behind"])
def test_a_phone_that_stayed_away_for_more_than_14_days_may_not_sign(maria, card, away, signed_days_ago, verdict):
    synced_days_ago(maria, away)
    claimed = utc_text(int(unix_now() - signed_days_ago * DAY_S))
    assert maria.send(maria.passes(card, "surface", changes={"claimed_at": claimed})) == [verdict]


def test_syncing_first_does_not_make_good_what_was_signed_while_away(maria, card, monkeypatch):
    """The checkpoint that an entry names brackets it: the log had outgrown that one 20 days before."""
    seen = log.checkpoint()
    with monkeypatch.context() as past:
        past.setattr("witnessmark.records.clock.time.time", lambda: 1764000000 - 20 * DAY_S)
        with writing() as session:
            log.append(session, "rewound", {"epoch": "0" * 32})
    monkeypatch.setattr("witnessmark.records.clock.time.time", lambda: 1764000000)
    with writing() as session:
        phones.note_sync(session, maria.phone.device)
    changes = {"claimed_at": utc_text(), "checkpoint": seen}
    assert maria.send(maria.passes(card, "surface", changes=changes)) == [("refused", "lease_ended")]
    changes["checkpoint"] = log.checkpoint()
    assert maria.send(maria.passes(card, "grip", changes=changes)) == [("kept", None)]


def test_sent_again_after_the_phone_is_back_it_still_waits_for_an_inspector(maria, ines, card):
    synced_days_ago(maria, 20)
    entry = maria.passes(card, "surface")
    assert maria.send(entry) == [("refused", "lease_ended")]
    with writing() as session:
        phones.note_sync(session, maria.phone.device)
    assert maria.send(entry, maria.passes(card, "boom")) == [("refused", "lease_ended"), ("kept", None)]
    assert ines.send(admission(ines, card, entry)) == [("kept", None)]
    assert maria.send(entry) == [("already_here", None)]


def test_an_inspector_takes_in_what_was_signed_before_the_key_was_ended(maria, ines, card):
    entry = maria.passes(card, "surface")
    end_key(maria)
    maria.send(entry)
    (shown,) = quarantine.refused()
    assert (shown["admissible"], shown["resolution"], shown["kept"]) == (True, None, False)
    taken_in = admission(ines, card, entry)
    assert ines.send(taken_in) == [("kept", None)]
    first, second = leaves("entry")
    assert (first["id"], first["admitted_by"], second["id"]) == (entry["id"], taken_in["id"], taken_in["id"])
    (decided,) = leaves("resolved")
    assert (decided["verdict"], decided["person"]) == ("admitted", ines.person)
    (shown,) = quarantine.refused()
    assert shown["kept"] and shown["resolution"]["reason"] == "I saw the work done."
    assert maria.send(entry) == [("already_here", None)]


def refused_entry(maria, card, code):
    """A refused entry of Maria's for each reason that may be lifted."""
    entry = maria.passes(card, "surface")
    if code == "author_differs":
        with writing() as session:
            session.execute(update(Person).where(Person.person == maria.person).values(name="Maria Vance-Ray"))
    if code == "key_ended":
        end_key(maria)
    if code == "lease_ended":
        synced_days_ago(maria, 15)
    if code == "author_unknown":
        leave("maria")
        end_key(maria)
    if code == "not_allowed":
        with writing() as session:
            session.execute(update(Role).where(Role.person == maria.person).values(role="reader"))
    assert maria.send(entry) == [("refused", code)]
    return entry


@pytest.mark.parametrize("code", [code for code in ADMISSIBLE if code != "certificate_unfit"])
def test_each_doubt_about_standing_alone_can_be_lifted(maria, ines, card, code):
    entry = refused_entry(maria, card, code)
    assert ines.send(admission(ines, card, entry)) == [("kept", None)]
    assert {one["id"] for one in cards.entries_of(card["card"])} >= {entry["id"]}


def test_a_release_by_an_unfit_certificate_can_be_lifted_too(ines, ivo, card):
    strict = copy.deepcopy(CODE)
    strict["statements"]["inspection"]["certificates"] = ["authorised inspector"]
    choose(strict)
    issued = cards.issue(card["revision"], "N0417W", card["times"], person_of("noor"))
    ines.phone.code = strict
    release = ines.phone.release(ines.facts, issued, TEMPLATE, [])
    assert ines.send(release) == [("refused", "certificate_unfit")]
    assert ivo.send(admission(ivo, issued, release)) == [("kept", None)]


def test_an_inspector_lifts_the_end_of_an_authority_never_its_lack(maria, ines, card):
    """Nobody becomes an inspector by being taken in: Maria never held that role. A mechanic's work may be lifted."""
    made = [maria.passes(card, name) for name in ("surface", "grip", "bolts", "boom")]
    wanted = [maria.phone.release(maria.facts, card, TEMPLATE, made),
              maria.phone.countersign(maria.facts, card, "grip", [made[1]["id"]])]
    assert maria.send(*made, *wanted) == [("kept", None)] * 4 + [("refused", "not_allowed")] * 2
    assert [one["admissible"] for one in quarantine.refused()] == [False, False]
    assert ines.send(*(admission(ines, card, entry) for entry in wanted)) == [("refused", "not_admissible")] * 2
    late = maria.phone.release(maria.facts, card, TEMPLATE, made)
    end_key(maria)
    assert maria.send(late) == [("refused", "key_ended")]
    assert ines.send(admission(ines, card, late)) == [("refused", "not_admissible")]
    assert {one["payload"]["kind"] for one in cards.entries_of(card["card"])} == {"result"}


def test_nothing_else_can_be_lifted(maria, ines, card):
    entry = maria.passes(card, "surface", changes={"item": "wing"})
    forged = {**maria.passes(card, "boom")}
    maria.send(entry, broken(forged))
    assert ines.send(admission(ines, card, entry), admission(ines, card, forged)) == [("refused", "not_admissible")] * 2
    assert [one["admissible"] for one in quarantine.refused()][2:] == [False, False]
    assert cards.entries_of(card["card"]) == []


def test_an_admission_looks_at_everything_else_again(maria, ines, card):
    """A mechanic's release whose sentence is wrong too: the ended key is told first, the sentence is never lifted."""
    body = maria.phone.approval("release", card, TEMPLATE, [])
    wrong = maria.phone.make(maria.facts, card, "release", None, {**body, "statement": "All fine."})
    entry = maria.passes(card, "surface")
    end_key(maria)
    assert maria.send(wrong, entry) == [("refused", "key_ended")] * 2
    assert ines.send(admission(ines, card, wrong), admission(ines, card, entry)) == [
        ("refused", "not_admissible"), ("kept", None)]


def test_an_entry_whose_number_another_has_taken_meanwhile_is_not_lifted(maria, ines, card):
    late = maria.passes(card, "surface")
    synced_days_ago(maria, 20)
    assert maria.send(late) == [("refused", "lease_ended")]
    with writing() as session:
        phones.note_sync(session, maria.phone.device)
    maria.phone.sequence, maria.phone.previous = 0, None
    assert maria.send(maria.passes(card, "boom")) == [("kept", None)]
    assert ines.send(admission(ines, card, late)) == [("refused", "not_admissible")]
    assert {one["payload"]["item"] for one in cards.entries_of(card["card"])} == {"boom"}


def test_an_admission_and_what_it_takes_in_cannot_share_a_number_of_one_phone(maria, ines, card):
    """Both persons use Maria's phone, and it was set back between the two."""
    late = maria.passes(card, "surface")
    synced_days_ago(maria, 20)
    assert maria.send(late) == [("refused", "lease_ended")]
    there = Member("ines", maria.phone)
    maria.phone.sequence, maria.phone.previous = 0, None
    assert there.send(admission(there, card, late)) == [("refused", "not_admissible")]
    assert ines.send(admission(ines, card, late)) == [("kept", None)]


def test_nobody_takes_in_their_own(ines, card):
    entry = ines.passes(card, "surface")
    synced_days_ago(ines, 20)
    assert ines.send(entry) == [("refused", "lease_ended")]
    with writing() as session:
        phones.note_sync(session, ines.phone.device)
    assert ines.send(admission(ines, card, entry)) == [("refused", "own_work")]


def test_an_admission_names_a_refused_entry_of_its_own_card(maria, ines, card):
    issued = cards.issue(card["revision"], "N0417W", card["times"], person_of("noor"))
    entry = refused_entry(maria, card, "key_ended")
    assert ines.send(admission(ines, card, {"id": "a" * 64})) == [("refused", "not_in_quarantine")]
    assert ines.send(admission(ines, issued, entry)) == [("refused", "entry_card_differs")]


def test_a_refusal_is_decided_once(maria, ines, ivo, card):
    entry = refused_entry(maria, card, "key_ended")
    assert ines.send(admission(ines, card, entry), admission(ines, card, entry)) == [
        ("kept", None), ("refused", "already_resolved")]
    assert ivo.send(admission(ivo, card, entry)) == [("refused", "already_resolved")]
    with pytest.raises(Problem, match="decided about this entry already"), writing() as session:
        quarantine.set_aside(session, quarantine.refused()[-1]["number"], "No.", ivo.person)


def test_what_was_set_aside_stays_out_even_when_nothing_stands_against_it_any_more(maria, ines, card):
    entry = refused_entry(maria, card, "not_allowed")
    number = quarantine.refused()[0]["number"]
    with pytest.raises(Problem, match="Say why"), writing() as session:
        quarantine.set_aside(session, number, " ", ines.person)
    with writing() as session:
        quarantine.set_aside(session, number, "He was not here that day.", ines.person)
    with writing() as session:
        session.execute(update(Role).where(Role.person == maria.person).values(role="mechanic"))
    assert maria.send(entry, maria.passes(card, "boom")) == [("refused", "not_allowed"), ("kept", None)]
    assert ines.send(admission(ines, card, entry)) == [("refused", "already_resolved")]
    (decided,) = leaves("resolved")
    assert (decided["verdict"], decided["number"]) == ("set_aside", number)
    assert quarantine.refused()[-1]["resolution"] == {
        "verdict": "set_aside", "reason": "He was not here that day.", "name": "Ines Calder",
        "at": quarantine.refused()[-1]["resolution"]["at"]}
    with pytest.raises(Problem, match="no refused entry"), writing() as session:
        quarantine.set_aside(session, 999, "No.", ines.person)


def test_a_failed_transaction_leaves_neither_entry_nor_leaf(maria, card, monkeypatch):
    before = log.checkpoint()
    monkeypatch.setattr(log, "append_all", lambda *args: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        maria.send(maria.passes(card, "surface"))
    monkeypatch.undo()
    assert (log.checkpoint(), cards.entries_of(card["card"])) == (before, [])


def test_a_thousand_entries_come_in_one_delivery_with_a_leaf_each(maria, card):
    sent = [maria.passes(card, "surface", note=str(number)) for number in range(1000)]
    assert maria.send(*sent) == [("kept", None)] * 1000
    assert [leaf["id"] for leaf in leaves("entry")] == [entry["id"] for entry in sent]


def test_the_shop_and_its_people_are_leaves_too(maria, card):
    kinds = {leaf["kind"] for leaf in leaves()}
    assert {"person", "local_code", "card", "key"} <= kinds
    (issued,) = leaves("card")
    assert (issued["card"], issued["code"]) == (card["card"], shop.shop()["local_code"])
    shop.new_epoch()
    assert leaves()[-1]["kind"] == "rewound"
    assert leaves()[-1]["epoch"] == shop.shop()["epoch"]
    assert len(leaves("person")) == 5


def test_who_sends_what_no_key_signed_fills_nothing(maria, card, monkeypatch):
    monkeypatch.setattr(entries, "MOST_UNPROVEN", 3)
    told = maria.send("junk 1", "junk 2", maria.passes(card, "surface"), "junk 3", "junk 4", "junk 5")
    assert [verdict for verdict, _ in told] == ["refused", "refused", "kept", "refused", "refused", "refused"]
    assert sorted(one["text"] for one in quarantine.refused()) == ["junk 1", "junk 2", "junk 3"]
    assert maria.send("junk 6") == [("refused", "jws_malformed")] and len(quarantine.refused()) == 3


def test_no_admission_puts_an_invented_name_on_the_record(maria, ines, card):
    entry = maria.passes(card, "surface")
    author = {**entry["payload"]["author"], "name": "Chief Inspector"}
    invented = maria.passes(card, "boom", changes={"author": author})
    assert maria.send(invented) == [("refused", "author_differs")]
    assert quarantine.refused()[0]["admissible"] is False
    assert ines.send(admission(ines, card, invented)) == [("refused", "not_admissible")]
