"""The work card on paper: facts in, HTML and the attached record out. Rendering is `renderer`'s business."""

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from ..rules.canonical import canonical_text
from .glyphs import printable
from .log_code import log_code
from .sheet import sheet

HERE = Path(__file__).parent
RECORD_NAME = "work-card.json"
RECORD_FORMAT = "witnessmark-record-2"


def paper_html(facts):
    """The A4 work card as one HTML text that refers to nothing but `photo:<sha256>`.

    `facts` = {"shop": {"name", "demo": bool}, "server": hex, "card": the card as in the API, "template": the revision,
    "code": its local code, "state": `rules.card_state.fold`, "entries": [{"id", "text", "payload"}], "photos": {sha256:
    JPEG bytes}, "people": {person id: name}, for who issued the card, "keys": [{"kid", "jwk", "person", "name"}] of the
    entries' authors, "log": {"note", "key": hex, "size", "root": hex}}, and if there are any "trends":
    `rules.trend_series.trends` of the aircraft's cards up to this one.
    """
    return _page().render(facts, sheet=sheet(facts), record_name=RECORD_NAME, css=page_style(),
                          log_code=log_code(facts["log"]["note"]))


def record_bytes(facts):
    """The attached record: canonical JSON, UTF-8, of everything the paper was printed from."""
    entries = sorted(facts["entries"], key=lambda entry: entry["id"])
    return canonical_text({
        "format": RECORD_FORMAT,
        "server": facts["server"],
        "card": facts["card"],
        "template": facts["template"],
        "local_code": facts["code"],
        "entries": [entry["text"] for entry in entries],
        "keys": sorted(facts["keys"], key=lambda key: key["kid"]),
        "state": facts["state"],
        "log": {"checkpoint": facts["log"]["note"], "key": facts["log"]["key"]},
    }).encode()


@cache
def page_style():
    """The style sheet of every page."""
    return Markup((HERE / "paper.css").read_text(encoding="utf-8"))


@cache
def _page():
    environment = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined,
                              finalize=_finalize, trim_blocks=True, lstrip_blocks=True)
    return environment.get_template("paper.html")


def _finalize(value):
    """Text from a record is only ever text; our own markup (Markup, from macros and marks) passes as it is."""
    if isinstance(value, Markup):
        return value
    return "" if value is None else printable(str(value))
