"""Local codes, tools, the log and refused entries by HTTP."""

import base64
import copy
import hashlib
import json

import pytest
import rfc8785
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from cast import CODE, CODE_REVISION, REGISTRATION, TIMES
from witnessmark.records.database import db
from witnessmark.records.log_tables import LogRecord
from witnessmark.rules.merkle import leaf_hash, verify_consistency, verify_inclusion

JSON = {"Content-Type": "application/json"}


@pytest.fixture
def noor(browser):
    return browser("noor")


def code(answer):
    return answer.json["problem"]["code"] if answer.status_code >= 400 else None


def changed(**members):
    """The US set with another sentence for a countersignature and other `members`."""
    value = copy.deepcopy(CODE)
    value["statements"]["countersignature"]["text"] = "I looked at it myself: {title}, card {number}."
    return value | members


def choose(noor, revision):
    return noor.ask("PUT", "/api/shop/local-code", {"revision": revision}, **JSON)


def test_every_role_reads_the_sentences_and_their_name_is_their_hash(browser):
    """RFC 8785 by the package rfc8785, which shares no code with ours."""
    rowan = browser("rowan")
    listed = rowan.ask("GET", "/api/local-codes").json
    assert listed["chosen"] == CODE_REVISION
    assert [one["code"] for one in listed["codes"]] == ["ca", "easa_ml", "uk", "us"]
    for one in listed["codes"]:
        answer = rowan.ask("GET", f"/api/local-codes/{one['revision']}")
        assert "immutable" in answer.headers["Cache-Control"] and "private" in answer.headers["Cache-Control"]
        assert hashlib.sha256(rfc8785.dumps(answer.json)).hexdigest() == one["revision"]
        assert answer.data == rfc8785.dumps(answer.json)
        assert (answer.json["title"], answer.json["confirm"]) == (one["title"], one["confirm"])
    assert code(rowan.ask("GET", f"/api/local-codes/{'a' * 64}")) == "not_found"


def test_a_changed_sentence_makes_another_set_and_issued_cards_keep_theirs(browser, noor, card):
    maria, ines = browser("maria"), browser("ines")
    kept = noor.ask("POST", "/api/local-codes", changed())
    assert kept.status_code == 201 and kept.json["revision"] != CODE_REVISION
    assert noor.ask("GET", "/api/local-codes").json["chosen"] == CODE_REVISION
    assert choose(noor, kept.json["revision"]).json["chosen"] == kept.json["revision"]
    issued = noor.ask("POST", "/api/cards", {"revision": card["revision"], "registration": REGISTRATION,
                                             "times": TIMES}).json
    assert (noor.page(card)["card"]["code"], issued["code"]) == (CODE_REVISION, kept.json["revision"])
    for on, sentences, verdict in ((card, CODE, ("kept", None)), (issued, CODE, ("refused", "statement_differs")),
                                   (issued, changed(), ("kept", None)),
                                   (card, changed(), ("refused", "statement_differs"))):
        done = maria.passes(on, "grip")
        maria.send(done)
        ines.phone.code = sentences
        assert ines.send(ines.phone.countersign(ines.person, on, "grip", [done["id"]])) == [verdict]


def test_the_same_set_twice_is_one(app, noor):
    revisions = {noor.ask("POST", "/api/local-codes", changed()).json["revision"] for _ in range(2)}
    assert len(revisions) == 1
    assert len(noor.ask("GET", "/api/local-codes").json["codes"]) == 5
    with app.app_context():
        leaves = [json.loads(text) for text in db.session.scalars(
            db.select(LogRecord.leaf).where(LogRecord.kind == "local_code"))]
    assert [leaf["what"] for leaf in leaves if leaf["revision"] in revisions] == ["kept"]


def without(value, *trail):
    found = value
    for name in trail[:-1]:
        found = found[name]
    del found[trail[-1]]
    return value


def saying(key, **parts):
    value = changed()
    value["statements"][key] |= parts
    return value


@pytest.mark.parametrize(("value", "problem"), [
    (without(changed(), "statements", "maintenance"), "code_incomplete"),
    (without(changed(), "title"), "request_shape"),
    (saying("inspection", text="  "), "code_incomplete"),
    (saying("inspection", source=""), "code_incomplete"),
    (saying("inspection", source=7), "code_incomplete"),
    (saying("inspection", text="I sign {everything}."), "code_slot"),
    (saying("inspection", text="x" * 2001), "request_shape"),
    (saying("inspection", certificates="inspector"), "request_shape"),
    (saying("inspection", extra="x"), "request_shape"),
    (changed(title=" "), "code_incomplete"),
    (changed(control_persons=3), "request_shape"),
    (changed(confirm="yes"), "request_shape"),
    (changed(statements=[]), "request_shape"),
    (changed(format="2"), "request_shape"),
    (changed(extra="x"), "request_shape"),
    ({**changed(), "statements": {**changed()["statements"], "Key": changed()["statements"]["inspection"]}},
     "json_key"),
])
def test_a_set_that_cannot_be_signed_by_is_refused_in_words(noor, value, problem):
    refused = noor.ask("POST", "/api/local-codes", value)
    assert code(refused) == problem, refused.json
    assert refused.status_code in (400, 422)
    assert len(noor.ask("GET", "/api/local-codes").json["codes"]) == 4


def test_only_a_set_that_is_there_can_be_chosen(noor):
    assert (code(choose(noor, "a" * 64)), choose(noor, "x").status_code) == ("not_found", 422)
    assert noor.ask("GET", "/api/local-codes").json["chosen"] == CODE_REVISION


def test_tools_are_kept_by_an_author_and_read_by_all(browser, noor):
    tool = {"serial": "TW-07", "name": "Torque wrench", "calibrated_until": "2026-12-31"}
    assert noor.ask("POST", "/api/tools", tool).status_code == 201
    renewed = {**tool, "calibrated_until": None}
    assert noor.ask("POST", "/api/tools", renewed).json == {**renewed, "facts": None}
    assert browser("rowan").ask("GET", "/api/tools").json == {"tools": [{**renewed, "facts": None}]}
    for wrong in ({"serial": ""}, {"serial": " "}, {"calibrated_until": "2026-02-30"}, {"calibrated_until": "soon"}):
        assert code(noor.ask("POST", "/api/tools", {**tool, **wrong})) == "request_shape"


def wrench(**changed):
    return {"use": "torque_wrench", "unit": "in-lbf", "full_scale": "150", "graduation": "5",
            "tolerance_percent": "4", "length": "10", "length_unit": "in", **changed}


def test_what_is_known_of_a_tool_stays_until_somebody_says_otherwise(noor):
    tool = {"serial": "TW-07", "name": "Torque wrench", "calibrated_until": "2026-12-31"}
    assert noor.ask("POST", "/api/tools", {**tool, "facts": wrench()}).json == {**tool, "facts": wrench()}
    renewed = {**tool, "calibrated_until": "2027-12-31"}
    assert noor.ask("POST", "/api/tools", renewed).json == {**renewed, "facts": wrench()}
    assert noor.ask("GET", "/api/phone").json["tools"] == [{**renewed, "facts": wrench()}]
    assert noor.ask("POST", "/api/tools", {**renewed, "facts": None}).json == {**renewed, "facts": None}


@pytest.mark.parametrize(("facts", "problem"), [
    (wrench(full_scale=150), "request_shape"),
    (wrench(full_scale="a lot"), "number_unreadable"),
    (wrench(unit="psi"), "unit_mismatch"),
    (wrench(colour="red"), "request_shape"),
    ({"use": "tensiometer", "unit": "lbf", "tables": []}, "table_rows"),
    ("wrench", "request_shape"),
    ({}, "request_shape"),
])
def test_facts_that_nobody_could_use_are_refused_and_keep_nothing(noor, facts, problem):
    refused = noor.ask("POST", "/api/tools", {"serial": "TW-07", "name": "Wrench", "calibrated_until": None,
                                              "facts": facts})
    assert (refused.status_code, code(refused)) == (422, problem)
    assert noor.ask("GET", "/api/tools").json == {"tools": []}


def tree_hash(leaves):
    """RFC 9162, 2.1.1, written down as it defines the hash of a list of leaves."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\0" + leaves[0]).digest()
    half = 1
    while half * 2 < len(leaves):
        half *= 2
    return hashlib.sha256(b"\1" + tree_hash(leaves[:half]) + tree_hash(leaves[half:])).digest()


def test_the_checkpoint_is_a_signed_note_of_every_leaf(app, browser):
    """C2SP signed-note and tlog-checkpoint: three lines, an empty one, name and base64 of key id and signature."""
    public = browser("rowan").ask("GET", "/api/phone").json["log_key"]
    answer = browser(None).ask("GET", "/api/log/checkpoint")
    assert answer.mimetype == "text/plain" and answer.headers["Cache-Control"] == "no-store"
    body, _, signature = answer.text.rpartition("\n\n")
    origin, size, root = (body + "\n").splitlines()
    dash, name, given = signature.removesuffix("\n").split(" ")
    assert (dash, name) == ("\N{EM DASH}", origin)
    given = base64.b64decode(given, validate=True)
    named = hashlib.sha256(name.encode() + b"\n\1" + bytes.fromhex(public)).digest()[:4]
    assert given[:4] == named
    Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(given[4:], (body + "\n").encode())
    with app.app_context():
        leaves = list(db.session.scalars(db.select(LogRecord.leaf).order_by(LogRecord.number)))
    assert (int(size), base64.b64decode(root)) == (len(leaves), tree_hash([leaf.encode() for leaf in leaves]))


def test_every_role_can_check_that_the_log_only_grew_and_holds_an_entry(app, browser, card):
    maria, rowan = browser("maria"), browser("rowan")
    entry = maria.passes(card, "surface")
    maria.send(entry)
    found = rowan.ask("GET", f"/api/log/entries/{entry['id']}").json
    assert json.loads(found["leaf"])["signed"] == hashlib.sha256(entry["text"].encode()).hexdigest()
    assert verify_inclusion(leaf_hash(found["leaf"]), found["number"] - 1, found["size"], found["proof"], found["root"])
    with app.app_context():
        leaves = [leaf.encode() for leaf in db.session.scalars(db.select(LogRecord.leaf).order_by(LogRecord.number))]
    for first in range(1, len(leaves)):
        proof = rowan.ask("GET", f"/api/log/consistency?first={first}&second={len(leaves)}").json["proof"]
        assert verify_consistency(first, tree_hash(leaves[:first]).hex(), len(leaves), tree_hash(leaves).hex(), proof)


def test_an_entry_is_proved_in_every_checkpoint_that_holds_it_and_in_none_before(app, browser, card):
    """RFC 9162, 2.1.3, with the roots of `tree_hash`."""
    maria, rowan = browser("maria"), browser("rowan")
    entry = maria.passes(card, "surface")
    maria.send(entry)
    maria.send(maria.passes(card, "grip"))
    path = f"/api/log/entries/{entry['id']}"
    number = rowan.ask("GET", path).json["number"]
    with app.app_context():
        leaves = [leaf.encode() for leaf in db.session.scalars(db.select(LogRecord.leaf).order_by(LogRecord.number))]
    assert 1 < number < len(leaves)
    for size in range(len(leaves) + 2):
        found = rowan.ask("GET", f"{path}?size={size}")
        assert code(found) == (None if number <= size <= len(leaves) else "not_found"), size
        if found.status_code == 200:
            root = tree_hash(leaves[:size]).hex()
            assert (found.json["size"], found.json["root"]) == (size, root)
            assert verify_inclusion(leaf_hash(found.json["leaf"]), number - 1, size, found.json["proof"], root)
    assert [rowan.ask("GET", f"{path}?size={size}").status_code for size in ("-1", "x", 2**53)] == [422] * 3


def test_a_phone_is_told_since_when_each_key_is_known_on_which_phone_and_whether_it_ended(app, browser):
    maria, rowan = browser("maria"), browser("rowan")
    kid = maria.phone.keys[maria.person["person"]].kid

    def told():
        return next(one for one in rowan.ask("GET", "/api/phone").json["keys"] if one["kid"] == kid)

    with app.app_context():
        (leaf,) = [json.loads(text) for text in db.session.scalars(
            db.select(LogRecord.leaf).where(LogRecord.kind == "key")) if json.loads(text)["kid"] == kid]
    before = told()
    assert (before["enrolled_at"], before["ended"], before["device"]) == (leaf["at"], None, maria.phone.device)
    assert before["label"] == next(row["label"] for one in browser("noor").ask("GET", "/api/people").json["people"]
                                   for row in one["phones"] if row["kid"] == kid)
    assert maria.ask("POST", f"/api/keys/{kid}/end", {"why": "Not set up by me."}, **JSON).status_code == 200
    assert told()["ended"] == leaf["at"][:10]


@pytest.mark.parametrize(("query", "status"), [
    ("first=1&second=999999", 404), ("first=-1&second=2", 422), ("first=1", 422), ("first=x&second=2", 422),
    ("first=3&second=2", 422), ("first=1&second=9007199254740992", 422), ("first=0&second=0", 200)])
def test_sizes_that_are_none_are_refused(browser, query, status):
    assert browser("rowan").ask("GET", f"/api/log/consistency?{query}").status_code == status


def test_an_entry_that_is_not_here_has_no_proof(browser):
    assert code(browser("rowan").ask("GET", f"/api/log/entries/{'a' * 64}")) == "not_found"


def refused_entry(maria, noor, card):
    """Signed under the name that the shop changed before it arrived."""
    entry = maria.passes(card, "surface")
    renamed = {name: maria.person[name] for name in ("certificate", "authorities")} | {"name": "Maria Vance-Ray"}
    assert noor.ask("PUT", f"/api/people/{maria.person['person']}", renamed, **JSON).status_code == 200
    assert maria.send(entry) == [("refused", "author_differs")]
    return entry


def test_an_inspector_sets_a_refused_entry_aside_once_and_says_why(browser, noor, card):
    maria, ines = browser("maria"), browser("ines")
    refused_entry(maria, noor, card)
    (listed,) = maria.ask("GET", "/api/quarantine").json["entries"]
    assert (listed["admissible"], listed["resolution"]) == (True, None)
    path = f"/api/quarantine/{listed['number']}/set-aside"
    assert code(ines.ask("POST", path, {"reason": "  "})) == "reason_needed"
    assert code(ines.ask("POST", "/api/quarantine/999/set-aside", {"reason": "No."})) == "not_in_quarantine"
    assert code(ines.ask("POST", f"/api/quarantine/{2**63}/set-aside", {"reason": "No."})) == "not_in_quarantine"
    (decided,) = ines.ask("POST", path, {"reason": "Another person's name."}).json["entries"]
    assert decided["resolution"] | {"at": None} == {"verdict": "set_aside", "reason": "Another person's name.",
                                                    "name": "Ines Calder", "at": None}
    again = ines.ask("POST", path, {"reason": "Once more."})
    assert (again.status_code, code(again)) == (409, "already_resolved")
    assert noor.ask("GET", "/api/quarantine").json["entries"] == [decided]


def test_an_admission_signed_by_an_inspector_takes_the_entry_in(browser, noor, card):
    maria, ines = browser("maria"), browser("ines")
    entry = refused_entry(maria, noor, card)
    admission = ines.phone.admit(ines.person, card, entry["id"], "Renamed since; she did the work.")
    assert ines.send(admission) == [("kept", None)]
    (listed,) = ines.ask("GET", "/api/quarantine").json["entries"]
    assert (listed["kept"], listed["resolution"]["verdict"]) == (True, "admitted")
    assert entry["id"] in {one["id"] for one in maria.page(card)["entries"]}
    assert maria.send(entry) == [("already_here", None)]
    (found,) = [item for item in maria.page(card)["state"]["items"] if item["item"] == "surface"]
    assert found["status"] == "passed"


def test_the_answer_to_each_entry_says_what_it_would_have_been_answered_alone(browser, card):
    maria = browser("maria")
    entry = maria.passes(card, "surface")
    other = maria.phone.keys[maria.person["person"]]
    resigned = {**entry, "text": other.sign("witnessmark-entry+jws", rfc8785.dumps(entry["payload"]).decode())}
    answers = maria.exchange([entry["text"], entry["text"], resigned["text"], "nonsense"])["answers"]
    assert [(one["status"], one["verdict"]) for one in answers] == [
        (201, "kept"), (200, "already_here"), (409, "refused"), (422, "refused")]
