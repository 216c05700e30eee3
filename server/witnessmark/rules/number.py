"""Typed decimal numbers: read, compare and show them without ever passing through a float."""

import re

from .problems import Problem
from .ratio import compare, minus, plus, ratio, show

COMMA = re.compile(r"-?\d+,\d+\Z", re.ASCII)


def read_number(typed):
    """The shortest decimal text of the same value: "38.50" -> "38.5", "-.002" -> "-0.002", "-0" -> "0"."""
    exact = ratio(typed)
    decimals = len(typed.partition(".")[2])
    text = show(exact, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def point_for_comma(typed):
    """What a person typed, with a decimal comma turned into a point.

    Raises Problem `number_ambiguous` for "1,250", which is 1.250 to some and 1250 to others.
    """
    typed = typed.strip()
    if not COMMA.match(typed):
        return typed
    whole, _, decimals = typed.partition(",")
    if len(decimals) == 3 and whole.lstrip("-") != "0":
        raise Problem("number_ambiguous", value=typed, first=f"{whole}.{decimals}", second=whole + decimals)
    return f"{whole}.{decimals}"


def compare_numbers(a, b):
    """-1, 0 or 1 as the typed number `a` is less than, equal to or greater than `b`."""
    return compare(ratio(a), ratio(b))


def add_numbers(a, b):
    """a + b as decimal text, exact, with as many decimals as the longer of the two."""
    return show(plus(ratio(a), ratio(b)), _decimals(a, b))


def subtract_numbers(a, b):
    """a - b as decimal text, exact, with as many decimals as the longer of the two."""
    return show(minus(ratio(a), ratio(b)), _decimals(a, b))


def show_number(typed, places):
    """The typed number with `places` decimals, halves away from zero."""
    return show(ratio(typed), places)


def _decimals(*typed):
    return max(len(text.partition(".")[2]) for text in typed)
