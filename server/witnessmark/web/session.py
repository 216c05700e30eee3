"""Signing in on a phone, asking who is signed in, signing out."""

from flask import current_app, jsonify

from ..records import sessions
from . import shapes
from .access import EVERY_ROLE, PLAIN_COOKIE, cookie_name, may_call, person, token
from .blueprint import Blueprint
from .shop import server_facts

blueprint = Blueprint("session", __name__, url_prefix="/api/session", description="Who is signed in on this phone")


@blueprint.route("", methods=["POST"])
@may_call("anyone")
@blueprint.arguments(shapes.SignIn)
@blueprint.response(201, shapes.Session)
def sign_in(wanted):
    """Sign in; the answer sets the session cookie."""
    new_token, who = sessions.sign_in(wanted["login"], wanted["password"], wanted["device_key"], token())
    answer = jsonify({"person": who, "server": server_facts()})
    answer.status_code = 201
    # Without an age a browser forgets it when it is killed, and what was recorded offline would wait for a password.
    age = current_app.extensions["witnessmark_settings"].session_hours * 3600
    answer.set_cookie(cookie_name(), new_token, max_age=age, httponly=True, samesite="Strict", path="/",
                      secure=cookie_name() != PLAIN_COOKIE)
    return answer


@blueprint.route("", methods=["GET"])
@may_call(*EVERY_ROLE)
@blueprint.response(200, shapes.Session)
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
