"""Tables of two or more columns: the dial of a tensiometer against tension, a limit against temperature.

Straight between two rows, never beyond the first and the last. A tensiometer's table belongs to one serial number:
US Army TM 1-1500-204-23-9 fig. 7-6 and NAVEDTRA 14018 fig. 9-23 give 70 lb and 100 lb for the same dial reading.
"""

from itertools import pairwise

from .number import read_number
from .problems import Problem
from .ratio import compare, minus, over, plus, ratio, show, times


def between_rows(rows, at):
    """What the columns behind the first say at the ratio `at`, as a list of exact ratios.

    `rows`: [[x, y, ...], ...] decimal texts, x ascending. Raises Problem `table_outside`, `table_rows`.
    """
    low, high = rows_around(rows, at)
    start, width = ratio(low[0]), minus(ratio(high[0]), ratio(low[0]))
    if compare(width, ratio("0")) == 0:
        return [ratio(text) for text in low[1:]]
    share = over(minus(at, start), width)
    return [plus(ratio(a), times(minus(ratio(b), ratio(a)), share)) for a, b in zip(low[1:], high[1:], strict=True)]


def rows_around(rows, at):
    """[row at or below, row at or above] the ratio `at`: the same row twice when `at` stands in the table.

    Raises Problem `table_outside` beyond the ends, `table_rows` for a table that cannot be used.
    """
    check_rows(rows)
    if compare(at, ratio(rows[0][0])) < 0 or compare(at, ratio(rows[-1][0])) > 0:
        raise Problem("table_outside", value=read_number(show(at, 4)), first=rows[0][0], last=rows[-1][0])
    high = next(row for row in rows if compare(ratio(row[0]), at) >= 0)
    low = next(row for row in reversed(rows) if compare(ratio(row[0]), at) <= 0)
    return [low, high]


def check_rows(rows):
    """`rows` as they are. Raises Problem `table_rows` (too few, not ascending, widths differ), `number_unreadable`."""
    if len(rows) < 2:
        raise Problem("table_rows", why="it has fewer than two rows")
    if len({len(row) for row in rows}) > 1 or len(rows[0]) < 2:
        raise Problem("table_rows", why="its rows do not have the same two or more columns")
    first = [exact[0] for exact in [[ratio(text) for text in row] for row in rows]]
    if any(compare(one, following) >= 0 for one, following in pairwise(first)):
        raise Problem("table_rows", why="its first column does not rise from row to row")
    return rows
