"""What a recorded reading means: inside its limits or not, what follows from it, what is still missing for a pass."""

from .judges import JUDGES
from .judging import stop
from .measuring_sentences import MEASURING
from .number import read_number
from .problems import Problem
from .units import convert

READ_TOO = (
    "at", "at_unit", "back", "base", "dial_high", "dial_low", "drag", "drag_at", "extension", "first_clock",
    "first_ips", "hours_now", "hours_then", "master_orifice", "result_high", "result_low", "second_clock", "second_ips",
    "trial_clock", "trial_mass",
)  # fmt: skip
LEVER = ("angle", "wrench_length")


def judge_reading(field, reading):
    """Judge a `reading` against its template `field`; no reading can make this raise.

    Returns {"values", "unit", "within": True | False | None (nothing to judge by), "derived": {name: text} worked out
    anew from the typed text, "differs": sorted names where the phone had worked out something else}.
    """
    within, derived, _ = _judged(field, reading)
    told = reading["derived"]
    differs = sorted(name for name in {*derived, *told} if derived.get(name) != told.get(name))
    return {"values": reading["values"], "unit": reading["unit"], "within": within, "derived": derived,
            "differs": differs}


def reading_gaps(field, reading):
    """The codes of what keeps `field` from a pass, for example reading_missing, tool_missing, outside_limits."""
    return [code for code, _ in reading_stops(field, reading)]


def reading_stops(field, reading):
    """As `reading_gaps`, each with the fields of its sentence: [[code, fields]]. `reading` may be None."""
    count = len(field["stations"]) or 1
    values = reading["values"] if reading else []
    if len(values) != count or None in values:
        return [stop("reading_missing", field)] if field["required"] or _recorded(values) else []
    within, _, stops = _judged(field, reading)
    if within is False and not stops:
        stops = [stop("not_acceptable" if field["options"] else "outside_limits", field)]
    return ([stop("tool_missing", field)] if field["tool"] and not reading["tools"] else []) + stops


def calibration_gaps(reading, day):
    """["tool_out_of_calibration"] when a tool of this reading was past its calibration on `day`, else []."""
    past = [tool for tool in reading["tools"] if tool["calibrated_until"] and tool["calibrated_until"] < day]
    return ["tool_out_of_calibration"] if past else []


def said_by_reading(reading):
    """What two people must agree on: the values, as numbers where they are numbers, their unit, and what else was read.

    The same dial reading is another tension by another instrument's table, the same setting another torque by another
    extension. What belongs to the tool alone (full scale, tolerance) is no disagreement.
    """
    given = reading["inputs"]
    names = READ_TOO + LEVER if "extension" in given else READ_TOO
    inputs = {name: _plain(given[name]) for name in names if name in given}
    return {"values": [_plain(value) for value in reading["values"]], "unit": reading["unit"], "inputs": inputs}


def trend_values(field, reading):
    """What a reading adds to a trend: [{"station": text or "", "value": decimal text in the unit of the field}].

    What cannot be read as a number adds nothing.
    """
    derived = judge_reading(field, reading)["derived"]
    wanted = TRENDED.get(field["kind"], lambda *_: [])(field, reading, derived)
    found = [{"station": station, "value": _in_field_unit(value, field, reading)} for station, value in wanted]
    return [one for one in found if one["value"] is not None]


def _recorded(values):
    return any(value is not None for value in values)


def _plain(value):
    try:
        return value if value is None else read_number(value)
    except Problem:
        return value


def _judged(field, reading):
    """[within, derived, stops] of `judges`; a Problem of the measured values themselves is a stop, any other a no."""
    try:
        return JUDGES[field["kind"]](field, reading)
    except Problem as problem:
        return [None, {}, [[problem.code, problem.fields]]] if problem.code in MEASURING else [False, {}, []]


def _each(field, reading, derived):
    return zip(field["stations"] or [""], reading["values"], strict=False)


def _drops(field, reading, derived):
    return [(station, derived.get(f"drop_{number}")) for number, station in enumerate(field["stations"], 1)]


def _in_field_unit(value, field, reading):
    try:
        same = value is None or reading["unit"] == field["unit"]
        text = value if same else convert(value, reading["unit"], field["unit"], 6)
        # Turned into a smaller unit, a number can have more digits than one that can be read again.
        return text if text is None or read_number(text) else None
    except Problem:
        return None


TRENDED = {"measure": _each, "compression": _each, "drop": _drops,
           "run_out": lambda field, reading, derived: [("", derived.get("total"))],
           "rate": lambda field, reading, derived: [("", derived.get("per_hour"))]}
