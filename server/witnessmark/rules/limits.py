"""Which limits a reading has: one pair for all, a pair of its own at each station, or a pair that an input decides."""

from .problems import Problem
from .ratio import ratio
from .table import between_rows, rows_around
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
    for place in range(count):
        _check_ends([pairs[place] for _, pairs in rows])
    # The two rows are found once: every place asking the whole table anew would be felt with each key on a phone.
    low, high = (rows[int(row[1])] for row in rows_around([[at, str(i)] for i, (at, _) in enumerate(rows)], where))
    return [_between([[at, pairs[place]] for at, pairs in (low, high)], where) for place in range(count)]


def _pairs(row, count):
    return row["limits_at"] if row.get("limits_at") else [row["limits"]] * count


def _check_ends(pairs):
    for end in ("min", "max"):
        given = [pair is not None and pair[end] is not None for pair in pairs]
        if any(given) and not all(given):
            raise Problem("table_rows", why=f"some rows give a {end} and others do not")


def _between(around, where):
    """The pair at `where` from the two rows [at, pair] around it, which are the same one when the table holds it."""
    (low_at, low), (high_at, high) = around
    if low is None or low == {"min": None, "max": None}:
        return None
    if low_at == high_at:
        return _exact(low)
    return {end: None if low[end] is None else between_rows([[low_at, low[end]], [high_at, high[end]]], where)[0]
            for end in ("min", "max")}


def _exact(pair):
    return None if pair is None else {end: None if pair[end] is None else ratio(pair[end]) for end in ("min", "max")}
