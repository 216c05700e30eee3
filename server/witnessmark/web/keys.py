"""The public keys by which people sign: set up on a phone, ended from the desk or by their owner."""

from flask import jsonify

from ..records import accounts, enrolment, keys, vouching
from ..rules.problems import Problem
from . import people_shapes as shapes
from . import vouch_shapes
from .access import device, may_call, person
from .blueprint import Blueprint
from .office import kick_office
from .reason import given_reason

blueprint = Blueprint("keys", __name__, url_prefix="/api/keys", description="Public signing keys")


@blueprint.route("", methods=["POST"])
@may_call("mechanic", "inspector")
@blueprint.arguments(shapes.Enrolment)
@blueprint.response(201, vouch_shapes.Enrolled)
@blueprint.alt_response(200, schema=vouch_shapes.Enrolled, description="This key is known already")
def enrol(wanted):
    """Make a key known as that of the person who is signed in, on this phone. Their older key on it ends.

    `vouch_needed`: what it signs is refused until somebody else has vouched for it.
    """
    kid, new = enrolment.enrol(wanted, person()["person"], device())
    answer = jsonify({"kid": kid, "vouch_needed": keys.waits(keys.key_of(kid))})
    answer.status_code = 201 if new else 200
    return answer


@blueprint.route("/<kid>/end", methods=["POST"])
@may_call("mechanic", "inspector", "author")
@blueprint.arguments(shapes.Reason)
@blueprint.response(200, shapes.KeyName)
def end_key(told, kid):
    """End a key: one's own, or as an author anybody's, which signs its phone out. What it signed before stays valid."""
    why, key = given_reason(told["why"]), keys.key_of(kid)
    if "author" not in person()["roles"] and (key is None or key["person"] != person()["person"]):
        raise Problem("role_needed", needs="author")
    accounts.end_key(kid, why, person()["person"])
    return {"kid": kid}


@blueprint.route("/waiting")
@may_call("mechanic", "inspector")
@blueprint.response(200, vouch_shapes.WaitingKeys)
def list_waiting():
    """The keys that sign only once a colleague has vouched for them, with the new start because of which."""
    return {"keys": vouching.waiting()}


@blueprint.route("/<kid>/vouch", methods=["POST"])
@may_call("mechanic", "inspector")
@blueprint.arguments(shapes.KeyProof)
@blueprint.response(200, shapes.KeyName)
def vouch(told, kid):
    """Vouch for a colleague's new key. What it signed meanwhile is taken in with this request."""
    if vouching.vouch(told["proof"], kid, person()["person"], device()):
        kick_office()
    return {"kid": kid}
