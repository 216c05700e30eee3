"""Readings at places as small tables: the places across, what was read and worked out below them."""

from .limit_lines import station_limits
from .reading_words import HEARD

A_ROW = 8
A_ROW_WITH_LIMITS, A_ROW_BESIDE = 6, 4  # wide cells; half the width, a drawing has the rest
HEARD_AT, AGAIN = "heard_{}", "again_{}"
AT_PLACES = {"compression": ("loss_{}",), "drop": ("drop_{}",)}
TYPED_AT_PLACES = {"compression": (HEARD_AT, AGAIN)}


def reading_tables(field, reading, derived, told, outside):
    """([{"stations", "rows": [(head, [(cell, loud: bool)])]}], names printed in them); no table for no stations.

    `derived` {name: text} is worked out anew, `told` {name: text} what the phone had said where that differs,
    `outside` says of each place whether its value is outside its limits.
    """
    stations, values = field["stations"], reading["values"]
    if not stations or len(stations) != len(values):
        return [], set()
    taken = ["not taken" if value is None else value for value in values]
    rows = [(reading["unit"] or "Value", taken)]
    limits = station_limits(field, reading)
    rows += [("Limits", limits)] if limits else []
    names = {pattern.format(place + 1) for pattern in _patterns(field) for place in range(len(stations))}
    rows += ROWS.get(field["kind"], _no_rows)(reading, derived, told, len(stations))
    marked = [(head, [(cell, loud and head in (rows[0][0], "Drop")) for cell, loud in zip(cells, outside, strict=True)])
              for head, cells in rows]
    width = A_ROW_BESIDE if field.get("angles") else A_ROW_WITH_LIMITS if limits else A_ROW
    return [{"stations": stations[start : start + width],
             "rows": [(head, cells[start : start + width]) for head, cells in marked]}
            for start in range(0, len(stations), width)], names


def _patterns(field):
    return AT_PLACES.get(field["kind"], ()) + TYPED_AT_PLACES.get(field["kind"], ())


def _compression(reading, derived, told, count):
    inputs = reading["inputs"]
    heard = [inputs.get(HEARD_AT.format(place)) for place in range(1, count + 1)]
    again = [inputs.get(AGAIN.format(place)) for place in range(1, count + 1)]
    rows = [("Loss, %", _worked_out("loss_{}", derived, told, count))]
    rows += [("Air heard", [HEARD.get(at, at) or "not said" for at in heard])] if any(heard) else []
    return rows + ([("Re-tests", [times or "none" for times in again])] if any(again) else [])


def _drop(reading, derived, told, count):
    return [("Drop", _worked_out("drop_{}", derived, told, count))]


def _no_rows(reading, derived, told, count):
    return []


ROWS = {"compression": _compression, "drop": _drop}


def _worked_out(pattern, derived, told, count):
    names = [pattern.format(place) for place in range(1, count + 1)]
    return [derived.get(name, "–") + (f" (the phone had computed {told[name]})" if name in told else "")
            for name in names]
