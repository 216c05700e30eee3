"""Checkpoints: real ones of the Go checksum database, the values of golang.org/x/mod, and notes signed here."""

import base64
import json

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from witnessmark.rules.merkle import EMPTY_ROOT, leaf_hash
from witnessmark.rules.problems import Problem
from witnessmark.rules.signed_note import checkpoint_text, key_id, read_checkpoint, signature_line, verify_note

# RFC 8032 section 7.1, TEST 1 (from memory; the public key is also that of RFC 8037 appendix A).
SECRET = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
PUBLIC = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
EMPTY_MESSAGE = ("e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
                 "d25bf5f0595bbe24655141438e7a100b")  # fmt: skip
NAME = "witnessmark/a1b2"

IN_JAVASCRIPT = """
import { readFileSync } from "node:fs";
import { read_checkpoint, verify_note } from "./client/rules/signed_note.js";
const told = [];
for (const [note, name, key] of JSON.parse(readFileSync(0, "utf8"))) {
  try { told.push(await verify_note(note, name, key)); } catch (error) { told.push(error.code); }
}
console.log(JSON.stringify(told));
"""

WITHOUT_ED25519 = """
import { readFileSync } from "node:fs";
import { verify_note } from "./client/rules/signed_note.js";
crypto.subtle.importKey = async () => { throw new DOMException("Unrecognized name.", "NotSupportedError"); };
const [note, name, key] = JSON.parse(readFileSync(0, "utf8"));
try { await verify_note(note, name, key); } catch (error) { console.log(error.code); }
"""


def signed(size=3, root=None):
    """A note that the key of RFC 8032 signs for a log of `size` leaves."""
    body = checkpoint_text(NAME, size, root or leaf_hash("{}"))
    signature = Ed25519PrivateKey.from_private_bytes(SECRET).sign(body.encode())
    return f"{body}\n{signature_line(NAME, PUBLIC, signature.hex())}"


def verdict(note, name=NAME, key=PUBLIC):
    try:
        return verify_note(note, name, key)
    except Problem as problem:
        return problem.code


def test_the_key_that_signs_here_is_that_of_the_rfc():
    key = Ed25519PrivateKey.from_private_bytes(SECRET)
    assert key.public_key().public_bytes_raw().hex() == PUBLIC
    assert key.sign(b"").hex() == EMPTY_MESSAGE


def test_checkpoints_that_the_go_checksum_database_signed(root):
    cases = json.loads((root / "tests/standards/signed_notes.json").read_text("utf-8"))
    assert len(cases["cases"]) == cases["count"] == 3
    for case in cases["cases"]:
        assert key_id(case["name"], case["public_key"]) == case["key_id"]
        assert verify_note(case["note"], case["name"], case["public_key"])
        read = read_checkpoint(case["note"])
        assert checkpoint_text(read["origin"], read["size"], read["root"]) == read["body"]
        only = read["signatures"][0]
        line = signature_line(only["name"], case["public_key"], base64.b64decode(only["signature"]).hex())
        assert read["body"] + "\n" + line == case["note"]


@pytest.mark.parametrize(("size", "root"), [(0, EMPTY_ROOT), (1, leaf_hash("{}")), (2**53 - 1, "ff" * 32)])
def test_what_is_written_is_read_and_verified(size, root):
    note = signed(size, root)
    read = read_checkpoint(note)
    assert (read["origin"], read["size"], read["root"]) == (NAME, size, root)
    assert [(one["name"], one["key_id"]) for one in read["signatures"]] == [(NAME, key_id(NAME, PUBLIC))]
    assert verify_note(note, NAME, PUBLIC)


def test_a_note_with_any_bit_changed_is_refused_alike_in_both_languages(node):
    note = signed()
    other = Ed25519PrivateKey.from_private_bytes(SECRET[::-1]).public_key().public_bytes_raw().hex()
    changed = [[note, NAME, PUBLIC], [note, NAME, other], [note, "witnessmark/other", PUBLIC]]
    for at, character in enumerate(note):
        for bit in range(7):
            changed.append([note[:at] + chr(ord(character) ^ 1 << bit) + note[at + 1 :], NAME, PUBLIC])
        changed.append([note[:at] + note[at + 1 :], NAME, PUBLIC])
        changed.append([note[:at] + character + note[at:], NAME, PUBLIC])
    told = [verdict(*case) for case in changed]
    assert told[0] is True and told.count(True) == 1
    assert set(told[1:]) == {False, "note_malformed"}
    assert told == json.loads(node(IN_JAVASCRIPT, json.dumps(changed)))


def test_a_browser_without_ed25519_says_so(node):
    assert node(WITHOUT_ED25519, json.dumps([signed(), NAME, PUBLIC])).strip() == "note_unverifiable"
