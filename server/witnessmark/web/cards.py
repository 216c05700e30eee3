"""Aircraft, templates, work cards: lists, issuing, reading, the paper."""

from flask import Response

from ..records import cards, papers, templates
from ..rules.number import read_number
from ..rules.problems import Problem
from ..rules.units import UNITS
from . import shapes
from .access import EVERY_ROLE, may_call, person
from .blueprint import Blueprint
from .office import kick_office, paper_of

blueprint = Blueprint("cards", __name__, url_prefix="/api", description="Work cards")


@blueprint.route("/aircraft")
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.AircraftList)
def list_aircraft():
    """The shop's aircraft."""
    return {"aircraft": cards.all_aircraft()}


@blueprint.route("/templates")
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.TemplateList)
def list_templates():
    """The newest revision of every card template."""
    return {"templates": templates.newest_templates()}


@blueprint.route("/revisions/<revision>")
@may_call(*EVERY_ROLE)
@blueprint.response(200, {"type": "object"})
def read_revision(revision):
    """A template revision as canonical JSON; it never changes, so it may be cached for ever."""
    answer = Response(templates.revision_text(revision), mimetype="application/json")
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


@blueprint.route("/cards", methods=["POST"])
@may_call("mechanic", "inspector", "author")
@blueprint.arguments(shapes.IssueCard)
@blueprint.response(201, shapes.Card)
def issue_card(wanted):
    """Issue a work card against an aircraft, with its meters as read now."""
    for meter in wanted["times"].values():
        read_number(meter["value"])
        if meter["unit"] not in UNITS:
            raise Problem("unit_unknown", unit=meter["unit"], units=", ".join(UNITS))
    return cards.issue(wanted["revision"], wanted["registration"], wanted["times"], person()["person"])


@blueprint.route("/cards/<card>")
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.CardPage)
def read_card(card):
    """A card with its state and entries, and how its paper stands."""
    facts = cards.card_facts(card)
    return {"card": facts["card"], "state": facts["state"], "entries": facts["entries"], "paper": paper_of(card)}


@blueprint.route("/cards/<card>/paper")
@may_call(*EVERY_ROLE)
@blueprint.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
def read_paper(card):
    """The sealed PDF of the standing release or disapproval, or what it waits for."""
    paper, number = paper_of(card), cards.card_of(card)["number"]
    if not paper["ready"]:
        kick_office()
        raise Problem("paper_not_ready", why=paper["sentence"])
    answer = Response(papers.read(paper["sha256"]), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'attachment; filename="{number}.pdf"'
    return answer
