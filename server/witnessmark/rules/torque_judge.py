"""What a torque reading means: what reached the fastener, and whether that is inside the window.

The window is the card's limits plus the friction drag torque (AC 43.13-1B par. 7-40 d, f, g); drag first, then the
extension. A card that does not ask for the drag is not widened by one. Inputs: wrench_length and extension in one
length unit, angle in degrees, drag in the unit of the reading, read at the fastener or, drag_at "wrench", on the wrench
through the extension, which must be said where there is one; full_scale and graduation in the unit of the reading;
tolerance_percent of the reading.
"""

from .guard import may_pass, outcome, uncertainty
from .judging import guard_stop, is_within, stop, told_tolerance
from .limits import limits_of
from .problems import Problem
from .ratio import ratio, show
from .torque import applied_torque, drag_at_fastener, show_torque, window, wrench_advice
from .units import in_unit, span_in_unit

DRAG_AT = ("fastener", "wrench")
HARD = ("wrench_below_range", "wrench_above_range")


def judge_torque(field, reading):
    """[within, derived, stops] of a torque, see `judges`."""
    if reading["values"] == [None]:
        return [None, {}, []]
    if len(reading["values"]) != 1:
        raise Problem("readings_none")
    inputs, setting = reading["inputs"], reading["values"][0]
    if inputs.get("drag_at", "fastener") not in DRAG_AT:
        raise Problem("choice_unknown", value=inputs["drag_at"], title=field["title"])
    lever = _lever(inputs)
    applied = applied_torque(setting, *lever) if lever else ratio(setting)
    derived = {"applied": show_torque(applied)} if lever else {}
    [limits] = limits_of(field, reading)
    stops = [stop(code, field) for code in _advice(inputs, setting) if code in HARD]
    asked = (field.get("torque") or {}).get("drag")
    if asked and "drag" not in inputs:
        return [None, derived, [*stops, stop("drag_missing", field)]]
    if asked and limits is not None:
        if lever and "drag_at" not in inputs:
            return [None, derived, [*stops, stop("drag_place_missing", field)]]
        drag = drag_at_fastener(inputs["drag"], *lever) if lever and inputs.get("drag_at") == "wrench" \
            else ratio(inputs["drag"])
        limits = window(limits, span_in_unit(drag, reading["unit"], field["unit"]))
        derived |= {f"window_{end}": show(in_unit(limits[end], field["unit"], reading["unit"]), 2)
                    for end in ("min", "max") if limits[end] is not None}
    within, told, more = _decide(field, inputs, in_unit(applied, reading["unit"], field["unit"]), limits)
    return [None if stops and within else within, derived | told, stops + more]


def _decide(field, inputs, value, limits):
    within, decision = is_within(limits, value), field.get("decision", "simple")
    percent = told_tolerance(inputs, "tolerance_percent")
    if percent is None or limits is None:
        missing = decision != "simple"
        return [None if missing else within, {}, [stop("tolerance_missing", field)] if missing else []]
    found = outcome(value, limits["min"], limits["max"], uncertainty(value, percent))
    if within and not may_pass(decision, within, found):
        return [False, {"outcome": found}, [guard_stop(field, found)]]
    return [within, {"outcome": found}, []]


def _lever(inputs):
    """(wrench length, extension, angle) when an extension is used, else None."""
    if "extension" not in inputs:
        return None
    if "wrench_length" not in inputs:
        raise Problem("torque_geometry")
    return inputs["wrench_length"], inputs["extension"], inputs.get("angle", "0")


def _advice(inputs, setting):
    return wrench_advice(setting, inputs["full_scale"], inputs.get("graduation")) if "full_scale" in inputs else []
