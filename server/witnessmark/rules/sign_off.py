"""Who may record, countersign and release, and the exact sentences they sign."""

ROLES = ("mechanic", "inspector", "author", "reader")
MAY = {
    "result": ("mechanic", "inspector"),
    "corrective_action": ("mechanic", "inspector"),
    "settlement": ("inspector",),
    "countersignature": ("inspector",),
    "release": ("inspector",),
    "disapproval": ("inspector",),
}
STATEMENTS = {
    "countersignature": "I have looked at this item myself, after the work, and agree with the recorded result.",
    "settlement": "I have seen every entry in dispute. This is the result that stands.",
    "release": ("I certify that the inspection \"{title}\" of this aircraft was performed as recorded on work card"
                " {number}, and that the aircraft is approved for return to service in respect of this work only."),
    "disapproval": ("I certify that the inspection \"{title}\" of this aircraft was performed as recorded on work card"
                    " {number}, and that a list of discrepancies and unairworthy items has been provided for the"
                    " aircraft owner or operator."),
}


def may(roles, kind):
    """May somebody with these `roles` make an entry of this `kind`?"""
    return any(role in MAY[kind] for role in roles)


def statement(kind, facts):
    """The sentence signed with an entry of this `kind`; `facts` has "title" and "number" of the card.

    14 CFR 43.11(a)(4), (5) allow a similarly worded statement; 43.9: the signature covers only the work performed.
    """
    return STATEMENTS[kind].format_map(facts)


def refusals(state, roles, kind, item):
    """Why somebody with `roles` may not make this `kind` of entry now, as codes; `item` is null for a card.

    `state` is the card's, as folded on this side. Empty when nothing stands against it.
    """
    if not may(roles, kind):
        return ["not_allowed"]
    if kind in ("release", "disapproval"):
        return ["not_ready_for_release"] if kind == "release" and state["stops"] else []
    (standing,) = [found for found in state["items"] if found["item"] == item]
    return ITEM_REFUSALS[kind](standing)


def countersign_refusals(state, roles, item, person, authors):
    """As `refusals`, for a countersignature: `authors` are the person ids of the item's heads."""
    found = refusals(state, roles, "countersignature", item)
    return found or (["own_work"] if person in authors else [])


def _of_result(standing):
    return ["dispute_open"] if standing["status"] == "disputed" else []


def _of_settlement(standing):
    return [] if standing["status"] == "disputed" else ["no_dispute"]


def _of_correction(standing):
    return [] if standing["status"] in ("failed", "corrected") else ["no_failure"]


def _of_countersignature(standing):
    return [] if standing["status"] in ("passed", "not_applicable") else ["nothing_to_countersign"]


ITEM_REFUSALS = {"result": _of_result, "settlement": _of_settlement, "corrective_action": _of_correction,
                 "countersignature": _of_countersignature}
