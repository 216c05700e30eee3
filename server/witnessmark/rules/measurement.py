"""What a row of readings says together."""

from .number import compare_numbers, subtract_numbers
from .problems import Problem


def total_indicator_reading(values):
    """Largest minus smallest dial reading of one turn, as decimal text in the unit of `values` (typed texts).

    TIR = max - min (US Army TM 5-3810-305-23). Raises Problem `readings_none` for an empty list.
    """
    if not values:
        raise Problem("readings_none")
    lowest = highest = values[0]
    for value in values[1:]:
        if compare_numbers(value, lowest) < 0:
            lowest = value
        if compare_numbers(value, highest) > 0:
            highest = value
    return subtract_numbers(highest, lowest)
