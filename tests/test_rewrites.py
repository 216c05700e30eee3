"""Whoever holds the server, its key included, cannot change what a phone has seen: the phone finds every rewriting.

The attacker rebuilds tree, checkpoint and signature so that the server's own records are without contradiction, and
gives the phone whichever proof serves best. The phone's own code (client/device/log_check.js) judges in Node. It finds
every change of a leaf that its checkpoint covers (RFC 9162 section 2.1.4; RFC 6962 section 7.3 names the limit: a phone
whose checkpoint is older than the changed leaf finds nothing, one that is newer does).
"""

import json
import random
import shutil
from collections import Counter
from contextlib import contextmanager

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from pysqlite3 import dbapi2 as sqlite3

from crew import Member
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import log
from witnessmark.records.database import db
from witnessmark.rules.merkle import leaf_hash
from witnessmark.rules.merkle_tree import added_nodes, consistency_proof, root
from witnessmark.rules.signed_note import checkpoint_text, signature_line

SEED = 14
REWRITES = 10_000
HONEST = 500
COPIES = 24
FILE = "witnessmark.sqlite3"
KEY = Ed25519PrivateKey.generate()
PUBLIC = KEY.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw).hex()
NAME = "witnessmark/" + "5e" * 16
JUDGE = """
const { judge_checkpoint } = await import("./client/device/log_check.js");
let given = "";
for await (const part of process.stdin) given += part;
const { log, cases } = JSON.parse(given);
const verdicts = [];
for (const { held, note, proof } of cases) {
  const { alarm, problem } = await judge_checkpoint(held && { ...held, note: "", key: log.key }, { note, proof }, log);
  verdicts.push(problem ? problem.code : alarm ? alarm.code : "fine");
}
console.log(JSON.stringify(verdicts));
"""


class Tree:
    """A log in memory, with the nodes that the server keeps."""

    def __init__(self, leaves):
        self.leaves, self.nodes = list(leaves), {}
        for at, leaf in enumerate(self.leaves):
            for level, position, hash in added_nodes(at, leaf_hash(leaf), self.node):
                self.nodes[level, position] = hash

    def node(self, level, position):
        return self.nodes[level, position]

    def checkpoint(self, size=None):
        size = len(self.leaves) if size is None else size
        return {"size": size, "root": root(size, self.node)}

    def proof(self, first, size=None):
        size = len(self.leaves) if size is None else size
        return consistency_proof(first, size, self.node) if 0 < first < size else []

    def note(self):
        point = self.checkpoint()
        body = checkpoint_text(NAME, point["size"], point["root"])
        return body + "\n" + signature_line(NAME, PUBLIC, KEY.sign(body.encode()).hex())


def edit(dice, leaves, at):
    text = leaves[at]
    place = dice.randrange(len(text))
    other = dice.choice([letter for letter in "0123456789abcdef" if letter != text[place]])
    return [*leaves[:at], text[:place] + other + text[place + 1:], *leaves[at + 1:]]


def delete(dice, leaves, at):
    return leaves[:at] + leaves[at + 1:]


def insert(dice, leaves, at):
    return [*leaves[:at], fresh(dice), *leaves[at:]]


def reorder(dice, leaves, at):
    other = dice.choice([place for place in range(len(leaves)) if place != at])
    moved = list(leaves)
    moved[at], moved[other] = moved[other], moved[at]
    return moved


def truncate(dice, leaves, at):
    return leaves[:at]


def fork(dice, leaves, at):
    return leaves[:at] + [fresh(dice) for _ in range(len(leaves) - at)]


WAYS = [edit, delete, insert, reorder, truncate, fork]


def fresh(dice):
    return json.dumps({"at": "2026-11-25T08:00:00Z", "id": f"{dice.getrandbits(256):064x}", "kind": "entry"})


def answers(dice, honest, size, rewritten, seen):
    """The proofs an attacker may give to a phone that has seen `seen` leaves: from either tree, none, or patched."""
    own, true = rewritten.proof(seen), honest.proof(seen, size)
    patched = list(own)
    for _ in patched[:1]:
        patched[dice.randrange(len(patched))] = honest.checkpoint(seen)["root"]
    return [own, true, [], patched, [honest.checkpoint(seen)["root"], *own]]


def rewriting(dice, leaves):
    """(name, rewritten tree, seen): a change of leaf `at`, and a phone that has seen more than that."""
    way = dice.choice(WAYS)
    at = dice.randrange(len(leaves))
    seen = dice.randint(at + 1, len(leaves))
    changed = way(dice, leaves, at)
    # Grown again afterwards, nearly always to where the phone is or beyond: a shorter log is noticed at once.
    grown = [fresh(dice) for _ in range(dice.choice([0, 1, 2, 7, max(0, seen - len(changed)), len(leaves)]))]
    return way.__name__, Tree(changed + grown), seen


def judged(node, cases, name=NAME, key=PUBLIC):
    return json.loads(node(JUDGE, json.dumps({"log": {"name": name, "key": key}, "cases": cases})))


@pytest.fixture(scope="module")
def leaves(filled, tmp_path_factory):
    """The leaves of a small shop, some eighty."""
    folder = shutil.copytree(filled[0], tmp_path_factory.mktemp("walked") / "data")
    app = create_app(read_settings({"data": folder}, {}))
    with app.app_context():
        walk(filled[1])
        kept = [text for (text,) in db.session.execute(db.text("SELECT leaf FROM log ORDER BY number"))]
        db.engine.dispose()
    app.extensions["witnessmark_office"].close()
    assert 40 <= len(kept) <= 100 and len(set(kept)) == len(kept)
    return kept


def walk(card):
    maria, ines = Member("maria"), Member("ines")
    for number in range(14):
        sent = [maria.passes(card, name, note=str(number)) for name in ("surface", "grip", "boom")]
        maria.send(*sent)
        ines.send(ines.phone.countersign(ines.facts, card, "grip", [sent[1]["id"]]))


def test_a_phone_finds_each_of_ten_thousand_rewritings_of_what_it_has_seen(leaves, node):
    dice, cases, ways, honest = random.Random(SEED), [], Counter(), Tree(leaves)
    for number in range(REWRITES):
        few = leaves[:dice.randint(2, len(leaves))]
        name, rewritten, seen = rewriting(dice, few)
        ways[name] += 1
        proofs = answers(dice, honest, len(few), rewritten, seen)
        cases.append({"held": honest.checkpoint(seen), "note": rewritten.note(), "proof": proofs[number % len(proofs)]})
    verdicts = judged(node, cases)
    told = Counter(verdicts)
    print(f"\n  {REWRITES} rewritings with the server's key ({dict(ways)}): {dict(told)}; not found: {told['fine']}")
    assert len(verdicts) == REWRITES and set(ways) == {way.__name__ for way in WAYS}
    assert set(told) == {"log_rewritten", "log_set_back"}


def test_honest_growth_and_a_change_that_the_phone_has_not_seen_are_no_alarm(leaves, node):
    """What keeps the test above from passing by refusing everything; the second half is the limit of every log."""
    dice, cases = random.Random(SEED), []
    for _ in range(HONEST):
        few = leaves[:dice.randint(1, len(leaves))]
        seen = dice.randint(0, len(few))
        grown = Tree(few + [fresh(dice) for _ in range(dice.randint(0, 9))])
        cases.append({"held": grown.checkpoint(seen) if seen else None, "note": grown.note(),
                      "proof": grown.proof(seen)})
    for _ in range(HONEST):
        at = dice.randrange(1, len(leaves))
        seen = dice.randint(1, at)
        rewritten = Tree(edit(dice, leaves, at))
        cases.append({"held": Tree(leaves).checkpoint(seen), "note": rewritten.note(), "proof": rewritten.proof(seen)})
    told = Counter(judged(node, cases))
    print(f"\n  {HONEST} honest growths, {HONEST} changes beyond the phone's checkpoint: {dict(told)}")
    assert told == {"fine": 2 * HONEST}


def test_another_key_is_an_alarm_even_on_an_honest_log(leaves, node):
    tree, other = Tree(leaves), Ed25519PrivateKey.generate()
    public = other.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw).hex()
    body = checkpoint_text(NAME, len(leaves), tree.checkpoint()["root"])
    note = body + "\n" + signature_line(NAME, public, other.sign(body.encode()).hex())
    case = {"held": tree.checkpoint(9), "note": note, "proof": tree.proof(9)}
    assert judged(node, [case, {**case, "held": None}]) == ["log_key_changed"] * 2


@pytest.fixture
def seen_by_maria(browser, card, settings):
    """(a browser that has seen some of a walked card, the checkpoint it holds): the server goes on after that."""
    maria = browser("maria")
    for number in range(6):
        maria.send(*(maria.passes(card, name, note=str(number)) for name in ("surface", "boom")))
    with maria.client.application.app_context():
        held = log.checkpoint()
    maria.send(maria.passes(card, "surface", note="after that"))
    with maria.client.application.app_context():
        db.engine.dispose()
    return held


def rewrite_file(path, dice, change, seen):
    """Rewrite one leaf before `seen` in a copy of the database, and every node with it."""
    with sqlite3.connect(path) as file:
        rows = file.execute("SELECT kind, entry, leaf FROM log ORDER BY number").fetchall()
        for table in ("log", "nodes"):
            file.execute(f"DROP TRIGGER {table}_no_delete")
            file.execute(f"DELETE FROM {table}")
        before = [leaf for _, _, leaf in rows]
        texts = change(dice, before, dice.randrange(seen)) if change else before
        texts = [*texts, *(fresh(dice) for _ in range(len(before) - len(texts)))]
        entry_of = {leaf: (kind, entry) for kind, entry, leaf in rows}
        tree = Tree(texts)
        file.executemany("INSERT INTO log VALUES (?, ?, ?, ?)", [
            (number, *entry_of.get(leaf, ("alarm", None)), leaf) for number, leaf in enumerate(texts, 1)])
        file.executemany("INSERT INTO nodes VALUES (?, ?, ?)", [(*at, hash) for at, hash in tree.nodes.items()])
    file.close()


@contextmanager
def served(settings):
    """The real server on the data folder of `settings`: its app's context, the name and the key of its log."""
    app = create_app(settings)
    with app.app_context():
        yield log.origin(), log.public_key()
        db.engine.dispose()
    app.extensions["witnessmark_office"].close()


def test_rewritten_copies_of_the_database_served_by_the_real_server_are_found(seen_by_maria, settings, tmp_path, node):
    """Every fourth copy is put together anew without a change: that one is no alarm."""
    held, cases, expected = seen_by_maria, [], []
    for number in range(COPIES):
        change = None if number % 4 == 0 else WAYS[number % len(WAYS)]
        copy = read_settings({"data": shutil.copytree(settings.data, tmp_path / f"copy{number}")}, {})
        rewrite_file(copy.data / FILE, random.Random(SEED + number), change, held["size"])
        with served(copy) as (name, key):
            cases.append({"held": held, "note": log.note(), "proof": log.consistency(held["size"])})
        expected.append("log_rewritten" if change else "fine")
    assert judged(node, cases, name, key) == expected
