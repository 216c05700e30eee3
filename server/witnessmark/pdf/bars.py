"""Values side by side as bars from nothing to the supply, with the limit across them."""

from .strokes import GREY, INK, PALE, box, drawing, path, shortened, word

WIDTH, ROW = 330, 14
LEFT, RIGHT, TOP = 66, 250, 14


def bars(rows, full, limits, title):
    """`rows` [{"name", "value": number, "text", "outside": bool}]; `full`: the end of the scale.

    `limits` [(low, high)] numbers or None, one for each row.
    """
    edges = [edge for pair in limits for edge in pair if edge is not None]
    end = max([full, *edges, *(row["value"] for row in rows)]) or 1.0

    def across(value):
        return LEFT + (RIGHT - LEFT) * max(value, 0) / end

    bottom = TOP + ROW * len(rows)
    parts = [path([(LEFT, TOP - 2), (LEFT, bottom)], INK, 0.8), path([(across(full), TOP - 2), (across(full), bottom)],
                                                                     GREY, 0.5, "dotted")]
    for index, (row, pair) in enumerate(zip(rows, limits, strict=True)):
        parts += _bar(row, pair, across, TOP + ROW * index)
    parts.append(word(across(full) - 1, TOP - 5, "supply"))
    if edges:
        parts.append(word(across(edges[0]) + 1, TOP - 5, "limit", "end"))
    return drawing("bars", WIDTH, bottom + 3, title, parts)


def _bar(row, limits, across, top):
    """A bar outside its limits is hollow with a heavy edge, and says so."""
    outside = row["outside"]
    parts = [word(LEFT - 4, top + 8.8, shortened(row["name"]), "end"),
             box(LEFT, top + 2, across(row["value"]) - LEFT, ROW - 5, "#fff" if outside else PALE,
                 line=1.6 if outside else 0.7),
             word(RIGHT + 6, top + 8.8, row["text"] + (", outside" if outside else ""),
                  weight="bold" if outside else "normal")]
    return parts + [path([(across(edge), top), (across(edge), top + ROW)], INK, 1.3, "dashed")
                    for edge in limits if edge is not None]
