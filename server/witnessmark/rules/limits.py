"""Which limits a reading has: one pair for all, a pair of its own at each station, or a pair that an input decides."""

from .problems import Problem
from .ratio import ratio
from .table import between_rows
from .units import in_unit


def limits_of(field, reading):
    """[{"min", "max"} as exact ratios or None, in the field's unit, or None] one for each station (one when none).

    `field` is a template field. `limits_by` takes the input `at` of `reading` (with `at_unit`, else the unit of the
    card) and lies straight between its rows. Raises Problem `limit_input_missing`, `table_outside`, `table_rows`.
    """
    count = len(field["stations"]) or 1
    by = field.get("limits_by")
    if by is not None:
        return _limits_by(by, count, reading["inputs"])
    own = field.get("limits_at")
    return [_exact(pair) for pair in own] if own else [_exact(field["limits"])] * count


def _limits_by(by, count, inputs):
    at = inputs.get("at")
    if at is None:
        raise Problem("limit_input_missing", what=by["title"])
    rows = [(row["at"], _pairs(row, count)) for row in by["rows"]]
    if by["unit"] is None:
        found = [pairs for choice, pairs in rows if choice == at]
        if not found:
            raise Problem("limit_input_missing", what=by["title"])
        return [_exact(pair) for pair in found[0]]
    where = in_unit(ratio(at), inputs.get("at_unit", by["unit"]), by["unit"])
    return [_between(rows, place, where) for place in range(count)]


def _pairs(row, count):
    return row["limits_at"] if row.get("limits_at") else [row["limits"]] * count


def _between(rows, place, where):
    ends = {}
    for end in ("min", "max"):
        column = [[at, pairs[place][end] if pairs[place] else None] for at, pairs in rows]
        given = [row for row in column if row[1] is not None]
        if given and len(given) < len(column):
            raise Problem("table_rows", why=f"some rows give a {end} and others do not")
        ends[end] = between_rows(given, where)[0] if given else None
    return None if ends == {"min": None, "max": None} else ends


def _exact(pair):
    return None if pair is None else {end: None if pair[end] is None else ratio(pair[end]) for end in ("min", "max")}
