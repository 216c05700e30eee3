"""The server's log: each leaf in the transaction of what it states, the tree of RFC 9162, checkpoints that verify."""

import hashlib
import stat

import pytest
from sqlalchemy import select

from crew import Member, leaves
from witnessmark import create_app
from witnessmark.records import log, papers, sessions
from witnessmark.records.database import db, writing
from witnessmark.records.log_key import open_log_key
from witnessmark.records.log_tables import LogRecord, Node
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.merkle import EMPTY_ROOT, leaf_hash, verify_consistency, verify_inclusion
from witnessmark.rules.problems import Problem
from witnessmark.rules.signed_note import read_checkpoint, verify_note


@pytest.fixture
def inside(app):
    """The app's context."""
    with app.app_context():
        yield app


def tree_hash(leaves_):
    """MTH as RFC 9162 section 2.1.1 defines it, written from that text and not from our code."""
    if not leaves_:
        return hashlib.sha256(b"").digest()
    if len(leaves_) == 1:
        return hashlib.sha256(b"\x00" + leaves_[0]).digest()
    k = 1
    while k * 2 < len(leaves_):
        k *= 2
    return hashlib.sha256(b"\x01" + tree_hash(leaves_[:k]) + tree_hash(leaves_[k:])).digest()


def texts():
    return [leaf.encode() for leaf in db.session.scalars(select(LogRecord.leaf).order_by(LogRecord.number))]


def add(*names):
    with writing() as session:
        return log.append_all(session, [("alarm", {"what": name}, None) for name in names])


def test_the_root_is_that_of_the_rfc_at_every_size(inside):
    checkpoints = [log.checkpoint()]
    for number in range(70):
        assert add(str(number)) == checkpoints[-1]["size"] + 1
        checkpoints.append(log.checkpoint())
    kept = texts()
    assert [point["size"] for point in checkpoints] == list(range(len(kept) - 70, len(kept) + 1))
    for point in checkpoints:
        assert point["root"] == tree_hash(kept[:point["size"]]).hex()


def test_many_leaves_at_once_make_the_tree_that_one_after_the_other_make(inside):
    start = log.size()
    add(*(str(number) for number in range(37)))
    add()
    add("last")
    assert log.checkpoint() == {"size": start + 38, "root": tree_hash(texts()).hex()}
    numbers = db.session.scalars(select(LogRecord.number).order_by(LogRecord.number)).all()
    assert numbers == list(range(1, start + 39))
    assert db.session.scalar(select(db.func.count()).select_from(Node)) == 2 * (start + 38) - bin(start + 38).count("1")


def test_every_checkpoint_is_proved_to_be_the_beginning_of_every_later_one(inside):
    points = [log.checkpoint()]
    for number in range(20):
        add(str(number))
        points.append(log.checkpoint())
    for at, first in enumerate(points):
        for second in points[at:]:
            proof = log.consistency(first["size"], second["size"])
            assert verify_consistency(first["size"], first["root"], second["size"], second["root"], proof)
    assert log.consistency(points[0]["size"]) == log.consistency(points[0]["size"], points[-1]["size"])
    assert log.consistency(0) == log.consistency(points[-1]["size"]) == log.consistency(points[-1]["size"] + 5) == []
    with pytest.raises(Problem, match="no checkpoint"):
        log.consistency(1, points[-1]["size"] + 1)


def test_a_proof_asks_for_few_nodes_however_long_the_log(inside, monkeypatch):
    add(*(str(number) for number in range(3000)))
    asked, node = [], log._node
    monkeypatch.setattr(log, "_node", lambda *place: asked.append(place) or node(*place))
    log.consistency(1234)
    log.checkpoint()
    add("one more")
    assert len(asked) <= 4 * 12 + 12, "2 log2(n) for each of root and proof, log2(n) for a new leaf"


def test_a_leaf_is_canonical_and_says_when(inside):
    add("x")
    text = texts()[-1].decode()
    assert text == canonical_text(leaves()[-1])
    assert set(leaves()[-1]) == {"kind", "at", "what"}


def test_a_leaf_that_cannot_be_written_takes_everything_back(inside):
    before = log.checkpoint()
    with pytest.raises(Problem, match="not a whole number"), writing() as session:
        log.append(session, "alarm", {"what": "good"})
        log.append(session, "alarm", {"what": 0.5})
    assert log.checkpoint() == before
    assert add("next") == before["size"] + 1


def test_the_checkpoint_is_a_note_signed_by_the_key_in_the_data_folder(inside, settings):
    note, name = log.note(), log.origin()
    assert verify_note(note, name, log.public_key())
    told = read_checkpoint(note)
    assert (told["origin"], told["size"], told["root"]) == (name, log.size(), log.checkpoint()["root"])
    assert name.startswith("witnessmark/")
    assert not verify_note(note.replace(f"\n{told['size']}\n", f"\n{told['size'] + 1}\n"), name, log.public_key())
    assert stat.S_IMODE(settings.log_key.stat().st_mode) == 0o600


def test_the_key_stays_and_is_never_made_anew_over_another(inside, settings):
    key = log.public_key()
    again = create_app(settings)
    with again.app_context():
        assert log.public_key() == key
        db.engine.dispose()
    settings.log_key.write_bytes(settings.seal_key.read_bytes())
    with pytest.raises(ValueError, match="PEM"):
        open_log_key(settings.log_key)


def test_an_empty_log_has_the_root_of_nothing(inside, monkeypatch):
    monkeypatch.setattr(log, "size", lambda: 0)
    assert log.checkpoint() == {"size": 0, "root": EMPTY_ROOT}
    assert read_checkpoint(log.note())["size"] == 0


def test_where_an_entry_stands_is_proved(inside, card):
    maria = Member("maria")
    sent = [maria.passes(card, "surface", note=str(number)) for number in range(9)]
    maria.send(*sent)
    for entry in sent:
        found = log.inclusion(entry["id"])
        assert entry["id"] in found["leaf"]
        args = leaf_hash(found["leaf"]), found["number"] - 1, found["size"], found["proof"], found["root"]
        assert verify_inclusion(*args)
    with pytest.raises(Problem, match="no entry"):
        log.inclusion("0" * 64)


def test_papers_and_sign_ins_are_leaves(inside, card):
    maria = Member("maria")
    entry = maria.passes(card, "surface")
    maria.send(entry)
    sha256 = papers.keep(card["card"], entry["id"], b"%PDF a stand-in")
    assert papers.keep(card["card"], entry["id"], b"%PDF another") == sha256
    assert [(leaf["sha256"], leaf["release"]) for leaf in leaves("paper")] == [(sha256, entry["id"])]
    with writing() as session:
        sessions.begin(session, maria.person, maria.phone.device, "key")
    assert [(leaf["person"], leaf["by"]) for leaf in leaves("sign_in")] == [(maria.person, "key")]


def test_a_sync_brings_the_checkpoint_and_the_proof_from_the_one_the_phone_holds(browser, card):
    maria = browser()
    first = maria.exchange()["checkpoint"]
    held = read_checkpoint(first["note"])
    assert first["proof"] == [], "a phone that holds none is given no proof"
    maria.send(maria.passes(card, "surface"), maria.passes(card, "boom"))
    later = maria.exchange(size=held["size"])["checkpoint"]
    now = read_checkpoint(later["note"])
    assert now["size"] == held["size"] + 2
    assert verify_consistency(held["size"], held["root"], now["size"], now["root"], later["proof"])
    assert maria.exchange(size=now["size"])["checkpoint"] == {"note": later["note"], "proof": []}
    ahead = maria.exchange(size=now["size"] + 7)["checkpoint"]
    assert (read_checkpoint(ahead["note"])["size"], ahead["proof"]) == (now["size"], [])


def test_each_answer_of_a_sync_says_what_it_would_have_been_alone(browser, card):
    maria, tom = browser("maria"), browser("tom")
    entry, lost = maria.passes(card, "surface"), maria.passes(card, "boom", note="never sent")
    head, body, signature = lost["text"].split(".")
    tom.person = maria.person
    foreign = tom.passes(card, "surface")
    texts_ = [entry["text"], entry["text"], "nonsense", f"{head}.{body}.{signature[::-1]}", foreign["text"]]
    statuses = [answer["status"] for answer in maria.exchange(texts_)["answers"]]
    assert statuses[:3] == [201, 200, 422]
    assert statuses[3] in (403, 422), "turned round, a signature may also lose its form"
    assert statuses[4] == 403
    maria.phone.sequence, maria.phone.previous = 0, None
    assert [answer["status"] for answer in maria.exchange([maria.passes(card, "grip")["text"]])["answers"]] == [409]


def test_the_phone_learns_when_its_people_tools_or_keys_changed(browser):
    maria = browser()
    before = maria.exchange()["phone"]
    assert before == maria.ask("GET", "/api/phone").json["digest"] == maria.exchange()["phone"]
    browser("tom")
    assert maria.exchange()["phone"] != before
