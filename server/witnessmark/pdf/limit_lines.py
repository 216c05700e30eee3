"""The limits of a reading as the paper prints them: for all places, for each, or as they were at what was typed."""

from ..rules.limits import limits_of
from ..rules.problems import Problem
from ..rules.ratio import compare, ratio, show
from ..rules.units import in_unit

EXACT_DECIMALS, ROUNDED_DECIMALS = 6, 4
NO_LIMITS = (None, None)
OF_WHAT = {"drop": "each drop {}", "rate": "{} an hour", "balance": "last run {}"}


def limit_words(field, reading):
    """The limits that hold for all places of `field` as one text, "" when there are none."""
    if field.get("acceptable"):
        return "acceptable: " + ", ".join(field["acceptable"])
    said = [_judged(field, reading), *_together(field)]
    return "; ".join(part for part in said if part)


def station_limits(field, reading):
    """The limits at each station as texts, [] unless the stations have limits of their own."""
    own = field.get("limits_at")
    if own:
        return [_short(pair["min"], pair["max"]) if pair else "none" for pair in own]
    pairs = _at_typed(field, reading)
    if not pairs or all(pair == pairs[0] for pair in pairs):
        return []
    return [_short(*_decimals(pair)) if pair else "none" for pair in pairs]


def limit_edges(field, reading):
    """[(low, high)] at each place as numbers for a drawing, in the unit of the `reading`; None where there is none."""
    count = len(field["stations"]) or 1
    try:
        if _by_orifice(field):
            orifice = reading["inputs"].get("master_orifice")
            return [(float(ratio(orifice)) if orifice else None, None)] * count
        return [_edges(pair, field["unit"], reading["unit"]) for pair in limits_of(field, reading)]
    except Problem:
        return [NO_LIMITS] * count


def _judged(field, reading):
    unit = field["unit"]
    if field.get("limits_by"):
        return _by_input(field, reading)
    if field.get("limits_at"):
        return "each place has limits of its own"
    if _by_orifice(field):
        orifice = reading["inputs"].get("master_orifice")
        return f"at least {orifice} {reading['unit']}, as the master orifice read" if orifice else ""
    limits = field["limits"] or {"min": None, "max": None}
    words = _words(limits["min"], limits["max"], unit)
    return OF_WHAT.get(field["kind"], "{}").format(words) if words else ""


def _by_input(field, reading):
    by, inputs = field["limits_by"], reading["inputs"]
    if "at" not in inputs:
        return f"no limits, because “{by['title']}” was not recorded"
    unit = inputs.get("at_unit", by["unit"])
    where = f"with {by['title']} {inputs['at']}" + (f" {unit}" if unit else "")
    pairs = _at_typed(field, reading)
    if not pairs:
        return f"{where}: the card has no limits there"
    if not all(pair == pairs[0] for pair in pairs):
        return f"{where}: each place has limits of its own"
    return f"{where}: " + (_words(*_decimals(pairs[0]), field["unit"]) or "no limits")


def _together(field):
    """What the card asks of the readings together."""
    unit = f" {field['unit']}" if field["unit"] else ""
    asked = {"spread": "largest minus smallest at most {}", "step": "neighbours differ by at most {}",
             "difference": "sides differ by at most {}", "return_within": "the dial comes back within {}"}
    return [words.format(field[key] + unit) for key, words in asked.items() if field.get(key) is not None]


def _at_typed(field, reading):
    """The limits at the typed input, [] when they do not depend on one or cannot be worked out."""
    if not field.get("limits_by"):
        return []
    try:
        return limits_of(field, reading)
    except Problem:
        return []


def _by_orifice(field):
    return (field.get("compression") or {}).get("mode") == "master_orifice"


def _edges(pair, unit, wanted):
    if pair is None:
        return NO_LIMITS
    return tuple(None if pair[end] is None else float(in_unit(pair[end], unit, wanted)) for end in ("min", "max"))


def _decimals(pair):
    return tuple(None if pair is None or pair[end] is None else _decimal(pair[end]) for end in ("min", "max"))


def _decimal(exact):
    """The decimal text of a ratio between two rows of a table; one that does not end is marked as rounded."""
    for places in range(EXACT_DECIMALS + 1):
        if compare(ratio(show(exact, places)), exact) == 0:
            return show(exact, places)
    return "about " + show(exact, ROUNDED_DECIMALS)


def _words(low, high, unit):
    unit = f" {unit}" if unit else ""
    if low is None and high is None:
        return ""
    if low is None or high is None:
        return f"at most {high}{unit}" if low is None else f"at least {low}{unit}"
    return f"{low} to {high}{unit}"


def _short(low, high):
    if low is None or high is None:
        return f"≤ {high}" if low is None else f"≥ {low}"
    return f"{low} to {high}"
