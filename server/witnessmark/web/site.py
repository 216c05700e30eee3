"""The client files, read once at start, and the list of them that the service worker keeps."""

import hashlib
import json

from flask import Blueprint, Response, current_app, request

from ..rules.problems import Problem
from .access import may_call

TYPES = {".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml",
         ".webmanifest": "application/manifest+json", ".json": "application/json", ".png": "image/png",
         ".woff2": "font/woff2", ".txt": "text/plain"}
WORKER, LIST = "service_worker.js", "shell-manifest.json"
NOT_IN_SHELL = (".txt",)

blueprint = Blueprint("site", __name__)


def read_site(folder):
    """{path: {"data", "type", "sha256"}} of every client file under `folder`, with the list "shell-manifest.json"."""
    files = {}
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix in TYPES and not path.name.startswith("."):
            files[path.relative_to(folder).as_posix()] = _file(path.read_bytes(), TYPES[path.suffix])
    shell = _shell(files)
    files["shell-manifest.json"] = _file(json.dumps(shell, indent=1).encode(), TYPES[".json"])
    if WORKER in files:
        # A browser notices a new version only by the worker's own bytes.
        named = f'const VERSION = "{shell["version"]}";\n'.encode()
        files[WORKER] = _file(named + files[WORKER]["data"], TYPES[".js"])
    return files


def _file(data, type_):
    return {"data": data, "type": type_, "sha256": hashlib.sha256(data).hexdigest()}


def _shell(files):
    listed = [{"url": f"./{path}", "sha256": file["sha256"], "bytes": len(file["data"])}
              for path, file in files.items() if path != WORKER and not path.endswith(NOT_IN_SHELL)]
    worker = files.get(WORKER, {"sha256": None})["sha256"]
    return {"version": hashlib.sha256(json.dumps([listed, worker]).encode()).hexdigest(), "files": listed}


@blueprint.route("/")
@may_call("anyone")
def index():
    """The app."""
    return _answer("index.html")


@blueprint.route("/<path:path>")
@may_call("anyone")
def client_file(path):
    """A file of the app."""
    return _answer(path)


def _answer(path):
    file = current_app.extensions["witnessmark_site"].get(path)
    if file is None:
        raise Problem("not_found", what="page")
    answer = Response(file["data"], mimetype=file["type"])
    answer.set_etag(file["sha256"])
    answer.headers["Cache-Control"] = "no-cache"
    return answer.make_conditional(request)
