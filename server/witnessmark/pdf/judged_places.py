"""Each place of a reading against its limits, for a table that marks the value and a drawing that shows the limit."""

from ..rules.judging import exact_values, is_within
from ..rules.limits import limits_of
from ..rules.problems import Problem
from ..rules.ratio import ratio
from ..rules.readings import reading_stops
from ..rules.units import in_unit, span_in_unit
from .attention import attention
from .limit_lines import by_orifice

JUDGED = {True: "within limits", False: "outside limits"}
JUDGED_GRADE = {True: "acceptable", False: "not acceptable"}
SAID_OTHERWISE = {"outside_limits", "not_acceptable", "reading_missing", "tool_missing"}
AT_PLACES = ("measure", "compression", "drop")
NO_LIMITS = (None, None)


def judged_words(field, reading, within, outside):
    """The verdict on a reading: `within` of `judge_reading`, and which places are `outside`."""
    why = attention(code for code, _ in reading_stops(field, reading) if code not in SAID_OTHERWISE)
    if why and within is not True:
        beyond = ["a value is outside its limits"] if any(outside) else []
        return ("not judged: " if within is None else "not accepted: ") + "; ".join(beyond + why)
    return (JUDGED_GRADE if field["options"] else JUDGED).get(within, "")


def outside_places(field, reading, derived):
    """[whether the value at each place is outside its limits]; False where nothing can be said."""
    nothing = [False] * len(reading["values"])
    if field["kind"] not in AT_PLACES or len(nothing) != (len(field["stations"]) or 1):
        return nothing
    try:
        values = _falls(field, reading, derived) if field["kind"] == "drop" else exact_values(field, reading)
        return [value is not None and is_within(pair, value) is False
                for value, pair in zip(values, _pairs(field, reading), strict=True)]
    except Problem:
        return nothing


def limit_edges(field, reading):
    """[(low, high)] at each place as numbers for a drawing, in the unit of the `reading`; None where there is none."""
    try:
        return [_edges(pair, field["unit"], reading["unit"]) for pair in _pairs(field, reading)]
    except Problem:
        return [NO_LIMITS] * (len(field["stations"]) or 1)


def _pairs(field, reading):
    if not by_orifice(field):
        return limits_of(field, reading)
    orifice = reading["inputs"].get("master_orifice")
    low = None if orifice is None else in_unit(ratio(orifice), reading["unit"], field["unit"])
    return [{"min": low, "max": None}] * (len(field["stations"]) or 1)


def _falls(field, reading, derived):
    told = [derived.get(f"drop_{place}") for place in range(1, len(reading["values"]) + 1)]
    return [None if fall is None else span_in_unit(ratio(fall), reading["unit"], field["unit"]) for fall in told]


def _edges(pair, unit, wanted):
    if pair is None:
        return NO_LIMITS
    return tuple(None if pair[end] is None else float(in_unit(pair[end], unit, wanted)) for end in ("min", "max"))
