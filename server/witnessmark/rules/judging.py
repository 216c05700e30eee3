"""What every judge of readings needs: exact values in the field's unit, and a value against one pair of limits."""

from .problems import Problem
from .ratio import compare, ratio
from .units import in_unit


def exact_values(field, reading):
    """The values as ratios in the field's unit, None where none was taken. Raises Problem for a wrong count or unit."""
    if len(reading["values"]) != (len(field["stations"]) or 1):
        raise Problem("readings_none")
    return [None if value is None else in_unit(ratio(value), reading["unit"], field["unit"])
            for value in reading["values"]]


def is_within(pair, value):
    """Whether the ratio `value` is inside `pair` = {"min", "max"} (ratios or None), ends included; None without."""
    if pair is None:
        return None
    if pair["min"] is not None and compare(value, pair["min"]) < 0:
        return False
    return pair["max"] is None or compare(value, pair["max"]) <= 0


def within_all(values, limits):
    """False when one of the values taken is outside, True when all are taken, judged and inside, else None."""
    judged = [is_within(pair, value) for value, pair in zip(values, limits, strict=True) if value is not None]
    if False in judged:
        return False
    return True if judged and len(judged) == len(values) and None not in judged else None


def told_tolerance(inputs, name):
    """The typed tolerance `name` of the tool; None when missing or nothing, since a tool without any would always do.

    Raises Problem `number_negative`, `number_unreadable`.
    """
    if name not in inputs:
        return None
    sign = compare(not_negative(inputs[name]), ratio("0"))
    return inputs[name] if sign else None


def not_negative(typed):
    """The exact ratio of a text that cannot be below zero. Raises Problem `number_negative`, `number_unreadable`."""
    value = ratio(typed)
    if compare(value, ratio("0")) < 0:
        raise Problem("number_negative", value=typed)
    return value


def stop(code, field):
    """What keeps a pass of `field` from standing: [code, fields of its sentence]."""
    return [code, {"title": field["title"]}]


def guard_stop(field, found):
    """The stop of a value inside its limits whose `found` outcome the card's decision rule does not let pass."""
    return stop(found if found == "tool_not_good_enough" else "inside_guard_band", field)


def closed(field, within, derived, stops):
    """[within, derived, stops] of values whose `stops` are a no of their own; limits that say no too stand beside."""
    if not stops:
        return [within, derived, []]
    return [False, derived, [*stops, stop("outside_limits", field)] if within is False else stops]


def decimals(values):
    """The most decimals that any of the typed texts has."""
    return max(len(value.partition(".")[2]) for value in values)
