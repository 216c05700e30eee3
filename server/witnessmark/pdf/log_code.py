"""The checkpoint of the log as a QR code (ISO/IEC 18004), so that a paper can be compared with a phone years later."""

import segno
from markupsafe import Markup

TITLE = "Square code that holds the checkpoint of the log as text"


def log_code(note):
    """The text of a signed note as a drawing: safe SVG markup, with its quiet zone."""
    code = segno.make(note, mode="byte", encoding="utf-8", error="m", micro=False)
    return Markup(code.svg_inline(omitsize=True, border=4, svgclass="code", lineclass=None, title=TITLE))
