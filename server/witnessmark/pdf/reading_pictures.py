"""Which drawing a reading has, and the text that stands for it where it cannot be seen."""

from ..rules.problems import Problem
from ..rules.ratio import ratio
from ..rules.units import in_unit
from .balance_clock import balance_clock
from .bars import bars
from .judged_places import limit_edges
from .polar_plot import polar_plot
from .profile_plot import profile_plot
from .reading_words import SHAPE

RUNS = (("1", "first_clock", "first_ips"), ("2", "second_clock", "second_ips"))


BESIDE = ("run_out", "balance")


def reading_picture(field, reading, derived, outside, last):
    """The drawing of a reading as safe markup, None where there is none or a value cannot be read.

    `derived` {name: text} as worked out anew; `outside` says of each place whether it is outside its limits; `last`
    {station: typed value in the field's unit} of the last inspection. Kinds in BESIDE leave room at their left.
    """
    draw = PICTURES.get(field["kind"])
    try:
        return draw(field, reading, derived, outside, last) if draw else None
    except Problem:
        return None


def _run_out(field, reading, derived, outside, last):
    angles, values = field.get("angles"), reading["values"]
    if not angles or len(angles) != len(values) or None in values:
        return None
    fitted = ({name: _number(derived[name]) for name in ("eccentricity", "high_spot")}
              if {"eccentricity", "high_spot"} <= derived.keys() else None)
    shape = SHAPE.get(derived.get("shape"), "")
    title = f"Polar plot of {field['title']}: total {derived.get('total', 'unknown')} {reading['unit']}"
    title += f", high spot at {derived['high_spot']}°" if fitted else ""
    return polar_plot([_number(angle) for angle in angles], [_number(value) for value in values],
                      field["stations"], fitted, title + (f", {shape}" if shape else ""))


def _measure(field, reading, derived, outside, last):
    if not field.get("wear") or len(field["stations"]) != len(reading["values"]):
        return None
    values = [None if value is None else _number(value) for value in reading["values"]]
    if all(value is None for value in values):
        return None
    earlier = [_in_reading_unit(last.get(station), field, reading) for station in field["stations"]]
    title = f"Profile of {field['title']} along {len(values)} places against the limit"
    title += " and the last inspection" if any(value is not None for value in earlier) else ""
    return profile_plot(field["stations"], values, limit_edges(field, reading), earlier, reading["unit"] or "",
                        title)


def _compression(field, reading, derived, outside, last):
    if len(field["stations"]) != len(reading["values"]):
        return None
    places = zip(field["stations"], reading["values"], limit_edges(field, reading), outside, strict=True)
    # One value that was not taken leaves its bar out, and the table says so.
    taken = [place for place in places if place[1] is not None]
    if not taken:
        return None
    rows = [{"name": name, "value": _number(value), "text": f"{value} {reading['unit']}", "outside": beyond}
            for name, value, _, beyond in taken]
    supply = _in_reading_unit(field["compression"]["supply"], field, reading)
    said = ", ".join(f"{name} {value}" for name, value, _, _ in taken)
    return bars(rows, supply, [pair for _, _, pair, _ in taken], f"Bars of {field['title']}: {said} {reading['unit']}")


def _balance(field, reading, derived, outside, last):
    inputs = reading["inputs"]
    runs = [(mark, _number(inputs[clock]), _number(inputs[ips])) for mark, clock, ips in RUNS
            if clock in inputs and ips in inputs]
    if not runs:
        return None
    weights = [("T", _number(inputs["trial_clock"]), False)] if "trial_clock" in inputs else []
    title = "Clock of the balance: arrows 1 and 2 are the runs, circle T is the trial weight"
    if "correction_clock" in derived:
        weights.append(("C", _number(derived["correction_clock"]), True))
        title += f", square C the correction of {derived['correction_mass']} g at {derived['correction_clock']} o’clock"
    return balance_clock(runs, weights, title)


PICTURES = {"run_out": _run_out, "measure": _measure, "compression": _compression, "balance": _balance}


def _number(typed):
    return float(ratio(typed))


def _in_reading_unit(typed, field, reading):
    return None if typed is None else float(in_unit(ratio(typed), field["unit"], reading["unit"]))
