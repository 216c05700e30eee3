"""The witness mark: a bolt head from above and its stripe of paint, drawn as inline SVG.

Shape carries the meaning and must survive a black-and-white copier: a whole stripe, a broken one, a second one across.
"""

from markupsafe import Markup

INK = "#111"
PAINT = "#c4530a"
HEAD = (
    f'<circle cx="16" cy="16" r="11" fill="#fff" stroke="{INK}" stroke-width="1"/>'
    f'<path d="M16 7.6 23.3 11.8V20.2L16 24.4 8.7 20.2V11.8Z" fill="#e4e4df" stroke="{INK}" stroke-width="1.4"/>'
    f'<circle cx="16" cy="16" r="5.2" fill="none" stroke="{INK}" stroke-width=".7"/>'
)


def _stripe(path, width=4.4):
    return (
        f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="{width + 1.6}"/>'
        f'<path d="{path}" fill="none" stroke="{PAINT}" stroke-width="{width}"/>'
    )


WHOLE = _stripe("M12.5 19.5 28 4")
CROSSING = _stripe("M19.5 19.5 4 4")
BROKEN = _stripe("M11.5 19.5 19 15") + _stripe("M22.4 8 29 1.8")
REPAIRED = (
    f'<path d="M11.5 19.5 19 15M22.4 8 29 1.8" fill="none" stroke="{INK}" stroke-width="6"/>'
    '<path d="M12.4 19 18.1 15.5M23 7.4 28.4 2.4" fill="none" stroke="#fff" stroke-width="3.6"/>'
)
DISAGREEING = _stripe("M14 18.5 27 3") + _stripe("M14 13.5 30 22")
STRUCK = f'<path d="M3 16H29" fill="none" stroke="{INK}" stroke-width="3"/>'

STRIPES = {
    "open": "",
    "passed": WHOLE,
    "countersigned": WHOLE + CROSSING,
    "failed": BROKEN,
    "corrected": REPAIRED,
    "not_applicable": STRUCK,
    "disputed": DISAGREEING,
}
WORDS = {
    "open": "Open",
    "passed": "Passed",
    "failed": "Failed",
    "corrected": "Corrected, not re-inspected",
    "not_applicable": "Not applicable",
    "disputed": "Disputed",
}


def witness_mark(status, countersigned=False):
    """The mark of an item `status` (a key of WORDS) as safe SVG markup with its meaning as title."""
    paint = STRIPES["countersigned" if countersigned and status == "passed" else status]
    if countersigned and status == "not_applicable":
        paint = STRUCK + CROSSING
    title = "Witness mark: " + WORDS[status].lower() + (", countersigned" if countersigned else "")
    return Markup('<svg class="mark" viewBox="0 0 32 32" width="32" height="32"><title>{}</title>{}{}</svg>').format(
        title, Markup(HEAD), Markup(paint))
