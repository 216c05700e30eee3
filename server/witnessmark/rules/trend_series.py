"""The points of a trend: what the cards of one aircraft say, card after card, about one reading.

A past card counts when it was issued for the same aircraft from a revision of the same card template, and the hours of
the airframe were read then. Only what stands in the fold of its item counts.
"""

from .item_state import fold_item
from .limits import limits_of
from .number import read_number
from .problems import Problem
from .ratio import ratio, show
from .readings import trend_values
from .trend import projection
from .units import in_unit

SAID = ("result", "settlement")
STANDS = ("passed", "failed", "not_applicable")
NEWEST = 200  # every pair of points is looked at: 200 are 5,000 h at one card every 25 h
LIMIT_PLACES = 6


def trends(card, template, past):
    """The series of every field of `template` with `trend`, in walk order; see `field_trends`."""
    return [series for zone in template["zones"] for item in zone["items"] for field in item["fields"]
            if field.get("trend") for series in field_trends(card, template, item, field, past)]


def field_trends(card, template, item, field, past):
    """One series for each station of `field` (of `item` of `template`) that has a point, or one for the whole field.

    `card` is as in the API; `past` a list of {"card", "template", "entries": [{"id", "payload"}]} in any order, `card`
    itself among them: whatever is of another aircraft or template or issued later does not count. Returns [{"item",
    "field", "title", "unit", "station", "limits": {"min", "max"} of texts or None, "points": [{"at", "value",
    "new_part", "card": number}] by hours, "projection": see `trend.projection`}].
    """
    counted = [one for one in past if _counts(card, template, one)]
    found = {}
    for one in sorted(counted, key=lambda one: _order(one["card"])):
        _add_points(found, one, item, field)
    return [_series(item, field, station, found[station]) for station in ["", *field["stations"]] if station in found]


def _counts(card, template, one):
    hours = one["card"]["times"].get("airframe")
    return (one["card"]["aircraft"] == card["aircraft"] and one["template"]["card"] == template["card"]
            and _order(one["card"]) <= _order(card) and hours is not None and hours["unit"] == "h")


def _order(card):
    """WC-9999 comes before WC-10000."""
    return len(card["number"]), card["number"]


def _add_points(found, one, item, field):
    then, then_field = _same_field(one["template"], item["item"], field)
    reading = then and _standing_reading(then, one["entries"], field["field"])
    if not reading:
        return
    at, number = read_number(one["card"]["times"]["airframe"]["value"]), one["card"]["number"]
    new_part = reading["inputs"].get("new_part") == "yes"
    # A later revision may ask for another unit: the values of its past are turned into it.
    for told in trend_values({**then_field, "unit": field["unit"]}, reading):
        point = {"at": at, "value": told["value"], "new_part": new_part, "card": number}
        found.setdefault(told["station"], []).append((point, reading))


def _same_field(template, name, field):
    for zone in template["zones"]:
        for item in zone["items"]:
            for other in item["fields"] if item["item"] == name else []:
                if other["field"] == field["field"] and other["kind"] == field["kind"]:
                    return item, other
    return None, None


def _standing_reading(item, entries, name):
    own = [entry for entry in entries if entry["payload"]["item"] == item["item"]]
    state, known = fold_item(item, own), {entry["id"]: entry["payload"] for entry in own}
    standing = [known[id] for id in state["heads"] if known[id]["kind"] in SAID and state["status"] in STANDS]
    return standing[0]["body"]["readings"].get(name) if standing else None


def _series(item, field, station, told):
    told = sorted(told, key=lambda one: ratio(one[0]["at"]))[-NEWEST:]
    place = field["stations"].index(station) if station else 0
    points, limits = [point for point, _ in told], _limits(field, told[-1][1], place)
    return {"item": item["item"], "field": field["field"], "title": field["title"], "unit": _unit(field),
            "station": station, "limits": limits, "points": points,
            "projection": projection(points, limits["min"], limits["max"])}


def _unit(field):
    return f"{field['unit']} per h" if field["kind"] == "rate" else field["unit"]


def _limits(field, reading, place):
    """The limits of the newest reading at this place, as texts in the unit of the field."""
    if field["kind"] == "compression" and field["compression"]["mode"] == "master_orifice":
        return {"min": _master_orifice(field, reading), "max": None}
    if not field.get("limits_by"):
        own = field.get("limits_at")
        pair = (own[place] if own else field["limits"]) or {}
        return {"min": pair.get("min"), "max": pair.get("max")}
    try:
        pair = limits_of(field, reading)[place]
    except Problem:
        pair = None
    return {end: pair and _text(pair[end]) for end in ("min", "max")}


def _master_orifice(field, reading):
    try:
        return _text(in_unit(ratio(reading["inputs"].get("master_orifice")), reading["unit"], field["unit"]))
    except Problem:
        return None


def _text(value):
    return None if value is None else read_number(show(value, LIMIT_PLACES))
