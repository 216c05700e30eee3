"""What a recorded reading means: inside its limits or not, what follows from it, what is still missing for a pass."""

from .measurement import total_indicator_reading
from .number import read_number
from .problems import Problem
from .ratio import compare, ratio
from .torque import applied_torque, show_torque
from .units import in_unit


def judge_reading(field, reading):
    """Judge a `reading` against its template `field`; no reading can make this raise.

    Returns {"values", "unit", "within": True | False | None (nothing to judge by), "derived": {name: text} worked out
    anew from the typed text, "differs": sorted names where the phone had worked out something else}.
    """
    try:
        within, derived = JUDGES[field["kind"]](field, reading)
    except Problem:
        within, derived = False, {}
    told = reading["derived"]
    differs = sorted(name for name in {*derived, *told} if derived.get(name) != told.get(name))
    return {"values": reading["values"], "unit": reading["unit"], "within": within, "derived": derived,
            "differs": differs}


def reading_gaps(field, reading):
    """The codes of what keeps `field` from a pass: reading_missing, tool_missing, outside_limits, not_acceptable."""
    count = len(field["stations"]) or 1
    values = reading["values"] if reading else []
    if len(values) != count or None in values:
        return ["reading_missing"] if field["required"] or _recorded(values) else []
    gaps = []
    if field["tool"] and not reading["tools"]:
        gaps.append("tool_missing")
    if judge_reading(field, reading)["within"] is False:
        gaps.append("not_acceptable" if field["kind"] == "choice" else "outside_limits")
    return gaps


def calibration_gaps(reading, day):
    """["tool_out_of_calibration"] when a tool of this reading was past its calibration on `day`, else []."""
    past = [tool for tool in reading["tools"] if tool["calibrated_until"] and tool["calibrated_until"] < day]
    return ["tool_out_of_calibration"] if past else []


def said_by_reading(reading):
    """What two people must agree on: the values, as numbers where they are numbers, and their unit."""
    return {"values": [_plain(value) for value in reading["values"]], "unit": reading["unit"]}


def _recorded(values):
    return any(value is not None for value in values)


def _plain(value):
    try:
        return value if value is None else read_number(value)
    except Problem:
        return value


def _measure(field, reading):
    values = _exact_values(field, reading)
    judged = [_within(field, value) for value in values if value is not None]
    if False in judged:
        return False, {}
    return (True if judged and len(judged) == len(values) and None not in judged else None), {}


def _run_out(field, reading):
    values = _exact_values(field, reading)
    if None in values or not values:
        return None, {}
    total = total_indicator_reading(reading["values"])
    return _within(field, in_unit(ratio(total), reading["unit"], field["unit"])), {"total": total}


def _torque(field, reading):
    if reading["values"] == [None]:
        return None, {}
    if len(reading["values"]) != 1:
        raise Problem("readings_none")
    inputs, setting = reading["inputs"], reading["values"][0]
    if not inputs:
        return _within(field, in_unit(ratio(setting), reading["unit"], field["unit"])), {}
    if sorted(inputs) != ["extension", "wrench_length"]:
        raise Problem("torque_geometry")
    applied = applied_torque(setting, inputs["wrench_length"], inputs["extension"])
    return _within(field, in_unit(applied, reading["unit"], field["unit"])), {"applied": show_torque(applied)}


def _choice(field, reading):
    chosen = reading["values"]
    if chosen == [None]:
        return None, {}
    if len(chosen) != 1 or chosen[0] not in field["options"]:
        return False, {}
    return (chosen[0] in field["acceptable"] if field["acceptable"] else None), {}


def _told(field, reading):
    return None, {}


def _exact_values(field, reading):
    if len(reading["values"]) != (len(field["stations"]) or 1):
        raise Problem("readings_none")
    return [None if value is None else in_unit(ratio(value), reading["unit"], field["unit"])
            for value in reading["values"]]


def _within(field, value):
    limits = field["limits"]
    if limits is None:
        return None
    if limits["min"] is not None and compare(value, ratio(limits["min"])) < 0:
        return False
    return limits["max"] is None or compare(value, ratio(limits["max"])) <= 0


JUDGES = {"measure": _measure, "run_out": _run_out, "torque": _torque, "choice": _choice, "text": _told}
