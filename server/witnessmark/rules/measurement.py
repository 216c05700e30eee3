"""What a row of readings says together, and what follows from two readings of a meter."""

from itertools import pairwise

from .number import compare_numbers, subtract_numbers
from .problems import Problem
from .ratio import over, ratio, show


def total_indicator_reading(values):
    """Largest minus smallest dial reading of one turn, as decimal text in the unit of `values` (typed texts).

    TIR = max - min (US Army TM 5-3810-305-23). Raises Problem `readings_none` for an empty list.
    """
    return spread(values)


def spread(values):
    """Largest minus smallest of `values` (typed texts) as decimal text. Raises Problem `readings_none` for none."""
    return subtract_numbers(most(values)["value"], least(values)["value"])


def least(values):
    """{"value": the smallest as typed, "at": its place from "1"}, the first of equals. Raises `readings_none`."""
    return _first(values, min)


def most(values):
    """{"value": the largest as typed, "at": its place from "1"}, the first of equals. Raises `readings_none`."""
    return _first(values, max)


def step(values):
    """{"step": the largest difference of two neighbours, "at": place of the first of the two, counted from "1"}.

    The first such pair of equals. Raises Problem `readings_none` for fewer than two `values` (typed texts).
    """
    if len(values) < 2:
        raise Problem("readings_none")
    found = most([spread(list(pair)) for pair in pairwise(values)])
    return {"step": found["value"], "at": found["at"]}


def drops(base, values):
    """How far each of `values` lies below `base`, as decimal texts; below zero for a rise. Typed texts, one unit."""
    return [subtract_numbers(base, value) for value in values]


def hours_run(then, now):
    """Hours between two readings of an hour-meter as decimal text. Raises Problem `hours_backwards` unless > 0."""
    if compare_numbers(now, then) <= 0:
        raise Problem("hours_backwards")
    return subtract_numbers(now, then)


def per_hour(amount, hours):
    """`amount` for each of `hours` (typed texts), three decimals. Raises Problem `hours_backwards` unless hours > 0."""
    if compare_numbers(hours, "0") <= 0:
        raise Problem("hours_backwards")
    return show(over(ratio(amount), ratio(hours)), 3)


def _first(values, chosen):
    if not values:
        raise Problem("readings_none")
    exact = [ratio(value) for value in values]
    place = exact.index(chosen(exact))
    return {"value": values[place], "at": str(place + 1)}
