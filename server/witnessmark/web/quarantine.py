"""What was refused, and why; an inspector decides about it. Taking it in is a signed entry of theirs, sent by sync."""

from ..records import quarantine
from ..records.database import writing
from . import shapes
from .access import may_call, person
from .blueprint import Blueprint
from .errors import shown

blueprint = Blueprint("quarantine", __name__, url_prefix="/api/quarantine", description="Refused entries")


@blueprint.route("")
@may_call("mechanic", "inspector", "author")
@blueprint.response(200, shapes.Quarantine)
def list_refused():
    """Refused entries with their reasons and what was decided; a mechanic sees what they sent themselves."""
    sees_all = {"inspector", "author"} & set(person()["roles"])
    return _listed(quarantine.refused() if sees_all else quarantine.refused(person()["person"]))


@blueprint.route("/<int:number>/set-aside", methods=["POST"])
@may_call("inspector")
@blueprint.arguments(shapes.SetAside)
@blueprint.response(200, shapes.Quarantine)
def set_aside(told, number):
    """Decide that a refused entry stays out, with the reason. Once for each."""
    with writing() as session:
        quarantine.set_aside(session, number, told["reason"].strip(), person()["person"])
    return _listed(quarantine.refused())


def _listed(entries):
    return {"entries": [{**entry, "problem": shown(entry["problem"])} for entry in entries]}
