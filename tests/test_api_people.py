"""People by HTTP: added, changed, ended, started anew; what ends takes effect on the very next request."""

import json

import pytest

from cast import PASSWORD, Browser
from witnessmark.records import accounts
from witnessmark.records.database import DiskFull, db
from witnessmark.records.log_tables import LogRecord

NEW = "four words make sense"
ANYTIME = {"from": None, "until": None}
PERSON = {"login": "eva", "name": "Eva Example", "password": NEW, "certificate": {"kind": "mechanic", "number": "M-9"},
          "authorities": [{"role": "mechanic", **ANYTIME}]}
JSON = {"Content-Type": "application/json"}


@pytest.fixture
def noor(browser):
    return browser("noor")


def code(answer):
    return answer.json["problem"]["code"] if answer.status_code >= 400 else None


def facts_of(person, **changes):
    return {name: person[name] for name in ("name", "certificate", "authorities")} | changes


def listed(noor, login):
    (found,) = [one for one in noor.ask("GET", "/api/people").json["people"] if one["login"] == login]
    return found


def leaves(app, kind):
    with app.app_context():
        texts = db.session.scalars(db.select(LogRecord.leaf).where(LogRecord.kind == kind).order_by(LogRecord.number))
        return [json.loads(text) for text in texts]


def signs_in(app, login, password):
    body = {"login": login, "password": password, "device_key": "d" * 64}
    return code(Browser(app).ask("POST", "/api/session", body)) is None


def test_a_person_who_is_added_can_sign_in_and_sign(app, noor, card):
    added = noor.ask("POST", "/api/people", PERSON)
    assert added.status_code == 201
    assert (added.json["login"], added.json["roles"], added.json["phones"]) == ("eva", ["mechanic"], [])
    eva = Browser(app).sign_in("eva", NEW)
    assert eva.send(eva.passes(card, "surface")) == [("kept", None)]
    assert [phone["label"] for phone in listed(noor, "eva")["phones"]] == ["Phone without a screen"]
    assert leaves(app, "person")[-1] | {"at": None} == {
        "kind": "person", "what": "added", "at": None, "person": eva.person["person"], "by": noor.person["person"],
        "login": "eva", "name": "Eva Example", "certificate": PERSON["certificate"],
        "authorities": PERSON["authorities"]}


@pytest.mark.parametrize(("changes", "status", "problem"), [
    ({"login": "MARIA"}, 409, "login_taken"),
    ({"login": " maria "}, 409, "login_taken"),
    ({"password": "too short a one"[:14]}, 422, "password_short"),
    ({"certificate": {"kind": "mechanic", "number": " "}}, 422, "certificate_missing"),
    ({"authorities": [{"role": "inspector", **ANYTIME}], "certificate": {"kind": "", "number": ""}}, 422,
     "certificate_missing"),
    ({"authorities": [{"role": "mechanic", "from": "2026-02-02", "until": "2026-02-01"}]}, 422, "days_wrong"),
    ({"authorities": [{"role": "mechanic", "from": "2026-02-30", "until": None}]}, 422, "request_shape"),
    ({"authorities": [{"role": "mechanic", "from": "20260201", "until": None}]}, 422, "request_shape"),
    ({"authorities": [{"role": "owner", **ANYTIME}]}, 422, "request_shape"),
    ({"authorities": [{"role": "mechanic"}]}, 422, "request_shape"),
    ({"authorities": []}, 422, "request_shape"),
    ({"authorities": [{"role": "mechanic", **ANYTIME}] * 2}, 422, "request_shape"),
    ({"name": "  "}, 422, "request_shape"),
    ({"name": "Eva\nExample"}, 422, "request_shape"),
    ({"roles": ["author"]}, 422, "request_shape"),
    ({"person": "a" * 32}, 422, "request_shape"),
])
def test_a_person_who_cannot_stand_is_refused(app, noor, changes, status, problem):
    refused = noor.ask("POST", "/api/people", {**PERSON, **changes})
    assert (refused.status_code, code(refused)) == (status, problem), refused.json
    assert len(noor.ask("GET", "/api/people").json["people"]) == 5


def test_days_are_told_and_the_roles_of_today_follow_from_them(noor):
    authorities = [{"role": "mechanic", "from": "2020-01-01", "until": "2099-12-31"},
                   {"role": "inspector", "from": "2099-01-01", "until": None},
                   {"role": "reader", "from": None, "until": "2001-01-01"}]
    added = noor.ask("POST", "/api/people", {**PERSON, "authorities": authorities}).json
    assert (added["roles"], added["authorities"]) == (["mechanic"], authorities)


def test_a_change_holds_from_the_next_request_on_and_old_entries_keep_what_they_say(app, noor, browser, card):
    maria = browser("maria")
    before, after = maria.passes(card, "surface"), maria.passes(card, "grip")
    assert maria.send(before) == [("kept", None)]
    changed = facts_of(maria.person, name="Maria Vance-Hale")
    assert noor.ask("PUT", f"/api/people/{maria.person['person']}", changed, **JSON).json["name"] == "Maria Vance-Hale"
    assert maria.ask("GET", "/api/session").json["person"]["name"] == "Maria Vance-Hale"
    assert maria.send(before, after) == [("already_here", None), ("refused", "author_differs")]
    (entry,) = maria.page(card)["entries"]
    assert entry["text"] == before["text"]
    assert leaves(app, "person")[-1]["what"] == "changed"


def test_who_leaves_is_out_with_the_next_request_and_what_they_signed_stays(app, noor, browser, card):
    maria, other = browser("maria"), browser("maria")
    kept, late = maria.passes(card, "surface"), maria.passes(card, "grip")
    assert maria.send(kept) == [("kept", None)]
    who = maria.person["person"]
    ended = noor.ask("POST", f"/api/people/{who}/end", {"why": "Has left the shop."})
    assert (ended.status_code, ended.json["active"]) == (200, False)
    assert {phone["ended"]["why"] for phone in ended.json["phones"]} == {"Has left the shop."}
    for phone in (maria, other):
        for method, path in (("GET", "/api/session"), ("GET", "/api/aircraft"), ("POST", "/api/sync")):
            assert phone.ask(method, path, {}).status_code == 401
    assert not signs_in(app, "maria", PASSWORD)
    maria.sign_in("tom")
    assert maria.send(kept, late) == [("already_here", None), ("refused", "author_unknown")]
    assert [entry["id"] for entry in noor.page(card)["entries"]] == [kept["id"]]
    (leaf,) = leaves(app, "person_ended")
    assert (leaf["person"], leaf["why"], leaf["by"]) == (who, "Has left the shop.", noor.person["person"])
    assert {leaf["why"] for leaf in leaves(app, "key_ended")} == {"Has left the shop."}


def test_a_sign_in_name_is_never_given_again_nor_is_a_person_brought_back(noor, browser):
    """21 CFR 11.100(a): an electronic signature is not reused by, or reassigned to, anyone else."""
    who = browser("maria").person
    noor.ask("POST", f"/api/people/{who['person']}/end", {"why": "Left."})
    again = noor.ask("POST", "/api/people", {**PERSON, "login": "Maria"})
    assert (again.status_code, code(again)) == (409, "login_reserved")
    for method, path, body in (("PUT", "", facts_of(who)), ("POST", "/end", {"why": "Left."}),
                               ("POST", "/password", {"password": NEW, "why": "Back."})):
        refused = noor.ask(method, f"/api/people/{who['person']}{path}", body, **JSON)
        assert (refused.status_code, code(refused)) == (404, "not_found"), path
    assert listed(noor, "maria")["active"] is False


@pytest.mark.parametrize("path", ["end", "password"])
@pytest.mark.parametrize("why", ["", "  \n "])
def test_a_reason_is_needed(noor, browser, path, why):
    who = browser("maria").person["person"]
    body = {"why": why} | ({"password": NEW} if path == "password" else {})
    assert code(noor.ask("POST", f"/api/people/{who}/{path}", body)) == "reason_needed"
    assert browser("maria").ask("GET", "/api/session").status_code == 200


LOSES = [("end", None), ("roles", [{"role": "reader", **ANYTIME}]),
         ("days", [{"role": "author", "from": "2099-01-01", "until": None}]),
         ("days", [{"role": "author", "from": None, "until": "2001-01-01"}])]


@pytest.mark.parametrize(("how", "authorities"), LOSES)
def test_a_shop_always_has_an_author(noor, how, authorities):
    who = noor.person

    def lose():
        if how == "end":
            return noor.ask("POST", f"/api/people/{who['person']}/end", {"why": "I leave."})
        body = facts_of(who, authorities=authorities)
        return noor.ask("PUT", f"/api/people/{who['person']}", body, **JSON)

    refused = lose()
    assert (refused.status_code, code(refused)) == (409, "last_author")
    assert listed(noor, "noor")["roles"] == ["author"]
    noor.ask("POST", "/api/people", {**PERSON, "authorities": [{"role": "author", **ANYTIME}]})
    assert lose().status_code == 200
    assert noor.ask("GET", "/api/people").status_code in (401, 403)


def test_a_new_start_ends_every_session_and_key_and_everybody_can_see_it(app, noor, browser, card):
    """Whoever may set a password could otherwise sign in another's name: it is loud, and the old keys are dead."""
    maria = browser("maria")
    entry = maria.passes(card, "surface")
    who = maria.person["person"]
    told = noor.ask("POST", f"/api/people/{who}/password", {"password": NEW, "why": "Phone lost."})
    assert told.status_code == 200
    assert maria.ask("GET", "/api/session").status_code == 401
    assert not signs_in(app, "maria", PASSWORD) and signs_in(app, "maria", NEW)
    shown = listed(noor, "maria")
    assert [(one["why"], one["name"]) for one in shown["new_starts"]] == [("Phone lost.", "Noor Whitlock")]
    assert [phone["ended"]["name"] for phone in shown["phones"]] == ["Noor Whitlock"]
    maria.sign_in("maria", NEW, enrols=False)
    assert maria.send(entry) == [("refused", "key_ended")]
    (ended,) = maria.ask("GET", "/api/phone").json["ended"]
    assert ended["why"] == "Phone lost."
    leaf = leaves(app, "person")[-1]
    assert (leaf["what"], leaf["person"], leaf["by"], leaf["why"]) == (
        "new_start", who, noor.person["person"], "Phone lost.")
    assert NEW not in json.dumps(leaf)


def test_ones_own_password_is_changed_with_the_old_one_and_ends_the_other_sessions(app, browser):
    maria, other = browser("maria"), browser("maria")
    old_token = maria.client.get_cookie("sid").value
    changed = maria.ask("POST", "/api/session/password", {"old": PASSWORD, "new": NEW})
    assert (changed.status_code, changed.json["person"]) == (201, maria.person)
    assert maria.client.get_cookie("sid").value != old_token
    assert [phone.ask("GET", "/api/session").status_code for phone in (maria, other)] == [200, 401]
    maria.client.set_cookie("sid", old_token)
    assert maria.ask("GET", "/api/session").status_code == 401
    assert signs_in(app, "maria", NEW) and not signs_in(app, "maria", PASSWORD)
    assert leaves(app, "person")[-1]["what"] == "password"


def test_a_stolen_session_cannot_guess_the_password(app, browser):
    maria = browser("maria")
    tries = [code(maria.ask("POST", "/api/session/password", {"old": "not it at all", "new": NEW})) for _ in range(7)]
    assert tries == ["sign_in_wrong"] * 5 + ["sign_in_slow"] * 2
    assert code(maria.ask("POST", "/api/session/password", {"old": PASSWORD, "new": NEW})) == "sign_in_slow"
    assert signs_in(app, "maria", PASSWORD)


def test_a_right_password_forgets_the_wrong_ones_before_it(browser):
    maria = browser("maria")
    for _ in range(4):
        maria.ask("POST", "/api/session/password", {"old": "not it at all", "new": NEW})
    assert maria.ask("POST", "/api/session/password", {"old": PASSWORD, "new": NEW}).status_code == 201
    wrong = [code(maria.ask("POST", "/api/session/password", {"old": "no", "new": NEW})) for _ in range(3)]
    assert wrong == ["sign_in_wrong"] * 3


def test_a_short_password_is_refused_before_the_old_one_is_tried(browser):
    refused = browser("maria").ask("POST", "/api/session/password", {"old": "whatever", "new": "short"})
    assert (refused.status_code, code(refused)) == (422, "password_short")
    assert refused.json["problem"]["fields"] == {"count": 5, "least": 15}


def test_no_password_and_no_hash_ever_comes_back(noor, browser):
    browser("maria")
    told = noor.ask("GET", "/api/people").text
    assert "argon2" not in told and "password" not in told.replace("new_starts", "")


def test_what_could_not_be_written_down_has_not_happened(app, noor, browser, monkeypatch):
    maria = browser("maria")
    who = maria.person["person"]

    def no_room(*_args):
        raise DiskFull("the disk is full")

    monkeypatch.setattr(accounts.log, "append", no_room)
    assert noor.ask("POST", f"/api/people/{who}/end", {"why": "Left."}).status_code == 507
    monkeypatch.undo()
    assert maria.ask("GET", "/api/session").status_code == 200
    assert listed(noor, "maria")["active"] is True
    assert all(phone["ended"] is None for phone in listed(noor, "maria")["phones"])


def test_one_certificate_is_one_persons(noor):
    """Otherwise one person with two accounts could countersign their own work."""
    facts = {"login": "twin", "name": "Maria's twin", "password": "a cold morning in the hangar",
             "authorities": [{"role": "inspector", "from": None, "until": None}],
             "certificate": {"kind": "Mechanic ", "number": "m-1"}}
    answer = noor.ask("POST", "/api/people", facts)
    assert (answer.status_code, answer.json["problem"]["code"]) == (422, "certificate_taken")
    other = {**facts, "certificate": {"kind": "inspector", "number": "m-1"}}
    assert noor.ask("POST", "/api/people", other).status_code == 201
