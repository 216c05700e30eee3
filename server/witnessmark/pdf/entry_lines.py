"""One entry as the paper prints it: words, readings with limits, photo numbers, signature."""

from ..rules.entry import APPROVALS
from .approvals import record_facts, record_name
from .reading_lines import reading_line

LABEL = {
    "result": "Result",
    "settlement": "Settlement of a dispute",
    "corrective_action": "Corrective action",
    "countersignature": "Countersignature",
    "rejection": "Sent back",
    "admission": "Refused entry taken in",
    "release": "Approval for return to service",
    "disapproval": "Disapproval for return to service",
}
MEANING = {
    "result": "Recorded",
    "settlement": "Settled",
    "corrective_action": "Corrected",
    "countersignature": "Countersigned",
    "rejection": "Sent back",
    "admission": "Taken in",
    "release": "Approved",
    "disapproval": "Disapproved",
}
RESULT = {"pass": "Pass", "fail": "Fail", "not_applicable": "Not applicable"}


def entry_line(entry, item, photo_numbers, last):
    """What is printed of `entry` ({"id", "payload", "kid"}) of the template `item` (None for an entry of the card).

    `photo_numbers`: sha256 -> number on this paper. `last`: {field: {station: typed value}} of the last inspection.
    Absent parts are empty texts or lists.
    """
    payload, body = entry["payload"], entry["payload"]["body"]
    approves = payload["kind"] in APPROVALS
    fields = {field["field"]: field for field in item["fields"]} if item else {}
    readings = body.get("readings", {})
    order = [name for name in fields if name in readings] + sorted(name for name in readings if name not in fields)
    return {
        "word": RESULT.get(body.get("result"), ""),
        "kind": payload["kind"],
        "label": LABEL[payload["kind"]],
        "discrepancy": body.get("discrepancy"),
        "action": body.get("action", ""),
        "statement": body.get("statement", ""),
        "reason": body.get("reason", ""),
        "admits": body["entry"][:8] if payload["kind"] == "admission" else "",
        "note": body.get("note", ""),
        "readings": [reading_line(fields.get(name), name, readings[name], payload["claimed_at"][:10], last.get(name))
                     for name in order],
        "record": record_name(body["record"]) if approves else "",
        "facts": record_facts(body) if approves else [],
        "photos": [photo_numbers[photo["sha256"]] for photo in body.get("photos", [])],
        **signature_line(entry),
    }


def signature_line(entry):
    """Printed name, certificate, UTC time and meaning of a signature; the beginnings of the entry's id and its key."""
    author = entry["payload"]["author"]
    certificate = author["certificate"]
    held = " ".join(part for part in (certificate["kind"], certificate["number"]) if part)
    return {
        "id": entry["id"],
        "short": entry["id"][:8],
        "key": entry["kid"][:8],
        "meaning": MEANING[entry["payload"]["kind"]],
        "name": author["name"],
        "certificate": held or "no certificate recorded",
        "time": shown_time(entry["payload"]["claimed_at"]),
    }


def shown_time(claimed):
    """"2026-11-25T08:00:00Z" -> "2026-11-25 08:00:00 UTC"."""
    return claimed.replace("T", " ").removesuffix("Z") + " UTC"
