"""The fields of an item in a card template: what is written down, in which unit, within which limits. Server only."""

from .number import compare_numbers, read_number
from .problems import Problem
from .published import SCALES
from .template_measuring import JUDGING, named_angles, read_measuring
from .template_sense import check_sense
from .units import UNITS

NUMERIC = ("measure", "run_out", "torque", "compression", "drop", "rate", "look_up", "balance")
WORDS = ("choice", "scale", "text")
KINDS = NUMERIC + WORDS
AT_STATIONS = ("measure", "run_out", "compression", "drop")
UNIT_KINDS = {"torque": "torque", "run_out": "length", "compression": "pressure", "rate": "volume",
              "balance": "velocity", "look_up": "force"}
LIMITED = {"compression": "min", "drop": "max", "balance": "max"}


def read_field(place, names):
    """A field as canonical JSON, or None after noting faults; `names` holds those of the item's fields so far.

    See `card_template` for the shape, `template_measuring` for the members that stand only when given.
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
    kind, stations = field["kind"], [one for one in field["stations"] or () if one is not None]
    field |= read_measuring(members, kind, stations, _limits, _decimal)
    _fill_scale(field, members)
    members.done()
    _check_unit(field, members)
    _check_stations(field, stations, members)
    _check_options(field, members)
    _check_judging(field, members)
    check_sense(field, named_angles(stations), members)
    return field


def _fill_scale(field, members):
    """Options, their meanings and the source of a published scale, named by the key `scale`."""
    name = members.take("scale", lambda at: at.one_of(tuple(SCALES)), None)
    if name is None:
        return
    if field["kind"] not in ("scale", None):
        members.fault(f"a {field['kind']} cannot have the key scale.", "the field without it, or `kind: scale`")
        return
    grades = SCALES[name]["grades"]
    field |= {"scale": name, "options": [one["grade"] for one in grades], "means": [one["means"] for one in grades],
              "source": field["source"] or SCALES[name]["source"]}


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
    kind, unit = field["kind"], field["unit"]
    if kind in NUMERIC and not members.has("unit"):
        members.fault(f"a {kind} has no unit.", "`unit: ` and one of: " + ", ".join(UNITS))
    if kind in WORDS and (unit or field["limits"]):
        members.fault(f"a {kind} cannot have a unit or limits.", "the field without them")
    wanted = UNIT_KINDS.get(kind)
    if wanted and unit and UNITS[unit]["kind"] != wanted:
        fitting = ", ".join(name for name in UNITS if UNITS[name]["kind"] == wanted)
        members.fault(f"{unit} is no unit of {wanted}.", f"one of: {fitting}")


def _check_stations(field, stations, members):
    kind = field["kind"]
    if kind == "run_out" and len(stations) < 4:
        members.fault(f"a run_out has {len(stations)} stations.", "at least 4 angles, for example 0°, 90°")
    if kind in ("compression", "drop") and not stations:
        members.fault(f"a {kind} has no stations.", "`stations: ` and the name of each cylinder or side")
    if kind not in AT_STATIONS and kind is not None and stations:
        members.fault(f"a {kind} cannot have stations.", "the field without them")


def _check_options(field, members):
    if field["kind"] not in ("choice", "scale"):
        if field["options"] or field["acceptable"]:
            members.fault(f"a {field['kind']} cannot have options.", "the field without them, or `kind: choice`")
        return
    if not field["options"]:
        members.fault(f"a {field['kind']} has no options.", "`options: ` and a list of 2 to 12 texts")
    for value in field["acceptable"]:
        if value is not None and value not in field["options"]:
            members.fault(f"\"{value}\" is acceptable but no option.", "a text that stands in options, to the letter")
    if field["kind"] == "scale" and len(field.get("means") or ()) != len(field["options"]):
        members.fault("not every option of the scale says what it means.", "`means: ` with one text for each option")


def _check_judging(field, members):
    kind, limits = field["kind"], field["limits"]
    judged = limits or field["acceptable"] or any(key in field for key in JUDGING)
    if judged and not field["source"]:
        members.fault("a limit stands without its source.", "`source: ` and where the limit comes from")
    if sum(bool(one) for one in (limits, field.get("limits_at"), field.get("limits_by"))) > 1:
        members.fault("the limits are given twice.", "one of: limits, limits_at, limits_by")
    if kind == "compression" and "compression" not in field:
        members.fault("it does not say how the compression is judged.", "`compression: ` with mode and supply")
        return
    by_orifice = kind == "compression" and (field["compression"] or {}).get("mode") == "master_orifice"
    end = LIMITED.get(kind)
    if end and not by_orifice and not (limits and limits[end] is not None):
        members.fault(f"a {kind} has no limit.", f"`limits: {{{end}: ...}}` and its source")
    if by_orifice and limits:
        members.fault("the master orifice gives the limit, but another one stands there.", "the field without limits")
