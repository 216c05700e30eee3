"""What was refused, and why."""

from ..records.quarantine import refused
from . import shapes
from .access import may_call, person
from .blueprint import Blueprint
from .errors import shown

blueprint = Blueprint("quarantine", __name__, url_prefix="/api/quarantine", description="Refused entries")


@blueprint.route("")
@may_call("mechanic", "inspector", "author")
@blueprint.response(200, shapes.Quarantine)
def list_refused():
    """Refused entries with their reasons; a mechanic sees what they sent themselves."""
    sees_all = {"inspector", "author"} & set(person()["roles"])
    listed = refused() if sees_all else refused(person()["person"])
    return {"entries": [{**entry, "problem": shown(entry["problem"])} for entry in listed]}
