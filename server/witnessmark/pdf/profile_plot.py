"""A row of stations as a profile: this inspection, the last one, and the limit at each station."""

from .scale import Scale
from .strokes import GREY, INK, diamond, dot, drawing, path, word

WIDTH, HEIGHT = 390, 132
LEFT, RIGHT, TOP, BOTTOM = 40, 345, 16, 106
LETTER = 4.2


def profile_plot(names, values, limits, last, unit, title):
    """`values` (numbers or None) at the stations `names`; `limits` [(low, high)] and `last` values there, or None."""
    known = [value for value in [*values, *last, *(edge for pair in limits for edge in pair)] if value is not None]
    up = Scale(known, BOTTOM, TOP)
    across = [LEFT + (RIGHT - LEFT) * (index + 0.5) / len(names) for index in range(len(names))]
    parts = [path([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM)], GREY, 0.6), word(LEFT - 4, 8, unit, "end")]
    for number, text in up.ticks():
        parts += [path([(LEFT, up(number)), (RIGHT, up(number))], GREY, 0.3, "dotted"),
                  word(LEFT - 4, up(number) + 2.3, text, "end")]
    parts += [word(x, BOTTOM + 10, name, "middle") for x, name in zip(across, _short_names(names), strict=True)]
    for side, said in ((0, "least"), (1, "most")):
        parts += _limit([pair[side] for pair in limits], up, said)
    parts += _row(last, across, up, "dotted", diamond) + _row(values, across, up, "solid", dot)
    parts += _key(any(value is not None for value in last), _short_names(names) is names)
    return drawing("profile", WIDTH, HEIGHT, title, parts)


def _short_names(names):
    """The names where all have room, else their numbers in the order of the table: cut names would look alike."""
    room = (RIGHT - LEFT) / len(names) / LETTER
    return names if max(map(len, names)) <= room else [str(number) for number in range(1, len(names) + 1)]


def _limit(edges, up, said):
    """A limit as one heavy dashed line with steps, broken where a station has none."""
    wide = (RIGHT - LEFT) / len(edges)
    parts = []
    for index, edge in enumerate(edges):
        if edge is not None:
            from_x, to_x = LEFT + wide * index, LEFT + wide * (index + 1)
            parts.append(path([(from_x, up(edge)), (to_x, up(edge))], INK, 1.3, "dashed"))
    final = next((edge for edge in reversed(edges) if edge is not None), None)
    return parts + ([word(RIGHT + 4, up(final) + 2.3, f"limit, {said}")] if parts else [])


def _row(values, across, up, dash, mark):
    places = [(x, up(value)) for x, value in zip(across, values, strict=True) if value is not None]
    return [path(places, INK, 0.9, dash), *(mark(x, y) for x, y in places)] if places else []


def _key(with_last, named):
    parts = [dot(LEFT + 4, HEIGHT - 6), word(LEFT + 10, HEIGHT - 3.7, "this inspection")]
    if with_last:
        parts += [diamond(LEFT + 84, HEIGHT - 6), word(LEFT + 90, HEIGHT - 3.7, "last inspection")]
    return parts if named else [*parts, word(RIGHT, HEIGHT - 3.7, "places in the order of the table", "end")]
