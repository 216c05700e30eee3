"""Vibration and weights on the face of a clock: hours as they were typed, all the same way round, 12 at the top."""

from math import cos, radians, sin

from .strokes import GREY, INK, box, drawing, path, ring, word

SIZE, MIDDLE, RIM = 150, (75, 75), 53


def balance_clock(runs, weights, title):
    """`runs` [(mark, hours, amplitude)] as arrows, `weights` [(mark, hours, added: bool)] on the rim; numbers."""
    longest = max((amplitude for _, _, amplitude in runs), default=0) or 1.0
    parts = [ring(*MIDDLE, RIM, GREY, 0.8), ring(*MIDDLE, 1.2, INK, fill=INK)]
    for hour in range(1, 13):
        parts += [path([_around(hour, RIM - 4), _around(hour, RIM)], GREY, 0.8),
                  _word(hour, RIM - 9, str(hour))]
    for mark, hours, amplitude in runs:
        parts += _arrow(mark, hours, (RIM - 26) * amplitude / longest)
    for mark, hours, added in weights:
        # The correction often comes close to the trial weight, so it stands outside the rim.
        x, y = _around(hours, RIM + 11 if added else RIM)
        parts += [box(x - 5, y - 5, 10, 10, INK) if added else ring(x, y, 5.2, fill="#fff"),
                  word(x, y + 2.3, mark, "middle", "bold", "#fff" if added else INK)]
    return drawing("balance", SIZE, SIZE, title, parts)


def _arrow(mark, hours, length):
    tip, back = _around(hours, length), max(length - 6, 0)
    heads = [_beside(hours, back, side) for side in (2.6, -2.6)]
    name = _around(hours, length + 6)
    return [path([MIDDLE, tip], INK, 1.2), path([tip, *heads], INK, 0.8, closed=True, fill=INK),
            word(name[0], name[1] + 2.3, mark, "middle", "bold")]


def _word(hours, radius, said):
    x, y = _around(hours, radius)
    return word(x, y + 2.3, said, "middle")


def _beside(hours, radius, side):
    x, y = _around(hours, radius)
    angle = radians(hours * 30)
    return x + side * cos(angle), y + side * sin(angle)


def _around(hours, radius):
    angle = radians(hours * 30)
    return MIDDLE[0] + radius * sin(angle), MIDDLE[1] - radius * cos(angle)
