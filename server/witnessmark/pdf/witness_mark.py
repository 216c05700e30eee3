"""The witness mark: a bolt head from above and its stripe of paint, drawn as inline SVG.

Shape carries the meaning and must survive a black-and-white copier: a whole stripe, a broken one, one wiped down to
dashes, a second one across.
"""

from markupsafe import Markup

INK = "#111"
PAINT = "#c4530a"
SECOND = "#1e4d2b"
BARE = "#fff"
HEAD = (
    f'<polygon points="24,10.5 35.7,17.25 35.7,30.75 24,37.5 12.3,30.75 12.3,17.25" fill="#e4e4df" stroke="{INK}"'
    f' stroke-width="2"/><circle cx="24" cy="24" r="8" fill="#fff" stroke="{INK}" stroke-width="1.5"/>'
)


def _band(paint, angle, start, end):
    """A band of paint from `start` to `end` along a line through the middle of the head, turned by `angle` degrees."""
    return (
        f'<g transform="rotate({angle} 24 24)"><path d="M{22.5 + start} 24H{25.5 + end}" stroke="{INK}"'
        f' stroke-width="10"/><path d="M{24 + start} 24H{24 + end}" stroke="{paint}" stroke-width="6.5"/></g>'
    )


STRIPES = {
    "open": "",
    "passed": _band(PAINT, -38, 1, 22),
    "failed": _band(PAINT, -38, 16, 22) + _band(PAINT, 42, 1, 9),
    "corrected": _band(PAINT, -38, 16, 22) + _band(BARE, 42, 1, 21),
    "disputed": _band(PAINT, -75, 1, 22) + _band(BARE, 8, 1, 22),
    "rejected": _band(PAINT, -38, 1, 4) + _band(PAINT, -38, 9.5, 12.5) + _band(PAINT, -38, 18, 21),
    "not_applicable": f'<path d="M5 43 43 5" stroke="{INK}" stroke-width="4.5"/>',
}
CROSSING = _band(SECOND, 52, -22, 22)
WORDS = {
    "open": "Not done",
    "passed": "Passed",
    "failed": "Failed",
    "corrected": "Corrected, inspect again",
    "not_applicable": "Not applicable",
    "disputed": "Disputed",
    "rejected": "Sent back by the inspector",
}


def witness_mark(status, countersigned=False):
    """The mark of an item `status` (a key of WORDS) as safe SVG markup with its meaning as title."""
    second = Markup(CROSSING) if countersigned else ""
    title = "Witness mark: " + WORDS[status].lower() + (", countersigned" if countersigned else "")
    return Markup('<svg class="mark" viewBox="2 2 44 44" width="44" height="44"><title>{}</title>{}{}{}</svg>').format(
        title, Markup(HEAD), second, Markup(STRIPES[status]))
