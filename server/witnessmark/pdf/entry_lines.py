"""One entry as the paper prints it: words, readings with limits, photo numbers, signature."""

from ..rules.entry import APPROVALS
from ..rules.readings import calibration_gaps, judge_reading
from .approvals import record_facts, record_name

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
JUDGED = {True: "within limits", False: "outside limits"}
JUDGED_CHOICE = {True: "acceptable", False: "not acceptable"}
DERIVED = {"total": "Total indicator reading", "applied": "Applied torque"}
STATIONS_A_ROW = 8
TYPED_INPUT = {"wrench_length": "wrench length", "extension": "extension"}


def entry_line(entry, item, photo_numbers):
    """What is printed of `entry` ({"id", "payload", "kid"}) of the template `item` (None for an entry of the card).

    `photo_numbers`: sha256 -> number on this paper. Absent parts are empty texts or lists.
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
        "readings": [reading_line(fields.get(name), name, readings[name], payload["claimed_at"][:10])
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


def reading_line(field, name, reading, day):
    """A reading with its unit, its limits and their source, its tools as of `day` and what follows from it.

    A reading of a field that the template does not know is printed as typed, under its bare `name`.
    """
    field = field or {"title": name, "kind": "text", "stations": [], "limits": None, "source": None,
                      "acceptable": None, "unit": None, "options": []}
    judged = judge_reading(field, reading)
    words = JUDGED_CHOICE if field["kind"] == "choice" else JUDGED
    unit = reading["unit"] or ""
    values = ["not taken" if value is None else value for value in reading["values"]]
    stations = list(zip(field["stations"], values, strict=True)) if len(field["stations"]) == len(values) else []
    rows = [stations[start : start + STATIONS_A_ROW] for start in range(0, len(stations), STATIONS_A_ROW)]
    return {
        "title": field["title"],
        "unit": unit,
        "values": values,
        "stations": rows,
        "limits": _limits(field),
        "source": field["source"] or "",
        "judged": words.get(judged["within"], ""),
        "outside": judged["within"] is False,
        "inputs": [(TYPED_INPUT.get(key, key), value) for key, value in sorted(reading["inputs"].items())],
        "derived": _derived(judged, reading, unit),
        "tools": [_tool(field.get("tool") or "tool", tool, day) for tool in reading["tools"]],
    }


def _tool(kind, tool, day):
    """{"words", "past"}: a tool with its calibration date; `past` when that was before `day`."""
    past = bool(calibration_gaps({"tools": [tool]}, day))
    until = tool["calibrated_until"]
    words = f"calibrated {'only ' if past else ''}until {until}" if until else "no calibration date recorded"
    return {"words": f"{kind} {tool['serial']}, {words}", "past": past}


def _limits(field):
    if field.get("acceptable"):
        return "acceptable: " + ", ".join(field["acceptable"])
    limits, unit = field["limits"], " " + field["unit"] if field["unit"] else ""
    low, high = (limits["min"], limits["max"]) if limits else (None, None)
    if low is None and high is None:
        return ""
    if low is None or high is None:
        return f"at most {high}{unit}" if low is None else f"at least {low}{unit}"
    return f"{low} to {high}{unit}"


def _derived(judged, reading, unit):
    """(title, recomputed value, what the phone had told instead or "")."""
    told = reading["derived"]
    names = sorted({*judged["derived"], *told})
    return [(DERIVED.get(name, name), _with_unit(judged["derived"].get(name), unit),
             _with_unit(told.get(name), unit) if name in judged["differs"] else "") for name in names]


def _with_unit(value, unit):
    return "nothing" if value is None else f"{value} {unit}".strip()
