"""Entries: one person's statement, append-only. What each kind carries, its canonical text and its id.

The text is what the phone stores, what travels, what the table keeps and what the PDF carries. The id is the
SHA-256 of the text, so an entry cannot be changed without becoming another one.
"""

import hashlib

from .canonical import canonical_text, check_record_keys, read_canonical
from .problems import Problem
from .shape import check_shape

VERSION = 1
ITEM_KINDS = ("result", "settlement", "corrective_action", "countersignature")
CARD_KINDS = ("release", "disapproval")
RESULTS = ["pass", "fail", "not_applicable"]

ID = ["hex", 64]
SHORT_ID = ["hex", 32]
NAME = ["text", 1, 120]
TYPED = ["text", 1, 120]
NOTE = ["lines", 0, 4000]
TOLD = ["lines", 1, 4000]
ITEM = ["text", 1, 40]
PHOTO = ["object", {"sha256": ID, "bytes": ["int", 1, 20000000], "type": ["one_of", ["image/jpeg"]],
                    "caption": ["text", 0, 200]}]
READING = ["object", {"values": ["list", ["null_or", TYPED], 64], "unit": ["null_or", ["text", 1, 20]],
                      "tools": ["list", NAME, 8], "inputs": ["map", TYPED, 16], "derived": ["map", TYPED, 16]}]
READINGS = ["map", READING, 40]
PHOTOS = ["list", PHOTO, 24]
DISCREPANCY = ["object", {"what": TOLD, "where": ["text", 1, 400]}]
RESULT = {"result": ["one_of", RESULTS], "readings": READINGS, "note": NOTE, "photos": PHOTOS,
          "discrepancy": ["null_or", DISCREPANCY]}
APPROVAL = {"covers": ["ids", 2000], "statement": TOLD,
            "times": ["map", ["object", {"value": TYPED, "unit": ["text", 1, 20]}], 16],
            "discrepancies": ["list", ["object", {"item": ITEM, "what": TOLD, "where": ["text", 1, 400]}], 400]}
BODIES = {
    "result": ["object", RESULT],
    "settlement": ["object", RESULT | {"statement": TOLD}],
    "corrective_action": ["object", {"action": TOLD, "readings": READINGS, "note": NOTE, "photos": PHOTOS}],
    "countersignature": ["object", {"covers": ["ids", 16], "statement": TOLD}],
    "release": ["object", APPROVAL],
    "disapproval": ["object", APPROVAL],
}
PAYLOAD = ["object", {
    "v": ["int", VERSION, VERSION],
    "kind": ["one_of", list(ITEM_KINDS + CARD_KINDS)],
    "server": SHORT_ID,
    "card": SHORT_ID,
    "revision": ID,
    "aircraft": ["object", {"registration": ["text", 1, 20], "serial_number": ["text", 1, 40]}],
    "item": ["null_or", ITEM],
    "supersedes": ["ids", 64],
    "author": ["object", {"person": SHORT_ID, "name": NAME,
                          "certificate": ["object", {"kind": ["text", 0, 120], "number": ["text", 0, 60]}]}],
    "device": SHORT_ID,
    "sequence": ["int", 1, 2**53 - 1],
    "previous": ["null_or", ID],
    "checkpoint": ["null_or", ["object", {"size": ["int", 0, 2**53 - 1], "root": ID}]],
    "claimed_at": ["time"],
    "body": ["map", ["any"], 16],
}]


def make_entry(facts):
    """The payload of a new entry from `facts` (its members without `v`), ids sorted, checked.

    Raises Problem `entry_shape`.
    """
    body = dict(facts["body"])
    if "covers" in body:
        body["covers"] = sorted(set(body["covers"]))
    payload = {**facts, "v": VERSION, "supersedes": sorted(set(facts["supersedes"])), "body": body}
    check_entry(payload)
    return payload


def check_entry(payload):
    """Raise Problem unless `payload` has the shape of its kind and holds together."""
    check_record_keys(payload)
    check_shape(payload, PAYLOAD, "entry")
    kind, body = payload["kind"], payload["body"]
    check_shape(body, BODIES[kind], "entry.body")
    _refuse_if((payload["item"] is None) != (kind in CARD_KINDS), "item", "it must name the item, if of an item")
    _refuse_if((payload["previous"] is None) != (payload["sequence"] == 1), "previous",
               "only the first entry of a phone has none")
    if kind in ("result", "settlement"):
        _refuse_if((body["discrepancy"] is None) == (body["result"] == "fail"), "body.discrepancy",
                   "a fail, and only a fail, says what was found")
    if kind == "countersignature":
        _refuse_if(not body["covers"], "body.covers", "it must name what is countersigned")
        _refuse_if(bool(payload["supersedes"]), "supersedes", "a countersignature replaces nothing")


def entry_text(payload):
    """The canonical text of a payload."""
    return canonical_text(payload)


def content_id(text):
    """The SHA-256 of a text's UTF-8 bytes, 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def read_entry(text):
    """{"id", "payload", "text"} of an entry's canonical text. Raises Problem."""
    payload = read_canonical(text)
    check_entry(payload)
    return {"id": content_id(text), "payload": payload, "text": text}


def set_digest(ids):
    """One digest for a set of entries, to compare two sides: SHA-256 of the sorted ids, one a line."""
    return content_id("\n".join(sorted(set(ids))))


def _refuse_if(wrong, at, why):
    if wrong:
        raise Problem("entry_shape", at=f"entry.{at}", why=why)
