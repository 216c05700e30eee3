"""An author who gives somebody a new password cannot sign in that person's name: a colleague must vouch for the key."""

import pytest
from click.testing import CliRunner

from cast import PASSWORD, TEMPLATE, Browser
from crew import leave, leaves, vouch_text
from witnessmark import data_folder
from witnessmark.cli import main
from witnessmark.demo_phone import Key
from witnessmark.records import vouching
from witnessmark.rules.entry import content_id
from witnessmark.rules.problems import Problem
from witnessmark.rules.signature import ENROLMENT_TYP, ENTRY_TYP, SESSION_TYP

NEW = "four words make sense"
WHY = "Password forgotten."
UNVOUCHED = [("refused", "key_unvouched")]
ROLES_OF_NOOR = [{"role": role, "from": None, "until": None} for role in ("mechanic", "inspector", "author")]


def code(answer):
    return answer.json["problem"]["code"] if answer.status_code >= 400 else None


def why(answer):
    return answer.json["problem"]["fields"]["why"]


def start_anew(noor, who):
    told = noor.ask("POST", f"/api/people/{who['person']}/password", {"password": NEW, "why": WHY})
    assert told.status_code == 200


def enrol(browser):
    """Set up signing for whoever is signed in; returns the answer."""
    answer = browser.ask("POST", "/api/keys", browser.phone.enrolment(browser.person["person"]))
    assert answer.status_code == 201, answer.json
    return answer.json


def vouch(browser, kid, person, /, proof=None, **changes):
    text = proof or vouch_text(browser.phone, browser.person["person"], kid, person["person"], **changes)
    return browser.ask("POST", f"/api/keys/{kid}/vouch", {"proof": text})


def waiting(browser):
    return browser.ask("GET", "/api/keys/waiting").json["keys"]


def own_kid(browser):
    return browser.phone.key_of(browser.person["person"]).kid


@pytest.fixture
def ines(browser):
    """Who she is; her own phone had its key before any new start."""
    return browser("ines").person


@pytest.fixture
def noor(browser):
    """The author, who is mechanic and inspector too and signs on a phone of her own."""
    noor = browser("noor")
    facts = {"name": noor.person["name"], "certificate": {"kind": "inspector", "number": "I-9"},
             "authorities": ROLES_OF_NOOR}
    changed = noor.ask("PUT", f"/api/people/{noor.person['person']}", facts, **{"Content-Type": "application/json"})
    assert changed.status_code == 200
    return noor.sign_in("noor")


@pytest.fixture
def maria(browser):
    return browser("maria")


@pytest.fixture
def thief(app, noor, ines):
    """The author's other phone: she has given Ines a new password, signs in as Ines and sets up a key there."""
    start_anew(noor, ines)
    phone = Browser(app).sign_in("ines", NEW, enrols=False)
    assert enrol(phone) == {"kid": own_kid(phone), "vouch_needed": True}
    return phone


def test_the_author_cannot_sign_in_the_name_of_somebody_whose_password_they_gave(thief, noor, ines, card):
    kid = own_kid(thief)
    assert thief.send(thief.passes(card, "surface")) == UNVOUCHED
    as_author = vouch(noor, kid, ines)
    assert (code(as_author), why(as_author)) == (
        "vouch_wrong", "whoever made the new start cannot vouch, a colleague does")
    for by in (thief, Browser(thief.client.application).sign_in("ines", NEW)):
        refused = vouch(by, kid, ines)
        assert (code(refused), why(refused)) == ("vouch_wrong", "the key that signed it waits for a vouch itself")
    assert thief.send(thief.passes(card, "grip")) == UNVOUCHED
    assert noor.page(card)["entries"] == []


def test_another_of_the_persons_own_keys_cannot_vouch_even_when_it_is_vouched_for(thief, app, maria, ines):
    own = Browser(app).sign_in("ines", NEW)
    assert vouch(maria, own_kid(own), ines).status_code == 200
    refused = vouch(own, own_kid(thief), ines)
    assert (code(refused), why(refused)) == ("vouch_wrong", "nobody vouches for themself, a colleague does")


def test_the_author_who_knows_the_password_still_cannot_sign_once_a_colleague_has_vouched_for_another_key(
        app, noor, maria, ines, card):
    start_anew(noor, ines)
    own = Browser(app).sign_in("ines", NEW)
    assert vouch(maria, own_kid(own), ines).status_code == 200
    assert own.send(own.passes(card, "surface")) == [("kept", None)]
    thief = Browser(app).sign_in("ines", NEW)
    assert thief.send(thief.passes(card, "grip")) == UNVOUCHED


def test_nor_by_changing_that_password_as_the_person(app, noor, ines, card):
    start_anew(noor, ines)
    thief = Browser(app).sign_in("ines", NEW, enrols=False)
    assert thief.ask("POST", "/api/session/password", {"old": NEW, "new": PASSWORD}).status_code == 201
    assert enrol(thief)["vouch_needed"]
    assert thief.send(thief.passes(card, "surface")) == UNVOUCHED


def test_a_colleague_vouches_and_what_waited_is_taken_in(thief, app, maria, ines, card):
    """The right Ines this time: the same phone, with Maria beside her."""
    kid = own_kid(thief)
    surface = thief.passes(card, "surface")
    grip = thief.phone.countersign(thief.person, card, "grip", ["1" * 64])
    assert thief.send(surface, grip) == UNVOUCHED * 2
    (found,) = waiting(maria)
    assert (found["kid"], found["person"], found["name"]) == (kid, ines["person"], "Ines Calder")
    assert (found["label"], found["since"]["name"], found["since"]["why"]) == (
        "Phone without a screen", "Noor Whitlock", WHY)
    proof = vouch_text(maria.phone, maria.person["person"], kid, ines["person"])
    assert vouch(maria, kid, ines, proof).json == {"kid": kid}
    assert waiting(maria) == []
    assert {entry["id"] for entry in maria.page(card)["entries"]} == {surface["id"], grip["id"]}
    assert thief.send(surface, thief.passes(card, "boom")) == [("already_here", None), ("kept", None)]
    resolved = [one["resolution"] for one in thief.ask("GET", "/api/quarantine").json["entries"]]
    assert [(one["verdict"], one["name"], one["reason"]) for one in resolved] == [
        ("admitted", "Maria Vance", "vouched for by Maria Vance")] * 2
    with app.app_context():
        (leaf,) = leaves("vouched")
        kinds = [one["kind"] for one in leaves()]
    assert leaf == {"kind": "vouched", "at": leaf["at"], "kid": kid, "person": ines["person"],
                    "by": maria.person["person"], "signed": content_id(proof)}
    assert kinds[kinds.index("vouched"):] == ["vouched", "entry", "entry", "resolved", "resolved", "entry"]


def test_an_approval_that_waited_has_its_paper_made(thief, app, maria, ines, card):
    grip = maria.passes(card, "grip")
    made = [*(maria.passes(card, name) for name in ("surface", "bolts", "boom")), grip,
            thief.phone.countersign(thief.person, card, "grip", [grip["id"]])]
    maria.send(*made[:4])
    release = thief.phone.release(thief.person, card, TEMPLATE, made)
    assert thief.send(made[4], release) == UNVOUCHED * 2
    kicked = []
    app.extensions["witnessmark_office"].kick = lambda: kicked.append(1)
    assert vouch(maria, own_kid(thief), ines).status_code == 200
    assert (kicked, maria.page(card)["state"]["status"]) == ([1], "released")


def test_the_same_vouch_again_changes_nothing_and_a_second_colleague_is_told(app, browser, thief, maria, ines):
    kid = own_kid(thief)
    assert [vouch(maria, kid, ines).status_code for _ in range(2)] == [200, 200]
    refused = vouch(browser("tom"), kid, ines)
    assert why(refused) == "somebody else has vouched for the key already"
    with app.app_context():
        assert len(leaves("vouched")) == 1


def test_what_waits_for_a_vouch_cannot_be_taken_in_by_an_admission(thief, noor, card):
    """Noor is inspector too. What her admission would lift is the doubt about standing, not about who signed."""
    entry = thief.passes(card, "surface")
    thief.send(entry)
    (listed,) = noor.ask("GET", "/api/quarantine").json["entries"]
    assert listed["admissible"] is False
    assert noor.send(noor.phone.admit(noor.person, card, entry["id"], "I know her.")) == [("refused", "not_admissible")]


def test_nor_does_an_admission_pass_over_it_when_the_entry_was_refused_for_its_ended_key_too(thief, noor, card):
    entry = thief.passes(card, "surface")
    thief.ask("POST", f"/api/keys/{own_kid(thief)}/end", {"why": "Lost."})
    assert thief.send(entry) == UNVOUCHED
    assert noor.send(noor.phone.admit(noor.person, card, entry["id"], "I know her.")) == [("refused", "not_admissible")]


def test_what_is_refused_for_something_else_too_waits_as_that(thief, maria, ines, card):
    entry = thief.phone.make(thief.person, card, "release", None, thief.phone.approval(
        "release", card, TEMPLATE, []) | {"statement": "Another sentence."})
    assert thief.send(entry) == UNVOUCHED
    assert vouch(maria, own_kid(thief), ines).status_code == 200
    second, first = thief.ask("GET", "/api/quarantine").json["entries"]
    assert (first["resolution"]["verdict"], first["resolution"]["reason"]) == (
        "set_aside", "vouched for by Maria Vance, then refused for another reason")
    assert (second["problem"]["code"], second["resolution"], second["kept"]) == ("statement_differs", None, False)


def test_what_waits_for_another_key_goes_on_waiting(app, thief, maria, ines, card):
    own = Browser(app).sign_in("ines", NEW)
    assert own.send(own.passes(card, "surface")) == thief.send(thief.passes(card, "grip")) == UNVOUCHED
    assert vouch(maria, own_kid(own), ines).status_code == 200
    listed = own.ask("GET", "/api/quarantine").json["entries"]
    assert [(one["kept"], one["resolution"] is None) for one in listed] == [(False, True), (True, False)]
    assert vouch(maria, own_kid(thief), ines).status_code == 200
    assert len(maria.page(card)["entries"]) == 2


def test_who_leaves_while_their_vouch_waits_for_its_turn_to_be_written_has_not_vouched(app, thief, maria, ines):
    """The route has let them in; asked again in the transaction."""
    proof = vouch_text(maria.phone, maria.person["person"], own_kid(thief), ines["person"])
    with app.app_context():
        leave("maria")
        with pytest.raises(Problem) as refused:
            vouching.vouch(proof, own_kid(thief), maria.person["person"], maria.phone.device)
    assert refused.value.fields["why"] == "only a mechanic or inspector vouches"


def test_what_an_inspector_has_set_aside_stays_aside(browser, thief, noor, maria, ines, card):
    thief.send(thief.passes(card, "surface"))
    (listed,) = noor.ask("GET", "/api/quarantine").json["entries"]
    assert noor.ask("POST", f"/api/quarantine/{listed['number']}/set-aside", {"reason": "No."}).status_code == 200
    assert vouch(maria, own_kid(thief), ines).status_code == 200
    assert maria.page(card)["entries"] == []


WRONG = {
    "for another server": {"server": "e" * 32},
    "for another key": {"kid": "a" * 43},
    "for another person": {"person": "e" * 32},
    "by another person": {"by": "e" * 32},
    "on another phone": {"device": "e" * 32},
    "with another sentence": {"statement": "I know this person."},
    "with a code given before": {"unlocked": {"by": "code", "at": "2026-11-25T08:00:00Z", "use": 2}},
    "of another version": {"v": 2},
    "without a time": {"claimed_at": None},
    "with a member too many": {"extra": "x"},
    "signed as an entry": {"typ": ENTRY_TYP},
    "signed as an enrolment": {"typ": ENROLMENT_TYP},
    "signed as a session": {"typ": SESSION_TYP},
    "signed by a key nobody knows": {"signer": Key()},
}


@pytest.mark.parametrize("wrong", WRONG)
def test_a_vouch_that_is_not_exactly_right_is_refused(thief, maria, ines, wrong):
    kid = own_kid(thief)
    assert code(vouch(maria, kid, ines, **WRONG[wrong])) == "vouch_wrong"
    assert [key["kid"] for key in waiting(maria)] == [kid]


@pytest.mark.parametrize("proof", ["x", "a.b.c", "{}", "ü"])
def test_a_vouch_that_is_no_jws_is_refused(thief, maria, ines, proof):
    assert code(vouch(maria, own_kid(thief), ines, proof)) == "vouch_wrong"


def test_a_vouch_serves_no_other_key_person_or_sender(app, browser, thief, noor, maria, ines):
    """Everything in a vouch is bound: sent again for something else, or by somebody else, it is refused."""
    kid, tom = own_kid(thief), browser("tom")
    proof = vouch_text(maria.phone, maria.person["person"], kid, ines["person"])
    assert code(vouch(tom, kid, ines, proof)) == "vouch_wrong"
    second = Browser(app).sign_in("ines", NEW)
    assert code(vouch(maria, own_kid(second), ines, proof)) == "vouch_wrong"
    start_anew(noor, tom.person)
    tom.sign_in("tom", NEW, enrols=False)
    tom.phone.keys.clear()
    enrol(tom)
    assert code(vouch(maria, own_kid(tom), tom.person, proof)) == "vouch_wrong"
    assert vouch(maria, kid, ines, proof).status_code == 200
    assert {key["kid"] for key in waiting(maria)} == {own_kid(second), own_kid(tom)}


def test_a_key_of_somebody_else_on_the_same_phone_cannot_vouch_in_ones_name(thief, maria, ines):
    """Both have set up signing on this phone; Tom's key signs what says it is Maria's."""
    maria.sign_in("tom")
    toms = maria.phone.key_of(maria.person["person"])
    maria.sign_in("maria")
    refused = vouch(maria, own_kid(thief), ines, signer=toms)
    assert why(refused) == "another person's key signed it"


def test_an_ended_key_neither_vouches_nor_is_vouched_for(browser, thief, maria, ines):
    kid, tom = own_kid(thief), browser("tom")
    tom.ask("POST", f"/api/keys/{own_kid(tom)}/end", {"why": "Lost."})
    assert why(vouch(tom, kid, ines)) == "the key that signed it was ended"
    thief.ask("POST", f"/api/keys/{kid}/end", {"why": "Lost."})
    assert why(vouch(maria, kid, ines)) == "the key was ended meanwhile"
    assert waiting(maria) == []


def test_a_key_that_needs_none_is_not_vouched_for_and_an_unknown_one_is_not_found(browser, maria):
    tom = browser("tom")
    assert why(vouch(maria, own_kid(tom), tom.person)) == "the key needs none"
    assert code(vouch(maria, "a" * 43, tom.person)) == "not_found"


def test_an_unvouched_key_cannot_vouch_for_another(app, browser, thief, noor, ines):
    """Two new starts by one author: neither of the two can lift the other."""
    tom = browser("tom").person
    start_anew(noor, tom)
    as_tom = Browser(app).sign_in("tom", NEW)
    assert why(vouch(as_tom, own_kid(thief), ines)) == "the key that signed it waits for a vouch itself"


def test_who_was_added_and_signs_for_the_first_time_needs_no_vouch(app, noor, card):
    person = {"login": "eva", "name": "Eva Example", "password": NEW, "authorities": ROLES_OF_NOOR[:1],
              "certificate": {"kind": "mechanic", "number": "M-9"}}
    assert noor.ask("POST", "/api/people", person).status_code == 201
    eva = Browser(app).sign_in("eva", NEW, enrols=False)
    assert enrol(eva)["vouch_needed"] is False
    assert eva.send(eva.passes(card, "surface")) == [("kept", None)]


def test_a_key_that_waits_still_signs_in_and_reads(thief, card):
    assert thief.ask("GET", "/api/session").status_code == 200
    assert thief.page(card)["card"]["number"]
    assert thief.exchange()["answers"] == []


def new_start(settings, login):
    (settings.data / data_folder.MARKER).write_text(data_folder.KINDS["shop"], encoding="utf-8")
    return CliRunner().invoke(main, ["new-start", login, "--data", str(settings.data)], input=f"{NEW}x\n{NEW}x\n")


def test_the_command_on_the_server_asks_for_no_vouch_and_the_log_says_so(app, settings, browser, noor, card):
    """Where nobody else can vouch. Whoever runs it owns the database anyway."""
    ines = browser("ines")
    start_anew(noor, ines.person)
    assert "Next: sign in with it" in new_start(settings, "Ines").output
    assert ines.ask("GET", "/api/session").status_code == 401
    again = Browser(app).sign_in("ines", NEW + "x", enrols=False)
    assert enrol(again)["vouch_needed"] is False
    assert again.send(again.passes(card, "surface")) == [("kept", None)]
    with app.app_context():
        leaf = [one for one in leaves("person") if one["what"] == "new_start"][-1]
    assert (leaf["person"], leaf["by"], leaf["why"]) == (
        ines.person["person"], None, "New start on the server's machine.")
    (shown,) = [one for one in noor.ask("GET", "/api/people").json["people"] if one["login"] == "ines"]
    assert [one["name"] for one in shown["new_starts"]] == ["Noor Whitlock", "a command on the server"]
    start_anew(noor, ines.person)
    assert enrol(Browser(app).sign_in("ines", NEW, enrols=False))["vouch_needed"] is True


def test_the_command_refuses_whom_it_does_not_know_in_words(app, settings):
    refused = new_start(settings, "nobody")
    assert refused.exit_code == 1 and "There is no person here by that name." in refused.output
