"""Local codes: the sentences that are signed here, and which set of them the shop has chosen."""

from flask import Response

from ..records import local_codes
from ..records.database import writing
from ..rules.problems import Problem
from . import people_shapes as shapes
from .access import EVERY_ROLE, may_call, person
from .blueprint import Blueprint

blueprint = Blueprint("local_codes", __name__, url_prefix="/api", description="The sentences that are signed")


@blueprint.route("/local-codes", methods=["GET"])
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.LocalCodes)
def list_codes():
    """Every set there is, and which one new work cards are signed by."""
    return local_codes.all_codes()


@blueprint.route("/local-codes/<revision>")
@may_call(*EVERY_ROLE)
@blueprint.response(200, {"type": "object"})
def read_code(revision):
    """A set as canonical JSON; it never changes, so it may be cached for ever."""
    answer = Response(local_codes.code_text(revision), mimetype="application/json")
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


@blueprint.route("/local-codes", methods=["POST"])
@may_call("author")
@blueprint.arguments(shapes.LocalCode)
@blueprint.response(201, shapes.CodeRevision)
def keep_code(value):
    """Keep a set beside the others. It is signed by only once it is chosen, and only on cards issued after that."""
    try:
        with writing() as session:
            return {"revision": local_codes.keep(session, value, person()["person"])}
    except Problem as problem:
        if problem.code != "entry_shape":
            raise
        raise Problem("request_shape", **problem.fields) from problem


@blueprint.route("/shop/local-code", methods=["PUT"])
@may_call("author")
@blueprint.arguments(shapes.CodeRevision)
@blueprint.response(200, shapes.LocalCodes)
def choose_code(wanted):
    """Choose the set that new work cards are signed by. Cards that are issued keep theirs."""
    with writing() as session:
        local_codes.choose(session, wanted["revision"], person()["person"])
    return local_codes.all_codes()
