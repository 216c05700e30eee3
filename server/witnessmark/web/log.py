"""The log: its signed checkpoint, and the proofs that it has only grown and that an entry is in it."""

from flask import Response
from marshmallow import fields, validate

from ..records import log
from ..rules.problems import Problem
from . import shapes
from .access import EVERY_ROLE, may_call
from .blueprint import Blueprint

blueprint = Blueprint("log", __name__, url_prefix="/api/log", description="The log that shows every change")


class TreeSize(shapes.Shape):
    size = fields.Integer(validate=validate.Range(0, 2**53 - 1))


@blueprint.route("/checkpoint")
@may_call("anyone")
@blueprint.response(200, {"type": "string"}, content_type="text/plain")
def checkpoint():
    """The newest checkpoint as a signed note (C2SP tlog-checkpoint): size and root, nothing of the work."""
    return Response(log.note(), mimetype="text/plain")


@blueprint.route("/consistency")
@may_call(*EVERY_ROLE)
@blueprint.arguments(shapes.TwoSizes, location="query")
@blueprint.response(200, shapes.Proof)
def consistency(sizes):
    """The proof (RFC 9162, 2.1.4) that the log of `first` leaves is the beginning of that of `second`."""
    if sizes["first"] > sizes["second"]:
        raise Problem("request_shape", at="first", why="it must not be larger than second")
    return {"proof": log.consistency(sizes["first"], sizes["second"])}


@blueprint.route("/entries/<entry>")
@may_call(*EVERY_ROLE)
@blueprint.arguments(TreeSize, location="query")
@blueprint.response(200, shapes.Inclusion)
def inclusion(tree, entry):
    """An entry's leaf and the proof (RFC 9162, 2.1.3) that it is in the tree of `size` leaves, or of all."""
    return log.inclusion(entry, tree.get("size"))
