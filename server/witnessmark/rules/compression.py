"""The differential compression test: what a cylinder loses, which orifice its tester needs, where the air is heard."""

from .number import read_number
from .problems import Problem
from .ratio import compare, minus, over, ratio, show, times

# Exhaust pipe: exhaust valve. Induction: intake valve. Breather or filler: rings. (AOPA, 25 October 2016.)
LEAKS = ["none", "exhaust", "induction", "breather", "other"]


def loss(supply, reading):
    """What does not stay in the cylinder, in percent of the supply, one decimal. Both exact ratios in one unit.

    Below zero when the gauge of the cylinder shows more than is supplied. Raises Problem `number_negative` unless
    supply > 0.
    """
    if compare(supply, ratio("0")) <= 0:
        raise Problem("number_negative", value=read_number(show(supply, 4)))
    return show(over(times(minus(supply, reading), ratio("100")), supply), 1)


def orifice_for_bore(bore):
    """The diameter of the tester's orifice in inches for the bore in inches: "0.040" or "0.060".

    Below 5.00 in bore 0.040, else 0.060; both 0.250 long with a 60 degree approach (AC 43.13-1B CHG 1, as the FAA
    Safety Team's maintenance tip of November 2011 cites it).
    """
    return "0.040" if compare(ratio(bore), ratio("5.00")) < 0 else "0.060"
