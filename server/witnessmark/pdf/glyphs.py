"""Text as the paper can print it: a character that the bundled fonts do not draw is written as its code.

A missing glyph would print as an empty box, which PDF/A forbids and which hides what was typed. Invisible,
direction-changing and combining characters are written out too: they could make a printed record read differently
from what it holds. The exact text always stays in the attached record.
"""

import unicodedata
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont

FONTS = Path(__file__).parent / "fonts"
FAMILIES = ("B612*.otf", "DejaVuSans*.ttf")


@cache
def drawn():
    """The code points that B612, or else DejaVu Sans, draws in every weight."""
    return frozenset.union(*(frozenset.intersection(*(_drawn_by(font) for font in FONTS.glob(family)))
                             for family in FAMILIES))


def _drawn_by(path):
    with TTFont(path, lazy=True) as font:
        return frozenset(font.getBestCmap())


def printable(text):
    """`text` with each character that cannot be printed as itself written as `[U+XXXX]`; line breaks stay."""
    return "".join(_shown(character) for character in text)


def _shown(character):
    kind = unicodedata.category(character)
    if character == "\n":
        return character
    if kind == "Zs" or character == "\t":
        return " "
    if kind[0] in "CMZ" or ord(character) not in drawn():
        return f"[U+{ord(character):04X}]"
    return character
