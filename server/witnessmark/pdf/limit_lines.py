"""The limits of a reading as the paper prints them: for all places, for each, or as they were at what was typed."""

from ..rules.limits import limits_of
from ..rules.problems import Problem
from ..rules.ratio import compare, ratio, show

EXACT_DECIMALS, ROUNDED_DECIMALS = 6, 4
OF_WHAT = {"drop": "each drop {}", "rate": "{} an hour", "balance": "last run {}"}


def limit_words(field, reading):
    """The limits that hold for all places of `field` as one text, "" when there are none."""
    if field.get("acceptable"):
        return "acceptable: " + ", ".join(field["acceptable"])
    said = [_judged(field, reading), *_together(field)]
    return "; ".join(part for part in said if part)


def station_limits(field, reading):
    """The limits at each station as texts, [] unless the stations have limits of their own."""
    own = field.get("limits_at") or _at_typed(field, reading)
    if not own or not field.get("limits_at") and all(pair == own[0] for pair in own):
        return []
    return [_short(*_decimals(pair)) if pair else "none" for pair in own]


def by_orifice(field):
    """Whether the reading through the master orifice is the limit, and the card has none."""
    return (field.get("compression") or {}).get("mode") == "master_orifice"


def _judged(field, reading):
    unit = field["unit"]
    if field.get("limits_by"):
        return _by_input(field, reading)
    if field.get("limits_at"):
        return "each place has limits of its own"
    if by_orifice(field):
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
    """The limits at the typed input, texts or ratios; [] when they depend on none or cannot be worked out."""
    by = field.get("limits_by")
    if not by:
        return []
    chosen = [row for row in by["rows"] if row["at"] == reading["inputs"].get("at")]
    if by["unit"] is None:
        return [pair for row in chosen for pair in row.get("limits_at") or [row["limits"]]]
    try:
        return limits_of(field, reading)
    except Problem:
        return []


def _decimals(pair):
    return tuple(_decimal(pair[end]) if pair else None for end in ("min", "max"))


def _decimal(limit):
    """A limit as the card types it, or the decimal text of a ratio between two rows; a rounded one says so."""
    if limit is None or isinstance(limit, str):
        return limit
    for places in range(EXACT_DECIMALS + 1):
        if compare(ratio(show(limit, places)), limit) == 0:
            return show(limit, places)
    return "about " + show(limit, ROUNDED_DECIMALS)


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
