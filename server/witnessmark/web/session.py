"""Signing in on a phone by password or by its key, asking who is signed in, signing out."""

from flask import current_app, jsonify

from ..records import accounts, key_sessions, sessions
from ..records.people import person_facts
from . import people_shapes, shapes
from .access import EVERY_ROLE, PLAIN_COOKIE, cookie_name, device, may_call, person, token
from .blueprint import Blueprint
from .shop import server_facts

blueprint = Blueprint("session", __name__, url_prefix="/api/session", description="Who is signed in on this phone")


@blueprint.route("", methods=["POST"])
@may_call("anyone")
@blueprint.arguments(shapes.SignIn)
@blueprint.response(201, people_shapes.Session)
def sign_in(wanted):
    """Sign in; the answer sets the session cookie."""
    return _begun(*sessions.sign_in(wanted["login"], wanted["password"], wanted["device_key"], token()))


@blueprint.route("/challenge", methods=["POST"])
@may_call("anyone")
@blueprint.arguments(people_shapes.KeyName)
@blueprint.response(201, people_shapes.Challenge)
def challenge(wanted):
    """A nonce for signing in by this key; it is good for one proof within two minutes."""
    return {"nonce": key_sessions.challenge(wanted["kid"])}


@blueprint.route("/key", methods=["POST"])
@may_call("anyone")
@blueprint.arguments(people_shapes.KeyProof)
@blueprint.response(201, people_shapes.Session)
def sign_in_by_key(wanted):
    """Sign in by the key of this phone; the answer sets the session cookie."""
    return _begun(*key_sessions.sign_in_by_key(wanted["proof"], token()))


@blueprint.route("/password", methods=["POST"])
@may_call(*EVERY_ROLE)
@blueprint.arguments(people_shapes.ChangePassword)
@blueprint.response(201, people_shapes.Session)
def change_password(told):
    """Change one's own password. Every other session of the person ends; the answer sets a new cookie."""
    who = person()["person"]
    return _begun(accounts.change_password(who, device(), told["old"], told["new"]), person_facts(who))


@blueprint.route("", methods=["GET"])
@may_call(*EVERY_ROLE)
@blueprint.response(200, people_shapes.Session)
def who_is_signed_in():
    """The person who is signed in, and the server."""
    return {"person": person(), "server": server_facts()}


@blueprint.route("", methods=["DELETE"])
@may_call(*EVERY_ROLE)
@blueprint.response(204)
def sign_out():
    """End this session. What the phone has not sent yet stays on it."""
    sessions.sign_out(token())
    answer = jsonify(None)
    answer.status_code = 204
    answer.delete_cookie(cookie_name(), path="/", httponly=True, samesite="Strict",
                         secure=cookie_name() != PLAIN_COOKIE)
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


def _begun(new_token, who):
    answer = jsonify({"person": who, "server": server_facts()})
    answer.status_code = 201
    # Without an age a browser forgets it when it is killed, and what was recorded offline would wait for a password.
    age = current_app.extensions["witnessmark_settings"].session_hours * 3600
    answer.set_cookie(cookie_name(), new_token, max_age=age, httponly=True, samesite="Strict", path="/",
                      secure=cookie_name() != PLAIN_COOKIE)
    return answer
