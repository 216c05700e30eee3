"""The local code: the exact sentences that a shop signs, with their sources, and how many persons check controls.

A set is {"format": "1", "code", "title", "confirm": bool, "control_persons": 1 | 2, "statements": {key: {"text",
"source", "certificates": [kinds of certificate that may sign it; none listed means any]}}}, named by the SHA-256 of
its canonical JSON. `confirm`: its wording was not read in the source; the shop confirms it with its authority first.
"""

import re

from .problems import Problem
from .shape import check_shape

KEYS = ["countersignature", "settlement", "admission", "inspection", "inspection_part", "maintenance", "disapproval",
        "disapproval_part"]
SLOTS = ["type", "date", "number", "title", "registration"]
SLOT = re.compile(r"\{([^{}]*)\}")
STATEMENT = ["object", {"text": ["lines", 1, 2000], "source": ["lines", 1, 400],
                        "certificates": ["list", ["text", 1, 120], 20]}]
SET = ["object", {"format": ["one_of", ["1"]], "code": ["text", 1, 40], "title": ["text", 1, 120],
                  "confirm": ["yes_no"], "control_persons": ["int", 1, 2],
                  "statements": ["object", {key: STATEMENT for key in KEYS}]}]


def check_local_code(value):
    """Raise Problem `entry_shape`, or `code_slot` for a slot that does not exist."""
    check_shape(value, SET, "local_code")
    for key in KEYS:
        said = value["statements"][key]["text"]
        for slot in SLOT.findall(said):
            if slot not in SLOTS:
                raise Problem("code_slot", key=key, slot="{" + slot + "}", slots=", ".join(SLOTS))
        loose = set("{}") & set(SLOT.sub("", said))
        if loose:
            raise Problem("code_slot", key=key, slot=max(loose), slots=", ".join(SLOTS))


def record_of(template):
    """What a card of this template is signed off as: maintenance, inspection, or inspection_part."""
    if template["record"] == "maintenance":
        return "maintenance"
    return "inspection" if template["whole"] else "inspection_part"


def statement_key(kind, record):
    """The key of the sentence signed with this `kind` of entry; `record` is that of an approval. None: no sentence."""
    if kind == "release":
        return record
    if kind == "disapproval":
        return "disapproval_part" if record == "inspection_part" else "disapproval"
    return kind if kind in KEYS else None


def statement(code, key, slots):
    """The sentence `key` of the local `code` with its slots filled; `slots` is {slot: text}."""
    return SLOT.sub(lambda found: slots[found[1]], code["statements"][key]["text"])


def slots_of(card, body):
    """{slot: text} for a sentence on `card` (as in the API) in an entry with this `body`."""
    inspection = body.get("inspection") or {"type": ""}
    return {"type": inspection["type"], "date": body.get("date", ""), "number": card["number"], "title": card["title"],
            "registration": card["aircraft"]["registration"]}


def control_persons(code):
    """How many persons countersign an item that disturbs engine or flight controls."""
    return code["control_persons"]
