"""What once per turn there is in dial readings round a shaft: reading = mean + e * cos(angle - high spot).

Least squares, so uneven angles work too; for even ones a = (2/N) * sum(r * cos), b = (2/N) * sum(r * sin), e = root of
a^2 + b^2, high spot = arctangent(b, a), the first terms of a Fourier series. Whole numbers with 24 decimals throughout.
"""

from fractions import Fraction

from .problems import Problem
from .ratio import compare
from .trig import arctangent, cosine, sine, square_root

UNIT = 10**24
FINE = 10**18
PLACES = 15
SHARE_UNIT = 10**12
# Angles that carry less than a tenth of what even ones do would turn a small slip of the dial into a large shape.
# Our own line, no source; even angles have the determinant N^3 / 4.
LEAST_SPREAD = Fraction(1, 40)
BENT = Fraction(9, 10)


def first_harmonic(values, degrees):
    """The fit through `values` (ratios, one unit) read at `degrees` (ratios), as ratios.

    mean, eccentricity and residual (root mean square over N) are in the unit of the values, high_spot in degrees,
    share is the part of the variance that the fit explains. Raises Problem `readings_none` for fewer than four
    values, `angles_unfit` when the angles are too few, too close together or not one for each value.
    """
    if len(values) < 4:
        raise Problem("readings_none")
    if len(values) != len(degrees):
        raise Problem("angles_unfit")
    rows = [(UNIT, _whole(cosine(angle), UNIT), _whole(sine(angle), UNIT)) for angle in degrees]
    heights = [_whole(value, UNIT) for value in values]
    mean, a, b = _least_squares(rows, heights)
    left = [FINE * height - mean * row[0] - a * row[1] - b * row[2] for row, height in zip(rows, heights, strict=True)]
    unexplained = Fraction(sum(one * one for one in left), (FINE * UNIT) ** 2)
    return {
        "mean": Fraction(mean, FINE),
        "eccentricity": square_root(Fraction(a * a + b * b, FINE**2), PLACES),
        "high_spot": arctangent(Fraction(b), Fraction(a)),
        "residual": square_root(unexplained / len(values), PLACES),
        "share": _share(heights, unexplained),
    }


def shape_of(harmonic, total):
    """What the readings look like: "round", "once_per_turn" (bent, or off centre), or "other" (worn, oval, a slip).

    `total` is the total indicator reading; the line at nine tenths of the variance is our own, no source.
    """
    if not total:
        return "round"
    return "once_per_turn" if compare(harmonic["share"], BENT) >= 0 else "other"


def _least_squares(rows, heights):
    """The normal equations by Cramer's rule; the three answers in units of 1 / FINE."""
    columns = list(zip(*rows, strict=True))
    matrix = [[_product(one, other) for other in columns] for one in columns]
    wanted = [_product(column, heights) for column in columns]
    whole = _determinant(matrix)
    if Fraction(whole, UNIT**6) < LEAST_SPREAD * len(rows) ** 3:
        raise Problem("angles_unfit")
    return [_whole(Fraction(_determinant(_replaced(matrix, k, wanted)), whole), FINE) for k in range(3)]


def _share(heights, unexplained):
    count, total = len(heights), sum(heights)
    variation = Fraction(count * sum(one * one for one in heights) - total * total, count * UNIT**2)
    if not variation:
        return Fraction(1)
    return Fraction(_whole(1 - unexplained / variation, SHARE_UNIT), SHARE_UNIT)


def _whole(ratio, unit):
    """How many `unit`ths the ratio is, a half rounded away from zero."""
    size = (2 * abs(ratio.numerator) * unit + ratio.denominator) // (2 * ratio.denominator)
    return -size if ratio < 0 else size


def _product(one, other):
    return sum(x * y for x, y in zip(one, other, strict=True))


def _replaced(matrix, column, wanted):
    return [[*row[:column], value, *row[column + 1 :]] for row, value in zip(matrix, wanted, strict=True)]


def _determinant(matrix):
    (a, b, c), (d, e, f), (g, h, i) = matrix
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
