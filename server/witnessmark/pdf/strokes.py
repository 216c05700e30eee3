"""The strokes and words of a drawing as safe SVG, for all plots of the paper.

Black, greys and dashes only, so that a copier loses nothing. One user unit is one point. Every word that stands in a
drawing goes through `printable` and is escaped here, and nowhere else.
"""

from markupsafe import Markup

from .glyphs import printable

INK, GREY, PALE = "#111", "#777", "#ddd"
DASHES = {"solid": "", "dashed": "4 2.5", "dotted": "1 2.5"}
LONGEST_WORD = 14


def drawing(kind, width, height, title, parts):
    """A drawing of `width` x `height` points with its text alternative; `parts` are made by the functions below."""
    return Markup('<svg class="plot {}" width="{}pt" height="{}pt" viewBox="0 0 {} {}" font-family="B612, DejaVu Sans"'
                  ' font-size="6.5"><title>{}</title>{}</svg>').format(
        kind, width, height, width, height, printable(title), Markup("").join(parts))


def path(points, stroke=INK, width=0.8, dash="solid", closed=False, fill="none"):
    """A line through `points` [(x, y)]."""
    route = "M" + "L".join(f"{_at(x)} {_at(y)}" for x, y in points) + ("Z" if closed else "")
    dashes = Markup(' stroke-dasharray="{}"').format(DASHES[dash]) if DASHES[dash] else ""
    return Markup('<path d="{}" fill="{}" stroke="{}" stroke-width="{}"{}/>').format(
        route, fill, stroke, width, dashes)


def ring(x, y, radius, stroke=INK, width=0.8, fill="none"):
    """A circle."""
    return Markup('<circle cx="{}" cy="{}" r="{}" fill="{}" stroke="{}" stroke-width="{}"/>').format(
        _at(x), _at(y), _at(radius), fill, stroke, width)


def dot(x, y):
    """A value of this card."""
    return ring(x, y, 1.9, fill=INK)


def diamond(x, y):
    """A value of another card, or a mark on a rim: never to be taken for a `dot`."""
    return path([(x, y - 2.6), (x + 2.6, y), (x, y + 2.6), (x - 2.6, y)], closed=True, fill="#fff")


def box(x, y, width, height, fill=PALE, stroke=INK, line=0.8):
    """A rectangle."""
    return path([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], stroke, line, "solid", True, fill)


def word(x, y, said, anchor="start", weight="normal", ink=INK):
    """`said` at (x, y) on its baseline; anchor start, middle or end."""
    return Markup('<text x="{}" y="{}" text-anchor="{}" font-weight="{}" fill="{}">{}</text>').format(
        _at(x), _at(y), anchor, weight, ink, printable(said))


def shortened(said, longest=LONGEST_WORD):
    """A name short enough for a drawing; the table beside it holds the whole."""
    return said if len(said) <= longest else said[: longest - 1] + "…"


def _at(coordinate):
    return f"{coordinate:.2f}"
