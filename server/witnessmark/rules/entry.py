"""Entries: one person's signed statement, append-only. What each kind carries, its canonical payload and its id.

An entry's text is a JWS (`signature`) over the canonical payload: the phone stores it, it travels, the table keeps it
and the PDF carries it. The id is the SHA-256 of the payload, so a changed entry is another one.
"""

import hashlib

from .canonical import canonical_text, check_record_keys, read_canonical
from .problems import Problem
from .shape import check_shape
from .signature import ENTRY_TYP, read_jws

VERSION = 2
ITEM_KINDS = ("result", "settlement", "corrective_action", "countersignature", "rejection")
APPROVALS = ("release", "disapproval")
CARD_KINDS = (*APPROVALS, "admission")
INSPECTIONS = ("inspection", "inspection_part")
RECORDS = [*INSPECTIONS, "maintenance"]
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
TOOL = ["object", {"serial": NAME, "calibrated_until": ["null_or", ["day"]]}]
READING = ["object", {"values": ["list", ["null_or", TYPED], 64], "unit": ["null_or", ["text", 1, 20]],
                      "tools": ["list", TOOL, 8], "inputs": ["map", TYPED, 16], "derived": ["map", TYPED, 16]}]
READINGS = ["map", READING, 40]
PHOTOS = ["list", PHOTO, 24]
DISCREPANCY = ["object", {"what": TOLD, "where": ["text", 1, 400]}]
RESULT = {"result": ["one_of", RESULTS], "readings": READINGS, "note": NOTE, "photos": PHOTOS,
          "discrepancy": ["null_or", DISCREPANCY]}
INSPECTION = ["object", {"type": NAME, "extent": TOLD}]
WORK = ["object", {"description": TOLD, "completed_on": ["day"], "by": ["list", NAME, 16]}]
APPROVAL = {"covers": ["ids", 2000], "statement": TOLD, "record": ["one_of", RECORDS], "date": ["day"],
            "inspection": ["null_or", INSPECTION], "work": ["null_or", WORK],
            "times": ["map", ["object", {"value": TYPED, "unit": ["text", 1, 20]}], 16],
            "discrepancies": ["list", ["object", {"item": ITEM, "what": TOLD, "where": ["text", 1, 400]}], 400]}
BODIES = {
    "result": ["object", RESULT],
    "settlement": ["object", RESULT | {"statement": TOLD}],
    "corrective_action": ["object", {"action": TOLD, "readings": READINGS, "note": NOTE, "photos": PHOTOS}],
    "countersignature": ["object", {"covers": ["ids", 16], "statement": TOLD}],
    "rejection": ["object", {"reason": TOLD, "photos": PHOTOS}],
    "release": ["object", APPROVAL],
    "disapproval": ["object", APPROVAL],
    "admission": ["object", {"entry": ID, "reason": TOLD, "statement": TOLD}],
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
    "unlocked": ["object", {"by": ["one_of", ["code", "passkey"]], "at": ["time"], "use": ["int", 1, 100000]}],
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
    if kind in ("countersignature", "admission"):
        _refuse_if(bool(payload["supersedes"]), "supersedes", f"a {kind} replaces nothing")
    if kind == "countersignature":
        _refuse_if(not body["covers"], "body.covers", "it must name what is countersigned")
    if kind == "rejection":
        _refuse_if(not payload["supersedes"], "supersedes", "it must name what is sent back")
    if kind in APPROVALS:
        _check_approval(kind, body)


def _check_approval(kind, body):
    inspected = body["record"] in INSPECTIONS
    _refuse_if(inspected != (body["inspection"] is not None), "body.inspection", "an inspection, and only one, has it")
    _refuse_if(inspected != (body["work"] is None), "body.work", "a maintenance record, and only one, has it")
    _refuse_if(inspected and "airframe" not in body["times"], "body.times", "the airframe's total time is missing")
    _refuse_if(kind == "disapproval" and not inspected, "body.record", "only an inspection is disapproved")
    _refuse_if((kind == "disapproval") == (not body["discrepancies"]), "body.discrepancies",
               "a disapproval, and only one, lists discrepancies")


def entry_text(payload):
    """The canonical text of a payload."""
    return canonical_text(payload)


def content_id(text):
    """The SHA-256 of a text's UTF-8 bytes, 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def read_entry(text):
    """{"id", "payload", "text", "kid"} of an entry's text. Raises Problem. Its signature is not verified here."""
    return entry_of(read_jws(text, ENTRY_TYP), text)


def entry_of(signed, text):
    """As `read_entry`, for whoever has read the JWS `text` into `signed` already, to verify it."""
    payload = read_canonical(signed["payload_text"])
    check_entry(payload)
    return {"id": content_id(signed["payload_text"]), "payload": payload, "text": text, "kid": signed["kid"]}


def set_digest(ids):
    """One digest for a set of entries, to compare two sides: SHA-256 of the sorted ids, one a line."""
    return content_id("\n".join(sorted(set(ids))))


def _refuse_if(wrong, at, why):
    if wrong:
        raise Problem("entry_shape", at=f"entry.{at}", why=why)
