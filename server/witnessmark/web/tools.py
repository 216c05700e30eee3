"""The tool register."""

from ..records import tools
from ..records.database import writing
from . import people_shapes as shapes
from .access import EVERY_ROLE, may_call
from .blueprint import Blueprint

blueprint = Blueprint("tools", __name__, url_prefix="/api/tools", description="Tools and their calibration")


@blueprint.route("", methods=["GET"])
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.Tools)
def list_tools():
    """The tools of the shop, with the day until which each is calibrated and what is known of it."""
    return {"tools": tools.all_tools()}


@blueprint.route("", methods=["POST"])
@may_call("author")
@blueprint.arguments(shapes.Tool)
@blueprint.response(201, shapes.Tool)
def keep_tool(wanted):
    """Add a tool, or change the one of that serial number. Entries made before keep what they say.

    Without `facts` what is known of it stays as it was; with null nothing is known any more.
    """
    with writing() as session:
        return tools.keep(session, wanted)
