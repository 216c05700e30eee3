"""The fold of a card: template and entries, in any order and any number of copies, to one state.

State is never stored as truth. Phone and server fold the same entries to the same bytes; no clock takes part.
"""

from .entry import APPROVALS
from .item_state import fold_item


def fold(template, entries, control_persons=1):
    """The state of a card.

    `template` is a revision (see `card_template`), `entries` a list of {"id", "payload"}, `control_persons` what the
    card's local code asks (see `local_code`). Returns {"status": open |
    complete | released | contested | disapproved, "stops": [{"code", "item"}] in walk order, "counts", "covers": ids
    that a release made now would cover, "approvals": [{"id", "kind", "standing"}], "entries": how many,
    "superseded": ids, "items": the states of `fold_item` with "item", "zone" and "number"}.
    """
    known = {entry["id"]: entry["payload"] for entry in entries}
    items = _items(template, known, control_persons)
    superseded = {id for item in items for id in item.pop("superseded")}
    stops = [stop for item in items for stop in _stops(item)]
    covers = sorted(id for item in items for id in [*item["heads"], *item["countersigned_by"]])
    approvals, replaced = _approvals(known, covers, stops)
    return {"status": _status(approvals, stops), "stops": stops, "counts": _counts(items), "covers": covers,
            "approvals": approvals, "entries": len(known), "superseded": sorted(superseded | replaced),
            "items": items}


def _items(template, known, control_persons):
    by_item = {}
    for id, payload in known.items():
        by_item.setdefault(payload["item"], []).append({"id": id, "payload": payload})
    items = []
    for zone_number, zone in enumerate(template["zones"], 1):
        for item_number, item in enumerate(zone["items"], 1):
            state = fold_item(item, by_item.get(item["item"], []), control_persons)
            items.append({"item": item["item"], "zone": zone["zone"],
                          "number": f"{zone_number}.{item_number}", **state})
    return items


def _stops(item):
    """Why this item still stops a release, as [{"code", "item"}]; none when it is done."""
    codes = []
    if item["status"] not in ("passed", "not_applicable"):
        codes.append(item["status"])
    elif item["countersignature"] == "needed":
        codes.append("to_countersign")
    return [{"code": code, "item": item["item"]} for code in codes + item["problems"]]


def _counts(items):
    return {"items": len(items),
            "done": sum(item["done"] for item in items),
            "failed": sum(item["status"] in ("failed", "corrected") for item in items),
            "rejected": sum(item["status"] == "rejected" for item in items),
            "disputed": sum(item["status"] == "disputed" for item in items),
            "to_countersign": sum(item["status"] in ("passed", "not_applicable")
                                  and item["countersignature"] == "needed" for item in items)}


def _approvals(known, covers, stops):
    """The releases and disapprovals that nobody supersedes, and the ids of those that somebody does."""
    made = {id: payload for id, payload in known.items() if payload["kind"] in APPROVALS}
    replaced = {old for payload in made.values() for old in payload["supersedes"] if old in made}
    approvals = []
    for id in sorted(made.keys() - replaced):
        kind, covered = made[id]["kind"], made[id]["body"]["covers"]
        standing = covered == covers and (kind == "disapproval" or not stops)
        approvals.append({"id": id, "kind": kind, "standing": standing})
    return approvals, replaced


def _status(approvals, stops):
    kinds = {approval["kind"] for approval in approvals}
    if kinds == {"disapproval"}:
        return "disapproved"
    if kinds == {"release"} and any(approval["standing"] for approval in approvals):
        return "released"
    if kinds:
        return "contested"
    return "open" if stops else "complete"
