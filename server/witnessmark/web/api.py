"""What describes and watches the API: its OpenAPI 3.1 text, a page of its routes, and a sign of life."""

import re
from copy import deepcopy

from flask import Blueprint as PlainBlueprint
from flask import current_app, jsonify, render_template
from flask_smorest import Api

from ..records.shop import last_sequence
from . import (
    cards,
    keys,
    local_codes,
    log,
    people,
    phone,
    photos,
    quarantine,
    session,
    shapes,
    shop,
    sync,
    tools,
)
from .access import ANYONE, OWN_HEADER, SAFE, SECURE_COOKIE, may_call
from .blueprint import Blueprint

CONFIG = {"API_TITLE": "Witnessmark", "API_VERSION": "v1", "OPENAPI_VERSION": "3.1.0", "OPENAPI_URL_PREFIX": None}

PLACE = re.compile(r"<(?:\w+:)?(\w+)>")
PARTS = (shop, session, keys, phone, cards, sync, photos, quarantine, people, tools, local_codes, log)

blueprint = PlainBlueprint("api", __name__, url_prefix="/api", template_folder="pages")
watch = Blueprint("health", __name__, url_prefix="/api/health", description="Sign of life")


class DescribedApi(Api):
    """flask-smorest's Api, whose failures all look like ours."""

    ERROR_SCHEMA = shapes.ProblemAnswer

    def _register_error_handlers(self):
        """`web.errors` answers failures."""


def register(app):
    """Hang up every part of the API."""
    app.config.update(CONFIG)
    api = DescribedApi(app)
    for part in PARTS:
        api.register_blueprint(part.blueprint)
    api.register_blueprint(watch)
    app.extensions["witnessmark_api"] = api
    app.register_blueprint(blueprint)


@blueprint.route("/openapi.json")
@may_call("anyone")
def openapi():
    """The API as OpenAPI 3.1."""
    return jsonify(_description())


@blueprint.route("/docs")
@may_call("anyone")
def docs():
    """The API as a page, from the same text, with nothing from elsewhere."""
    description = _description()
    routes = [_row(description, path, method, operation) for path, operations in sorted(description["paths"].items())
              for method, operation in sorted(operations.items()) if isinstance(operation, dict)]
    return render_template("api.html", routes=routes)


@watch.route("")
@may_call("anyone")
@watch.response(200, shapes.Health)
def health():
    """Can this server read its database?"""
    last_sequence()
    return {"status": "ok"}


def _description():
    """The specification, each operation with what guards it: `x-may-call`, the session, our own header."""
    description = deepcopy(current_app.extensions["witnessmark_api"].spec.to_dict())
    description["components"]["securitySchemes"] = {
        "session": {"type": "apiKey", "in": "cookie", "name": SECURE_COOKIE}}
    for rule in current_app.url_map.iter_rules():
        path = PLACE.sub(r"{\1}", rule.rule)
        for method in rule.methods:
            operation = description["paths"].get(path, {}).get(method.lower())
            if operation is not None:
                _add_guards(operation, method, current_app.view_functions[rule.endpoint].may_call)
    return description


def _add_guards(operation, method, may_call):
    operation["x-may-call"] = list(may_call)
    operation["security"] = [] if ANYONE in may_call else [{"session": []}]
    if method not in SAFE:
        operation["parameters"] = [*operation.get("parameters", []), {
            "name": OWN_HEADER, "in": "header", "required": True, "schema": {"const": "1"}}]


def _row(description, path, method, operation):
    good = next(operation["responses"][status] for status in operation["responses"] if status.startswith("2"))
    return {"method": method.upper(), "path": path, "summary": operation["summary"], "who": operation["x-may-call"],
            "query": [one["name"] for one in operation.get("parameters", []) if one["in"] == "query"],
            "body": _members(description, operation.get("requestBody", {})), "answer": _members(description, good)}


def _members(description, carrier):
    """What a body or an answer carries: the names of its members, or its type."""
    for type_, content in carrier.get("content", {}).items():
        name = content["schema"].get("$ref", "").rpartition("/")[2]
        if not name:
            return type_
        return ", ".join(description["components"]["schemas"][name]["properties"])
    return ""
