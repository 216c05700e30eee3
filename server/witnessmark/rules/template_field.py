"""The fields of an item in a card template: what is written down, in which unit, within which limits. Server only."""

from .number import compare_numbers, read_number
from .problems import Problem
from .units import UNITS

KINDS = ("measure", "run_out", "torque", "choice", "text")
NUMERIC = ("measure", "run_out", "torque")


def read_field(place, names):
    """A field as canonical JSON, or None after noting faults; `names` holds those of the item's fields so far.

    See `card_template` for the shape.
    """
    members = place.members("field")
    if members is None:
        return None
    field = {
        "field": members.take("field", lambda at: at.identifier(names)),
        "kind": members.take("kind", lambda at: at.one_of(KINDS)),
        "title": members.take("title", lambda at: at.text(80)),
        "unit": members.take("unit", lambda at: at.one_of(tuple(UNITS)), None),
        "stations": members.take("stations", lambda at: at.texts(20, 2, 64), []),
        "limits": members.take("limits", _limits, None),
        "source": members.take("source", lambda at: at.text(400), None),
        "tool": members.take("tool", lambda at: at.text(80), None),
        "options": members.take("options", lambda at: at.texts(80, 2, 12), []),
        "acceptable": members.take("acceptable", lambda at: at.texts(80, 1, 12), []),
        "required": members.take("required", lambda at: at.yes_no(), True),
    }
    members.done()
    _check_unit(field, members)
    _check_stations(field, members)
    _check_choice(field, members)
    if (field["limits"] or field["acceptable"]) and not members.has("source"):
        members.fault("a limit stands without its source.", "`source: ` and where the limit comes from")
    return field


def _limits(place):
    members = place.members()
    if members is None:
        return None
    limits = {name: members.take(name, _decimal, None) for name in ("min", "max")}
    members.done()
    if limits["min"] is None and limits["max"] is None:
        return place.fault("there is neither min nor max.", "at least one of them, or leave limits out")
    if None not in limits.values() and compare_numbers(limits["min"], limits["max"]) > 0:
        return place.fault(f"min {limits['min']} is above max {limits['max']}.", "the smaller number as min")
    return limits


def _decimal(place):
    typed = place.text(30)
    try:
        return typed and read_number(typed) and typed
    except Problem:
        return place.fault(f"\"{typed}\" is not a number.", "digits with a decimal point, for example 0.005")


def _check_unit(field, members):
    if field["kind"] in NUMERIC and not members.has("unit"):
        members.fault(f"a {field['kind']} has no unit.", "`unit: ` and one of: " + ", ".join(UNITS))
    if field["kind"] in ("choice", "text") and (field["unit"] or field["limits"]):
        members.fault(f"a {field['kind']} cannot have a unit or limits.", "the field without them")
    if field["kind"] == "torque" and field["unit"] and UNITS[field["unit"]]["kind"] != "torque":
        members.fault(f"{field['unit']} is no unit of torque.", "one of: in-lbf, ft-lbf, N·m, kgf·cm, ozf·in")
    if field["kind"] == "run_out" and field["unit"] and UNITS[field["unit"]]["kind"] != "length":
        members.fault(f"{field['unit']} is no unit of length.", "one of: in, mm")


def _check_stations(field, members):
    if field["kind"] == "run_out" and len(field["stations"]) < 4:
        members.fault(f"a run_out has {len(field['stations'])} stations.", "at least 4 angles, for example 0°, 90°")
    if field["kind"] not in ("measure", "run_out") and field["stations"]:
        members.fault(f"a {field['kind']} cannot have stations.", "the field without them")


def _check_choice(field, members):
    if field["kind"] != "choice":
        if field["options"] or field["acceptable"]:
            members.fault(f"a {field['kind']} cannot have options.", "the field without them, or `kind: choice`")
        return
    if not members.has("options"):
        members.fault("a choice has no options.", "`options: ` and a list of 2 to 12 texts")
    for value in field["acceptable"]:
        if value is not None and value not in field["options"]:
            members.fault(f"\"{value}\" is acceptable but no option.", "a text that stands in options, to the letter")
