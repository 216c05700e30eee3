"""A value over the hours of past cards: its points, the limits, and the line through the living series."""

from .scale import Scale
from .strokes import GREY, INK, diamond, dot, drawing, path, word

WIDTH, HEIGHT = 246, 112
LEFT, RIGHT, TOP, BOTTOM = 40, 204, 14, 92


def trend_plot(points, limits, line, unit, title):
    """`points` [(hours, value, in the living series: bool)]; `limits` (low, high) or None each.

    `line`: [(hours, value)] of its start, of the last point, and of where it meets the limit if that has room, or [].
    """
    along = Scale([hours for hours, _, _ in points] + [hours for hours, _ in line], LEFT, RIGHT, 0.05)
    up = Scale([value for _, value, _ in points] + [value for _, value in line]
               + [edge for edge in limits if edge is not None], BOTTOM, TOP)
    parts = [path([(LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM)], GREY, 0.6), word(LEFT - 4, 7, unit, "end"),
             word(RIGHT, HEIGHT - 2, "airframe hours", "end")]
    for number, text in up.ticks(3):
        parts += [path([(LEFT, up(number)), (RIGHT, up(number))], GREY, 0.3, "dotted"),
                  word(LEFT - 4, up(number) + 2.3, text, "end")]
    parts += [word(along(number), BOTTOM + 9, text, "middle") for number, text in along.ticks(4)]
    for edge, said in zip(limits, ("least", "most"), strict=True):
        if edge is not None:
            parts += [path([(LEFT, up(edge)), (RIGHT, up(edge))], INK, 1.3, "dashed"),
                      word(RIGHT + 3, up(edge) + 2.3, f"limit, {said}")]
    placed = [(along(hours), up(value)) for hours, value in line]
    parts += [path(placed[:2], INK, 1)] if len(placed) > 1 else []
    parts += [path(placed[1:], INK, 0.8, "dotted")] if len(placed) > 2 else []
    parts += _changes(points, along)
    parts += [(dot if living else diamond)(along(hours), up(value)) for hours, value, living in points]
    return drawing("trend", WIDTH, HEIGHT, title, parts)


def _changes(points, along):
    """An upright stroke where the living series begins with a new part."""
    earlier = [hours for hours, _, living in points if not living]
    living = [hours for hours, _, living in points if living]
    if not earlier or not living:
        return []
    x = along(living[0]) - 3.5
    return [path([(x, TOP), (x, BOTTOM)], INK, 0.8, "dotted"), word(x, TOP - 2, "new part", "middle")]
