"""Cosine, sine, arctangent and square root of exact ratios, the same digits in both languages.

Everything is worked out in whole numbers scaled by 2**120, which leaves twelve digits to spare, so no float differs
between a phone and the server. A rational number of degrees has an exact rational cosine only at 0, 1/2 and 1 (Niven,
Irrational Numbers, 1956, from memory): those come out exact, and no other result lies on a tie.
"""

from fractions import Fraction
from math import isqrt

from .problems import Problem
from .ratio import show

BITS = 120
ONE = 1 << BITS
# pi * 2**120, rounded down
PI = 0x3243F6A8885A308D313198A2E037073
DECIMALS = 10**24
ANGLE_DECIMALS = 10**12


def cosine(degrees):
    """The cosine of an angle in degrees, any ratio, as a ratio rounded to 24 decimals."""
    d = degrees.denominator
    turn = degrees.numerator % (360 * d)
    folded = min(turn, 360 * d - turn)
    sharp = min(folded, 180 * d - folded)
    size = _cosine_of_sharp(sharp, d) if sharp <= 45 * d else _sine_of_sharp(90 * d - sharp, d)
    whole = (2 * size * DECIMALS + ONE) >> (BITS + 1)
    return Fraction(whole if folded <= 90 * d else -whole, DECIMALS)


def sine(degrees):
    """The sine of an angle in degrees, any ratio, as a ratio rounded to 24 decimals."""
    return cosine(degrees - 90)


def arctangent(y, x):
    """The direction of the point (x, y) in degrees, 0 <= angle < 360, rounded to 12 decimals; 0 for the origin."""
    across, along = y.numerator * x.denominator, x.numerator * y.denominator
    if not across and not along:
        return Fraction(0)
    short, long = sorted((abs(across), abs(along)))
    angle = _arctangent_of_slope((short << BITS) // long) * 180 * ONE // PI
    if abs(across) > abs(along):
        angle = 90 * ONE - angle
    if along < 0:
        angle = 180 * ONE - angle
    if across < 0:
        angle = 360 * ONE - angle
    whole = (2 * angle * ANGLE_DECIMALS + ONE) >> (BITS + 1)
    return Fraction(whole % (360 * ANGLE_DECIMALS), ANGLE_DECIMALS)


def square_root(value, places):
    """The square root of a ratio, rounded half up to `places` decimals. Raises Problem `number_negative`."""
    if value < 0:
        raise Problem("number_negative", value=show(value, places))
    doubled = isqrt(4 * value.numerator * 100**places // value.denominator)
    return Fraction((doubled + 1) // 2, 10**places)


def _cosine_of_sharp(n, d):
    x = n * PI // (180 * d)
    return _series(ONE, x * x >> BITS, 1)


def _sine_of_sharp(n, d):
    x = n * PI // (180 * d)
    return _series(x, x * x >> BITS, 2)


def _series(term, square, factor):
    """term - term * square / (factor * (factor + 1)) + ... until a term vanishes."""
    total, sign = 0, 1
    while term:
        total += sign * term
        term = (term * square >> BITS) // (factor * (factor + 1))
        factor, sign = factor + 2, -sign
    return total


def _arctangent_of_slope(slope):
    """In radians, for 0 <= slope <= 1; the angle is halved twice first, so that the series is short."""
    for _ in range(2):
        slope = (slope << BITS) // (ONE + isqrt(ONE * ONE + slope * slope))
    square, power, total, odd = slope * slope >> BITS, slope, 0, 1
    while power:
        total += power // odd if odd % 4 == 1 else -(power // odd)
        power, odd = power * square >> BITS, odd + 2
    return 4 * total
