"""Keys by HTTP: setting up signing, signing in by key, ending a key, and what a phone is told."""

import hashlib

import pytest
import rfc8785

from cast import PASSWORD, Browser
from witnessmark.demo_phone import Key
from witnessmark.records import clock, nonces
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.signature import ENROLMENT_TYP, ENTRY_TYP, SESSION_TYP

NEVER = "a" * 43


def code(answer):
    return answer.json["problem"]["code"] if answer.status_code >= 400 else None


def enrolment(browser, key, typ=ENROLMENT_TYP, signer=None, **changes):
    """What enrols `key`; `changes` are of what the proof says."""
    said = {"v": 1, "server": browser.phone.server, "person": browser.person["person"],
            "device": browser.phone.device, "guard": "code", "claimed_at": "2026-11-25T08:00:00Z", **changes}
    said = {name: value for name, value in said.items() if value is not None}
    proof = (signer or key).sign(typ, canonical_text(said))
    return {"jwk": key.jwk, "guard": "code", "label": "Hangar phone", "proof": proof}


@pytest.fixture
def maria(browser):
    """Maria on a phone without a key."""
    return browser(None).sign_in("maria", enrols=False)


def test_a_key_is_set_up_once_and_the_same_again_changes_nothing(maria):
    key = Key()
    first, again = (maria.ask("POST", "/api/keys", enrolment(maria, key)) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json == again.json == {"kid": key.kid, "vouch_needed": False}
    assert [one["kid"] for one in maria.ask("GET", "/api/phone").json["keys"]] == [key.kid]


WRONG_PROOFS = {
    "another server": {"server": "e" * 32},
    "another person": {"person": "e" * 32},
    "another phone": {"device": "e" * 32},
    "another guard than is asked for": {"guard": "passkey"},
    "another version": {"v": 2},
    "a member too many": {"extra": "x"},
    "no time": {"claimed_at": None},
    "a time that is none": {"claimed_at": "yesterday"},
    "signed by another key": {"signer": Key()},
    "signed as an entry": {"typ": ENTRY_TYP},
    "signed as a session": {"typ": SESSION_TYP},
}


@pytest.mark.parametrize("why", WRONG_PROOFS)
def test_a_proof_that_is_not_of_this_key_for_this_person_here_is_refused(maria, why):
    refused = maria.ask("POST", "/api/keys", enrolment(maria, Key(), **WRONG_PROOFS[why]))
    assert (refused.status_code, code(refused)) == (422, "enrolment_wrong")
    assert maria.ask("GET", "/api/phone").json["keys"] == []


@pytest.mark.parametrize("proof", ["x", "a.b.c", "{}", "....", "ü"])
def test_a_proof_that_is_no_jws_is_refused(maria, proof):
    assert code(maria.ask("POST", "/api/keys", {**enrolment(maria, Key()), "proof": proof})) == "enrolment_wrong"


@pytest.mark.parametrize(("change", "problem"), [
    ({"y": "AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"}, "key_form"), ({"crv": "P-384"}, "key_form"),
    ({"x": "short"}, "key_form"), ({"kty": "RSA"}, "key_form"), ({"d": "a" * 43}, "request_shape")])
def test_only_the_public_half_of_a_p256_key_is_taken(maria, change, problem):
    """A client that sent its private half by mistake is refused before anything of it is kept."""
    wanted = enrolment(maria, Key())
    assert code(maria.ask("POST", "/api/keys", {**wanted, "jwk": {**wanted["jwk"], **change}})) == problem


@pytest.mark.parametrize("change", [{"guard": "none"}, {"label": "x" * 61}, {"label": "two\nlines"},
                                    {"person": "a" * 32}])
def test_what_is_said_of_a_key_has_its_shape(maria, change):
    assert code(maria.ask("POST", "/api/keys", {**enrolment(maria, Key()), **change})) == "request_shape"


def test_nobody_enrols_the_key_of_somebody_else(maria):
    key = Key()
    maria.ask("POST", "/api/keys", enrolment(maria, key))
    tom = maria.sign_in("tom", enrols=False)
    assert code(tom.ask("POST", "/api/keys", enrolment(tom, key))) == "enrolment_wrong"


def test_a_new_key_ends_the_older_one_and_an_ended_one_never_comes_back(maria, card):
    old = maria.phone.key_of(maria.person["person"])
    maria.ask("POST", "/api/keys", enrolment(maria, old))
    late = maria.passes(card, "surface")
    new = Key()
    assert maria.ask("POST", "/api/keys", enrolment(maria, new)).status_code == 201
    told = maria.ask("GET", "/api/phone").json
    assert [one["kid"] for one in told["ended"]] == [old.kid] and told["ended"][0]["why"] == "replaced"
    assert maria.send(late) == [("refused", "key_ended")]
    assert code(maria.ask("POST", "/api/keys", enrolment(maria, old))) == "enrolment_wrong"


@pytest.mark.parametrize(("login", "whose", "status"), [
    ("maria", "maria", 200), ("ines", "ines", 200), ("noor", "maria", 200), ("noor", "ines", 200),
    ("tom", "maria", 403), ("ines", "maria", 403), ("maria", "ines", 403), ("rowan", "maria", 403)])
def test_one_ends_ones_own_key_and_an_author_anybodys(browser, card, login, whose, status):
    owner, asker = browser(whose), browser(login)
    kid = owner.phone.key_of(owner.person["person"]).kid
    before, after = owner.passes(card, "surface"), owner.passes(card, "boom")
    assert owner.send(before) == [("kept", None)]
    assert asker.ask("POST", f"/api/keys/{kid}/end", {"why": "Phone lost."}).status_code == status
    if asker.person != owner.person and status == 200:
        owner.sign_in(whose, enrols=False)
    assert owner.send(after) == [("kept", None) if status == 403 else ("refused", "key_ended")]
    assert len(owner.page(card)["entries"]) == (2 if status == 403 else 1)


def test_ending_a_key_needs_a_reason_and_a_key(browser):
    noor, maria = browser("noor"), browser("maria")
    kid = maria.phone.key_of(maria.person["person"]).kid
    assert code(noor.ask("POST", f"/api/keys/{kid}/end", {"why": " "})) == "reason_needed"
    assert code(noor.ask("POST", f"/api/keys/{NEVER}/end", {"why": "Lost."})) == "not_found"
    assert code(maria.ask("POST", f"/api/keys/{NEVER}/end", {"why": "Lost."})) == "role_needed"
    for _ in range(2):
        assert noor.ask("POST", f"/api/keys/{kid}/end", {"why": "Lost."}).status_code == 200


def proof(browser, nonce, typ=SESSION_TYP, signer=None, **changes):
    said = {"v": 1, "server": browser.phone.server, "device": browser.phone.device,
            "person": browser.person["person"], "nonce": nonce, **changes}
    key = signer or browser.phone.key_of(browser.person["person"])
    return {"proof": key.sign(typ, canonical_text(said))}


def nonce_of(browser, kid=None):
    kid = kid or browser.phone.key_of(browser.person["person"]).kid
    return browser.ask("POST", "/api/session/challenge", {"kid": kid}).json["nonce"]


def test_the_key_signs_its_person_in_without_a_password(browser):
    maria = browser("maria")
    old = maria.client.get_cookie("sid").value
    answer = maria.ask("POST", "/api/session/key", proof(maria, nonce_of(maria)))
    assert (answer.status_code, answer.json["person"]) == (201, maria.person)
    assert maria.client.get_cookie("sid").value != old
    assert maria.ask("GET", "/api/session").json["person"] == maria.person
    maria.client.set_cookie("sid", old)
    assert maria.ask("GET", "/api/session").status_code == 401


def test_handing_over_by_key_changes_who_is_signed_in(browser, card):
    phone = browser("maria").sign_in("tom")
    tom = phone.person
    phone.sign_in("maria")
    phone.person = tom
    assert phone.ask("POST", "/api/session/key", proof(phone, nonce_of(phone))).json["person"]["name"] == "Tom Adler"


WRONG_SESSIONS = {
    "another server": {"server": "e" * 32}, "another phone": {"device": "e" * 32},
    "another person": {"person": "e" * 32}, "another version": {"v": 2}, "a member too many": {"extra": "x"},
    "a nonce never given": {"nonce": "a" * 64}, "a nonce that is none": {"nonce": 1},
    "signed as an entry": {"typ": ENTRY_TYP}, "signed as an enrolment": {"typ": ENROLMENT_TYP},
    "signed by a key nobody knows": {"signer": Key()},
}


@pytest.mark.parametrize("why", WRONG_SESSIONS)
def test_a_proof_that_is_not_exactly_right_signs_nobody_in(browser, why):
    maria = browser("maria")
    refused = maria.ask("POST", "/api/session/key", proof(maria, **{"nonce": nonce_of(maria), **WRONG_SESSIONS[why]}))
    assert (refused.status_code, code(refused)) == (401, "session_proof_wrong")
    assert "Set-Cookie" not in refused.headers


def test_a_proof_is_good_once_for_its_own_key_and_for_two_minutes(browser, monkeypatch):
    maria, tom = browser("maria"), browser("tom")
    used = proof(maria, nonce_of(maria))
    assert [maria.ask("POST", "/api/session/key", used).status_code for _ in range(2)] == [201, 401]
    strangers = proof(maria, nonce_of(tom))
    assert code(maria.ask("POST", "/api/session/key", strangers)) == "session_proof_wrong"
    late = proof(maria, nonce_of(maria))
    monkeypatch.setattr(nonces, "unix_now", lambda: clock.unix_now() + 121)
    assert code(maria.ask("POST", "/api/session/key", late)) == "session_proof_wrong"


def test_an_ended_key_signs_nobody_in(browser):
    maria = browser("maria")
    kid = maria.phone.key_of(maria.person["person"]).kid
    ready = proof(maria, nonce_of(maria))
    maria.ask("POST", f"/api/keys/{kid}/end", {"why": "Lost."})
    assert code(maria.ask("POST", "/api/session/key", ready)) == "session_proof_wrong"


def test_a_challenge_tells_nothing_of_which_keys_there_are(browser):
    maria = browser("maria")
    known, unknown = nonce_of(maria), nonce_of(maria, NEVER)
    assert len(known) == len(unknown) == 64 and known != unknown
    assert browser(None).ask("POST", "/api/session/challenge", {"kid": "x"}).status_code == 422


def test_a_phone_is_told_who_signs_on_it_and_every_key_there_ever_was(app, browser):
    maria, ines = browser("maria"), browser("ines")
    here = {one["name"]: one for one in maria.ask("GET", "/api/phone").json["people"]}
    assert here["Maria Vance"]["kid"] == maria.phone.key_of(maria.person["person"]).kid
    assert here["Ines Calder"]["kid"] is None
    assert {name: value for name, value in here["Maria Vance"].items() if name != "kid"} == maria.person
    told = ines.ask("GET", "/api/phone").json
    assert {(one["name"], one["device"]) for one in told["keys"]} == {
        ("Maria Vance", maria.phone.device), ("Ines Calder", ines.phone.device)}
    assert told["lease_days"] == 14 and len(told["log_key"]) == 64


def test_an_ended_key_is_nobodys_key_on_this_phone_any_more(browser):
    maria = browser("maria")

    def kids():
        told = maria.ask("GET", "/api/phone").json
        return [one["kid"] for one in told["people"] if one["kid"]], [one["kid"] for one in told["ended"]]

    kid = maria.phone.key_of(maria.person["person"]).kid
    assert kids() == ([kid], [])
    maria.ask("POST", f"/api/keys/{kid}/end", {"why": "Phone sold."})
    assert kids() == ([], [kid])
    assert browser("tom").ask("GET", "/api/phone").json["ended"] == []


def test_the_digest_names_what_the_phone_is_told(browser):
    """RFC 8785 by the package rfc8785, which shares no code with ours."""
    maria = browser("maria")
    told = maria.ask("GET", "/api/phone").json
    digest = told.pop("digest")
    assert hashlib.sha256(rfc8785.dumps(told)).hexdigest() == digest
    assert maria.exchange()["phone"] == digest


def test_the_digest_changes_with_everything_the_phone_is_told_and_with_nothing_else(browser, card):
    maria, noor = browser("maria"), browser("noor")
    seen = [maria.exchange()["phone"]]
    maria.send(maria.passes(card, "surface"))
    assert maria.exchange()["phone"] == seen[0]
    tool = {"serial": "TW-07", "name": "Torque wrench", "calibrated_until": "2026-12-31"}
    for change in (lambda: noor.ask("POST", "/api/tools", tool),
                   lambda: noor.ask("POST", "/api/tools", {**tool, "calibrated_until": "2027-12-31"}),
                   lambda: browser("ines"),
                   lambda: noor.ask("POST", f"/api/people/{browser('tom').person['person']}/end", {"why": "Left."}),
                   lambda: maria.ask("POST", "/api/keys", enrolment(maria, Key()))):
        change()
        seen.append(maria.exchange()["phone"])
    assert len(set(seen)) == 6


def test_a_left_person_stands_no_more_among_the_people_but_their_key_stays_known(browser):
    maria, noor = browser("maria"), browser("noor")
    noor.ask("POST", f"/api/people/{maria.person['person']}/end", {"why": "Left."})
    told = noor.ask("GET", "/api/phone").json
    assert "Maria Vance" not in {one["name"] for one in told["people"]}
    assert [one["name"] for one in told["keys"]] == ["Maria Vance"]


def test_setting_up_signing_needs_a_session_of_that_very_phone(app, browser):
    """The id of a phone stands in every entry; only its secret opens a session as that phone."""
    maria, thief = browser("maria"), Browser(app)
    thief.sign_in("maria", PASSWORD, enrols=False)
    thief.phone.device = maria.phone.device
    assert code(thief.ask("POST", "/api/keys", enrolment(thief, Key()))) == "enrolment_wrong"


def test_a_key_that_an_author_ends_signs_its_phone_out_at_once_and_no_other(browser):
    """The phone is lost: it must not go on reading either. Whoever ends their own key stays signed in."""
    lost, other, noor = browser("maria"), browser("maria"), browser("noor")
    kid = lost.phone.key_of(lost.person["person"]).kid
    assert noor.ask("POST", f"/api/keys/{kid}/end", {"why": "Phone lost."}).status_code == 200
    assert [phone.ask("GET", "/api/session").status_code for phone in (lost, other)] == [401, 200]
    own = other.phone.key_of(other.person["person"]).kid
    assert other.ask("POST", f"/api/keys/{own}/end", {"why": "Another phone now."}).status_code == 200
    assert other.ask("GET", "/api/session").status_code == 200
