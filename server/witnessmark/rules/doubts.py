"""Typed values that a person is asked about before anything is recorded. Nothing is refused for being unusual."""

from .limits import limits_of
from .measurement import hours_run
from .number import read_number
from .problems import Problem
from .ratio import compare, ratio, show, times
from .units import UNITS, in_unit, span_in_unit

NEVER_NEGATIVE = ("length", "torque", "pressure", "force", "volume", "speed of rotation", "time", "velocity", "mass",
                  "number of turns", "number of wires", "number of strands", "number of threads")
MAY_TURN = ("run_out",)
LIMITED = ("measure", "run_out", "torque", "compression", "balance")
TEN = ratio("10")
MANY_HOURS = ratio("100")


def impossible_value(field, reading):
    """{"value"} of the first typed value below zero where that cannot be measured, or None.

    Lengths may be negative on a dial that turns (run_out), and wherever the card's own limits go below zero.
    """
    if field["kind"] in MAY_TURN or UNITS.get(reading["unit"], {"kind": ""})["kind"] not in NEVER_NEGATIVE:
        return None
    limits = field["limits"]
    if limits and limits["min"] is not None and compare(ratio(limits["min"]), ratio("0")) < 0:
        return None
    return next(({"value": value} for value in reading["values"] if _is_negative(value)), None)


def absurd_value(field, reading):
    """{"value", "limit", "unit"} of the first value beyond ten times its limit, in the field's unit, or None.

    The upper limit, or where there is none the lower one. None too once the input `confirmed` says "yes".
    """
    if field["kind"] not in LIMITED or reading["inputs"].get("confirmed") == "yes":
        return None
    try:
        limits = limits_of(field, reading)
        for value, pair in zip(reading["values"], limits, strict=False):
            limit = pair and (pair["min"] if pair["max"] is None else pair["max"])
            if value is not None and limit is not None:
                exact = in_unit(ratio(value), reading["unit"], field["unit"])
                if compare(_size(exact), times(_size(limit), TEN)) > 0 and compare(limit, ratio("0")):
                    return {"value": _plain(exact), "limit": _plain(limit), "unit": field["unit"]}
    except Problem:
        return None
    return None


def unlikely_input(field, reading):
    """[code, fields of its sentence] of an input that would move the judgement unseen, or None.

    A friction drag above half of the torque it is added to; over 100 h between two fillings. Both lines are common
    practice, no source. None too once the input `confirmed` says "yes".
    """
    inputs = reading["inputs"]
    if inputs.get("confirmed") == "yes":
        return None
    try:
        if field["kind"] == "torque" and "drag" in inputs:
            [pair] = limits_of(field, reading)
            drag = span_in_unit(ratio(inputs["drag"]), reading["unit"], field["unit"])
            if pair and pair["max"] is not None and compare(times(drag, ratio("2")), pair["max"]) > 0:
                return ["drag_large", {"value": read_number(inputs["drag"]), "unit": reading["unit"]}]
        if field["kind"] == "rate" and "hours_then" in inputs and "hours_now" in inputs:
            hours = hours_run(inputs["hours_then"], inputs["hours_now"])
            if compare(ratio(hours), MANY_HOURS) > 0:
                return ["hours_many", {"hours": hours}]
    except Problem:
        return None
    return None


def _is_negative(value):
    """What cannot be read as a number is refused elsewhere, in words of its own."""
    try:
        return value is not None and compare(ratio(value), ratio("0")) < 0
    except Problem:
        return False


def _size(exact):
    return times(exact, ratio("-1")) if compare(exact, ratio("0")) < 0 else exact


def _plain(exact):
    return read_number(show(exact, 6))
