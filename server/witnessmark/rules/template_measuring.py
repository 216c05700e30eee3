"""The members of a template field that say how its values are judged together. Server only.

Each stands in the field's JSON only when the card gives it, so that a revision from before it was known keeps its name.

limits_at [{min, max} or null], one for each station · limits_by {title, unit, rows [{at, limits or limits_at}]}, limits
that depend on what is typed: a number in `unit`, linear between the rows, or one of the texts `at` ·
spread, step, difference: the most that values may differ, neighbours may differ, sides may differ · wear
"thickness" or "depth": drawn as a profile · decision: how the tolerance of the tool counts (`guard`) · trend: followed
over past cards · angles: degrees of the stations · return_within: how far the dial may miss its first reading at the
end of the turn · torque {drag, nut} · compression {mode, supply, bore} · balance {mass_unit} · means: what each option
of a scale stands for
"""

from .number import compare_numbers
from .problems import Problem
from .ratio import compare, ratio
from .units import UNITS

KINDS_OF = {
    "limits_at": ("measure",),
    "limits_by": ("measure", "look_up"),
    "spread": ("measure", "compression"),
    "step": ("measure",),
    "wear": ("measure",),
    "decision": ("measure", "torque"),
    "trend": ("measure", "run_out", "compression", "rate", "drop"),
    "angles": ("run_out",),
    "return_within": ("run_out",),
    "torque": ("torque",),
    "compression": ("compression",),
    "difference": ("drop",),
    "means": ("scale",),
    "balance": ("balance",),
}
JUDGING = ("limits_at", "limits_by", "spread", "step", "difference")
DECISIONS = ("simple", "guarded", "four_outcome")
CLOCK_HOUR_DEGREES = 30


def read_measuring(members, kind, stations, limits, decimal):
    """{key: value} of the members that stand in a field of this `kind`; faults are noted with `members`.

    `limits` and `decimal` are the readers of one pair of limits and of one typed number.
    """
    def each(at):
        return [limits(one) for one in at.places(2, 64)]

    readers = {
        "limits_at": each,
        "limits_by": lambda at: _limits_by(at, stations, limits, each),
        "spread": decimal,
        "step": decimal,
        "wear": lambda at: at.one_of(("thickness", "depth")),
        "decision": lambda at: at.one_of(DECISIONS),
        "trend": lambda at: at.yes_no(),
        "angles": lambda at: [decimal(one) for one in at.places(3, 64)],
        "return_within": decimal,
        "torque": _torque,
        "compression": lambda at: _compression(at, decimal),
        "difference": decimal,
        "means": lambda at: at.texts(120, 2),
        "balance": _balance,
    }
    found = {}
    for key, read in readers.items():
        value = members.take(key, read, None)
        if members.has(key) and kind is not None and kind not in KINDS_OF[key]:
            members.fault(f"a {kind} cannot have the key {key}.", "the field without it, or one of the kinds "
                          + ", ".join(KINDS_OF[key]))
        elif members.has(key):
            found[key] = value
    if kind == "run_out" and "angles" not in found:
        named = named_angles(stations)
        found |= {"angles": named} if named and None not in named else {}
    _check_counts(found, stations, members)
    return {key: value for key, value in found.items() if value is not False}


def _check_counts(found, stations, members):
    for key in ("limits_at", "angles"):
        if found.get(key) is not None and len(found[key]) != len(stations):
            members.fault(f"{key} has {len(found[key])} members, but there are {len(stations)} stations.",
                          "one for each station, in the same order")
    for key in ("step", "wear"):
        if key in found and not stations:
            members.fault(f"{key} compares places, but the field has no stations.", "`stations: ` and their names")


def named_angles(stations):
    """The degrees that the name of each station says, such as "45°" or "3 o'clock", or None, as a list of texts."""
    return [_named_angle(station) for station in stations]


def _named_angle(station):
    """The degrees of a station called "45°" or "3 o'clock", or None."""
    typed, _, clock = station.partition(" o'clock") if "o'clock" in station else (station.removesuffix("°"), "", "")
    try:
        value = ratio(typed)
    except Problem:
        return None
    if "o'clock" not in station:
        return typed if station.endswith("°") else None
    hours = value % 12
    return str(int(hours * CLOCK_HOUR_DEGREES)) if not clock and hours.denominator == 1 else None


def _limits_by(place, stations, limits, each):
    members = place.members()
    if members is None:
        return None
    found = {"title": members.take("title", lambda at: at.text(80)),
             "unit": members.take("unit", lambda at: at.one_of(tuple(UNITS)), None),
             "rows": members.take("rows", lambda at: [_row(one, stations, limits, each) for one in at.places(1, 60)])}
    members.done()
    rows = [row for row in found["rows"] or () if row]
    if found["unit"] is not None:
        _check_ascending(rows, members)
    elif len({row["at"] for row in rows}) < len(rows):
        members.fault("two rows have the same `at`.", "each once")
    return found


def _row(place, stations, limits, each):
    members = place.members()
    if members is None:
        return None
    row = {"at": members.take("at", lambda at: at.text(80))}
    for key, read in (("limits", limits), ("limits_at", each)):
        if members.has(key):
            row[key] = members.take(key, read)
    members.done()
    if ("limits" in row) == ("limits_at" in row):
        members.fault("a row has limits and limits_at, or neither.", "one of them")
    if row.get("limits_at") is not None and len(row["limits_at"]) != len(stations):
        members.fault(f"the row has {len(row['limits_at'])} limits, but there are {len(stations)} stations.",
                      "one for each station, in the same order")
    return row


def _check_ascending(rows, members):
    try:
        numbers = [ratio(row["at"]) for row in rows]
    except Problem:
        members.fault("with a unit, every `at` is a number.", "digits with a decimal point, or no unit")
        return
    if len(rows) < 2 or any(compare(a, b) >= 0 for a, b in zip(numbers, numbers[1:], strict=False)):
        members.fault("the rows do not rise, or there is only one.", "at least two rows, the smallest `at` first")
    shapes = {tuple((pair is not None and pair[end] is not None) for pair in row.get("limits_at") or [row.get("limits")]
                    for end in ("min", "max")) for row in rows}
    if len(shapes) > 1:
        members.fault("a min or max stands in some rows only.", "the same ones in every row")


def _torque(place):
    members = place.members()
    if members is None:
        return None
    found = {"drag": members.take("drag", lambda at: at.yes_no(), False),
             "nut": members.take("nut", lambda at: at.one_of(("castle", "plain")), None)}
    members.done()
    return found


def _compression(place, decimal):
    members = place.members()
    if members is None:
        return None
    found = {"mode": members.take("mode", lambda at: at.one_of(("fixed_ratio", "master_orifice"))),
             "supply": members.take("supply", decimal),
             "bore": members.take("bore", decimal, None)}
    members.done()
    if found["supply"] is not None and compare_numbers(found["supply"], "0") <= 0:
        members.fault("a supply pressure of nothing shows nothing.", "for example `supply: \"80\"`")
    return found


def _balance(place):
    members = place.members()
    if members is None:
        return None
    found = {"mass_unit": members.take("mass_unit", lambda at: at.one_of(("g",)))}
    members.done()
    return found
