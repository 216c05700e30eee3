"""Exact arithmetic on typed decimal text: a ratio of two whole numbers, never a float."""

import re
from fractions import Fraction

from .problems import Problem

TYPED = re.compile(r"-?(\d{1,15}(\.\d{1,18})?|\.\d{1,18})\Z", re.ASCII)


def ratio(typed):
    """The exact value of the typed decimal text ("38.50", "-.002"). Raises Problem `number_unreadable`."""
    if not isinstance(typed, str) or not TYPED.match(typed):
        raise Problem("number_unreadable", value=str(typed)[:40])
    return Fraction(typed)


def plus(a, b):
    """a + b."""
    return a + b


def minus(a, b):
    """a - b."""
    return a - b


def times(a, b):
    """a * b."""
    return a * b


def over(a, b):
    """a / b; b is not zero."""
    return a / b


def compare(a, b):
    """-1, 0 or 1 as a is less than, equal to or greater than b."""
    return (a > b) - (a < b)


def show(a, places):
    """The decimal text of ratio `a` with `places` decimals, a half rounded away from zero (0.125 -> 0.13)."""
    scaled = abs(a) * 10**places
    whole = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    digits = str(whole).rjust(places + 1, "0")
    sign = "-" if a < 0 and whole else ""
    return sign + (digits if places == 0 else digits[:-places] + "." + digits[-places:])
