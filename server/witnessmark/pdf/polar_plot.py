"""A turn of the dial as a polar plot: what was read at each place, and the once-per-turn part of it.

0° stands at the top and angles run clockwise, as on a clock. The deviations are drawn much enlarged.
"""

from math import cos, radians, sin

from .strokes import GREY, INK, dot, drawing, path, ring, shortened, word

WIDTH, HEIGHT = 180, 140
MIDDLE = (90, 70)
MEAN_RADIUS, LARGEST = 32, 13
RIM, NAMES = 48, 61


def polar_plot(degrees, values, names, fitted, title):
    """`values` read at `degrees` (numbers) under `names`; `fitted` {"eccentricity", "high_spot"} numbers or None."""
    mean = sum(values) / len(values)
    reach = max(abs(value - mean) for value in values) or 1.0
    if fitted:
        reach = max(reach, abs(fitted["eccentricity"]))

    def place(angle, deviation):
        return _around(angle, MEAN_RADIUS + LARGEST * deviation / reach)

    read = [place(angle, value - mean) for angle, value in zip(degrees, values, strict=True)]
    parts = [ring(*MIDDLE, MEAN_RADIUS, GREY, 0.6), ring(*MIDDLE, 1, INK)]
    parts += [path([MIDDLE, _around(angle, RIM)], GREY, 0.4, "dotted") for angle in degrees]
    if fitted:
        parts += _fit(fitted, place)
    parts += [_name(angle, name) for angle, name in zip(degrees, names, strict=True)]
    parts += [path(read, INK, 1, closed=True), *(dot(x, y) for x, y in read)]
    return drawing("polar", WIDTH, HEIGHT, title, parts)


def _fit(fitted, place):
    spot = fitted["high_spot"]
    if not fitted["eccentricity"]:
        return []
    curve = [place(angle, fitted["eccentricity"] * cos(radians(angle - spot))) for angle in range(0, 360, 5)]
    tip, left, right = _around(spot, RIM - 1), _around(spot - 5, RIM + 5), _around(spot + 5, RIM + 5)
    return [path(curve, INK, 0.8, "dashed", closed=True), path([MIDDLE, tip], INK, 0.8, "dashed"),
            path([tip, left, right], INK, 0.8, closed=True, fill=INK)]


def _name(angle, name):
    x, y = _around(angle, NAMES)
    side = sin(radians(angle))
    anchor = "middle" if abs(side) < 0.3 else "start" if side > 0 else "end"
    return word(x, y + 2.3, shortened(name, 10), anchor)


def _around(angle, radius):
    return MIDDLE[0] + radius * sin(radians(angle)), MIDDLE[1] - radius * cos(radians(angle))
