"""Who may record, countersign, send back, settle and release, and what stands against it."""

from .lineage import workers

ROLES = ("mechanic", "inspector", "author", "reader")
MAY = {
    "result": ("mechanic", "inspector"),
    "corrective_action": ("mechanic", "inspector"),
    "settlement": ("inspector",),
    "countersignature": ("inspector",),
    "rejection": ("inspector",),
    "release": ("inspector",),
    "disapproval": ("inspector",),
    "admission": ("inspector",),
}
# What is signed one at a time, with the signing code each time, on a page of its own.
FRESH = ("settlement", "countersignature", "rejection", "release", "disapproval", "admission")


def may(roles, kind):
    """May somebody with these `roles` make an entry of this `kind`?"""
    return any(role in MAY[kind] for role in roles)


def roles_on(authorities, day):
    """The roles that hold on `day` ("2026-11-25"), in the order of ROLES.

    `authorities` is a list of {"role", "from", "until"}; a day of None has no limit, and both days are included.
    """
    held = {one["role"] for one in authorities
            if (one["from"] is None or one["from"] <= day) and (one["until"] is None or day <= one["until"])}
    return [role for role in ROLES if role in held]


def refusals(state, roles, kind, item):
    """Why somebody with `roles` may not make this `kind` of entry now, as codes; `item` is null for a card.

    `state` is the card's, as folded on this side. Empty when nothing stands against it.
    """
    if not may(roles, kind):
        return ["not_allowed"]
    if item is None:
        return ["not_ready_for_release"] if kind == "release" and state["stops"] else []
    (standing,) = [found for found in state["items"] if found["item"] == item]
    return ITEM_REFUSALS[kind](standing)


def countersign_refusals(state, roles, item, person, entries):
    """As `refusals`, for a countersignature by `person`; `entries` are {id: payload} of the card.

    Nobody countersigns their own work, and nobody is two of the persons that an item needs.
    """
    found = refusals(state, roles, "countersignature", item)
    if found:
        return found
    (standing,) = [found for found in state["items"] if found["item"] == item]
    if person in workers(standing["heads"], entries):
        return ["own_work"]
    signed = {entries[id]["author"]["person"] for id in standing["countersigned_by"]}
    return ["already_countersigned"] if person in signed else []


def certificate_fits(code, key, kind):
    """May the holder of a certificate of this `kind` sign the statement `key` of a local `code`? See `local_code`."""
    allowed = code["statements"][key]["certificates"]
    return not allowed or kind in allowed


def _of_result(standing):
    return ["dispute_open"] if standing["status"] == "disputed" else []


def _of_settlement(standing):
    return [] if standing["status"] == "disputed" else ["no_dispute"]


def _of_correction(standing):
    return [] if standing["status"] in ("failed", "corrected", "rejected") else ["no_failure"]


def _of_countersignature(standing):
    return [] if standing["status"] in ("passed", "not_applicable") else ["nothing_to_countersign"]


def _of_rejection(standing):
    return [] if standing["status"] in ("passed", "not_applicable") else ["nothing_to_send_back"]


ITEM_REFUSALS = {"result": _of_result, "settlement": _of_settlement, "corrective_action": _of_correction,
                 "countersignature": _of_countersignature, "rejection": _of_rejection}
