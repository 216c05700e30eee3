"""The public keys by which people sign: set up on a phone, ended from the desk or by their owner."""

from flask import jsonify

from ..records import enrolment, keys
from ..records.database import writing
from ..rules.problems import Problem
from . import people_shapes as shapes
from .access import device, may_call, person
from .blueprint import Blueprint
from .reason import given_reason

blueprint = Blueprint("keys", __name__, url_prefix="/api/keys", description="Public signing keys")


@blueprint.route("", methods=["POST"])
@may_call("mechanic", "inspector")
@blueprint.arguments(shapes.Enrolment)
@blueprint.response(201, shapes.KeyName)
@blueprint.alt_response(200, schema=shapes.KeyName, description="This key is known already")
def enrol(wanted):
    """Make a key known as that of the person who is signed in, on this phone. Their older key on it ends."""
    kid, new = enrolment.enrol(wanted, person()["person"], device())
    answer = jsonify({"kid": kid})
    answer.status_code = 201 if new else 200
    return answer


@blueprint.route("/<kid>/end", methods=["POST"])
@may_call("mechanic", "inspector", "author")
@blueprint.arguments(shapes.Reason)
@blueprint.response(200, shapes.KeyName)
def end_key(told, kid):
    """End a key: one's own, or as an author anybody's. What it signed before stays valid."""
    why, key = given_reason(told["why"]), keys.key_of(kid)
    if "author" not in person()["roles"] and (key is None or key["person"] != person()["person"]):
        raise Problem("role_needed", needs="author")
    with writing() as session:
        keys.end(session, kid, why, person()["person"])
    return {"kid": kid}
