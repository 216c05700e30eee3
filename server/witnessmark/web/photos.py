"""Photos, apart from entries: which are lacking, a part at a time in, the exact bytes or our own copy out."""

from flask import Response

from ..records import photos
from ..rules.problems import Problem
from . import shapes
from .access import EVERY_ROLE, may_call
from .blueprint import Blueprint
from .body import BYTES_TYPE, raw_bytes
from .headers import PHOTO_POLICY
from .office import kick_office

blueprint = Blueprint("photos", __name__, url_prefix="/api/photos", description="Photos by their SHA-256")


@blueprint.route("/lacking", methods=["POST"])
@may_call("mechanic", "inspector")
@blueprint.arguments(shapes.PhotoNames)
@blueprint.response(200, shapes.PhotosLacking)
def which_are_lacking(asked):
    """Which of these photos are not here whole, and how much of each is."""
    return {"lack": photos.lacking(asked["photos"])}


@blueprint.route("/<sha256>", methods=["PUT"])
@may_call("mechanic", "inspector")
@blueprint.arguments(shapes.PhotoPart, location="query")
@blueprint.response(200, shapes.PhotoTaken)
@blueprint.doc(requestBody={"required": True, "content": {BYTES_TYPE: {"schema": {"type": "string"}}}})
def take_part(part, sha256):
    """Take one part (application/octet-stream, at most 262144 bytes) of a photo, starting at `offset`."""
    if shapes.HASH.regex.match(sha256) is None:
        raise Problem("not_found", what="photo")
    taken = photos.take_part(sha256, part["offset"], part["bytes"], raw_bytes(photos.MAX_PART))
    if taken["complete"]:
        kick_office()
    return taken


@blueprint.route("/<sha256>", methods=["GET"])
@may_call(*EVERY_ROLE)
@blueprint.response(200, {"type": "string", "format": "binary"}, content_type="application/octet-stream")
def read_original(sha256):
    """The exact bytes that were signed, to keep or to check; never to show."""
    answer = _answer(photos.original(sha256), "application/octet-stream")
    answer.headers["Content-Disposition"] = f'attachment; filename="{sha256}.bin"'
    return answer


@blueprint.route("/<sha256>/view")
@may_call(*EVERY_ROLE)
@blueprint.response(200, {"type": "string", "format": "binary"}, content_type="image/jpeg")
def view_photo(sha256):
    """The photo to look at: our own re-encoded copy."""
    answer = _answer(photos.derivative(sha256), "image/jpeg")
    answer.headers["Content-Disposition"] = "inline"
    return answer


def _answer(data, mimetype):
    answer = Response(data, mimetype=mimetype)
    answer.headers["Content-Security-Policy"] = PHOTO_POLICY
    answer.headers["Cache-Control"] = "private, no-store"
    return answer
