"""Signing in by the key on the phone: one proof, once, soon, by a living key."""

import pytest

from crew import Member, leave
from witnessmark.records import key_sessions, keys, nonces, sessions
from witnessmark.records.database import writing
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.problems import Problem
from witnessmark.rules.signature import ENROLMENT_TYP, SESSION_TYP


@pytest.fixture
def maria(app):
    with app.app_context():
        yield Member("maria")


def proof(member, given, typ=SESSION_TYP, **changes):
    said = {"v": 1, "server": member.phone.server, "device": member.phone.device, "person": member.person,
            "nonce": given, **changes}
    return member.phone.key_of(member.person).sign(typ, canonical_text(said))


def refused(text):
    with pytest.raises(Problem) as told:
        key_sessions.sign_in_by_key(text)
    return told.value.code == "session_proof_wrong"


def test_a_proof_begins_a_session_of_that_person_on_that_phone(maria):
    token, person = key_sessions.sign_in_by_key(proof(maria, key_sessions.challenge(maria.kid)))
    found = sessions.find_session(token, 60, 60)
    assert (found["person"], found["device"]) == (person, maria.phone.device)
    assert person["person"] == maria.person


def test_a_challenge_is_good_for_one_proof(maria):
    text = proof(maria, key_sessions.challenge(maria.kid))
    key_sessions.sign_in_by_key(text)
    assert refused(text)


@pytest.mark.parametrize("changes", [
    {"server": "0" * 32}, {"device": "0" * 32}, {"person": "0" * 32}, {"v": 2}, {"nonce": "0" * 64}, {"nonce": None},
    {"more": "x"},
], ids=["server", "device", "person", "version", "nonce", "no nonce", "one member more"])
def test_every_word_of_the_proof_counts(maria, changes):
    assert refused(proof(maria, key_sessions.challenge(maria.kid), **changes))


def test_another_persons_challenge_another_kind_of_proof_and_nonsense_are_refused(maria):
    ines = Member("ines")
    assert refused(proof(maria, key_sessions.challenge(ines.kid)))
    assert refused(proof(maria, key_sessions.challenge(maria.kid), typ=ENROLMENT_TYP))
    assert refused("nonsense")
    key = maria.phone.key_of(maria.person)
    assert refused(key.sign(SESSION_TYP, "[1]")) and refused(key.sign(SESSION_TYP, "{ }"))


def test_an_ended_key_and_a_person_who_left_are_refused(maria):
    ines = Member("ines")
    with writing() as session:
        keys.end(session, maria.kid, "phone lost", None)
    assert refused(proof(maria, key_sessions.challenge(maria.kid)))
    leave("ines")
    assert refused(proof(ines, key_sessions.challenge(ines.kid)))


def test_a_challenge_grows_old_and_strangers_cannot_fill_the_memory(maria, monkeypatch):
    text = proof(maria, key_sessions.challenge(maria.kid))
    now = nonces.unix_now()
    monkeypatch.setattr(nonces, "unix_now", lambda: now + nonces.GOOD_FOR_S + 1)
    assert refused(text)
    kept = nonces.Nonces()
    first = kept.give(maria.kid)
    for number in range(nonces.AT_MOST):
        kept.give(f"stranger {number}")
    assert not kept.use(first, maria.kid) and len(kept._given) == nonces.AT_MOST


def test_a_proof_ends_the_session_before_it(maria):
    old, _ = key_sessions.sign_in_by_key(proof(maria, key_sessions.challenge(maria.kid)))
    key_sessions.sign_in_by_key(proof(maria, key_sessions.challenge(maria.kid)), old)
    assert sessions.find_session(old, 60, 60) is None


def test_questions_for_other_keys_push_nobodys_challenge_out(maria):
    ines = Member("ines")
    first, given = key_sessions.challenge(maria.kid), key_sessions.challenge(ines.kid)
    for number in range(nonces.AT_MOST + 1):
        key_sessions.challenge(f"{number:043}")
    for _ in range(nonces.AT_MOST_OF_ONE):
        key_sessions.challenge(maria.kid)
    assert key_sessions.sign_in_by_key(proof(ines, given))
    assert refused(proof(maria, first))
