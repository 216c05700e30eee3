"""Photos: arrive in parts, are kept by their hash exactly as signed, and are shown only as our own re-encoded copy."""

import hashlib
import os
import threading
from dataclasses import dataclass
from io import BytesIO

from flask import current_app
from PIL import Image, ImageOps, UnidentifiedImageError

from ..rules.problems import Problem
from .clock import utc_text
from .database import db, writing
from .files import FileStore
from .tables import Photo

MAX_PART = 262144
LONG_EDGE = 1600
JPEG_START = b"\xff\xd8\xff"


@dataclass(frozen=True)
class Shelf:
    """Where this server keeps photos, and how large they may be."""

    originals: FileStore
    derivatives: FileStore
    partial: object
    max_bytes: int
    max_pixels: int
    lock: threading.Lock


def open_shelf(settings):
    """The shelf in the data folder of `settings`."""
    folder = settings.data / "photos"
    partial = folder / "partial"
    partial.mkdir(parents=True, exist_ok=True)
    return Shelf(FileStore(folder / "originals"), FileStore(folder / "derivatives", ".jpg"), partial,
                 settings.max_photo, settings.max_pixels, threading.Lock())


def lacking(shas):
    """[{"sha256", "received": bytes here so far}] of those photos that are not here whole, in the order asked."""
    shelf = _shelf()
    return [{"sha256": sha256, "received": _received(shelf, sha256)} for sha256 in shas if not _whole(sha256)]


def take_part(sha256, offset, total, data):
    """Take the part of a photo that starts at `offset`. Returns {"received", "complete"}; it is on disk then.

    Raises Problem: photo_offset (it goes on elsewhere), photo_part, photo_too_large, and for the whole photo
    photo_hash_wrong, photo_not_jpeg, photo_too_many_pixels, after which it starts again from 0.
    """
    shelf = _shelf()
    if total > shelf.max_bytes:
        raise Problem("photo_too_large", limit=shelf.max_bytes)
    if not 0 < len(data) <= MAX_PART or offset + len(data) > total:
        raise Problem("photo_part", limit=MAX_PART)
    with shelf.lock:
        if not _whole(sha256) and shelf.originals.has(sha256):
            _record(shelf, sha256)
        if _whole(sha256):
            return {"received": total, "complete": True}
        received = _received(shelf, sha256)
        if offset != received:
            raise Problem("photo_offset", received=received)
        path = _append(shelf, sha256, data)
        if offset + len(data) < total:
            return {"received": offset + len(data), "complete": False}
        _finish(shelf, sha256, path)
    return {"received": total, "complete": True}


def original(sha256):
    """The exact bytes as signed. Raises Problem `not_found`."""
    if not _whole(sha256):
        raise Problem("not_found", what="photo")
    return _shelf().originals.read(sha256)


def derivative(sha256):
    """The JPEG that screens and papers show: the picture on a fresh canvas, so that nothing but pixels survives.

    Raises Problem `not_found`.
    """
    shelf = _shelf()
    if not _whole(sha256):
        raise Problem("not_found", what="photo")
    if not shelf.derivatives.has(sha256):
        shelf.derivatives.keep_as(sha256, _repainted(shelf.originals.read(sha256), shelf.max_pixels))
    return shelf.derivatives.read(sha256)


def _shelf():
    return current_app.extensions["witnessmark_photos"]


def _whole(sha256):
    return db.session.get(Photo, sha256) is not None


def _partial(shelf, sha256):
    return shelf.partial / sha256


def _received(shelf, sha256):
    path = _partial(shelf, sha256)
    return path.stat().st_size if path.is_file() else 0


def _append(shelf, sha256, data):
    path = _partial(shelf, sha256)
    before = _received(shelf, sha256)
    try:
        with open(path, "ab") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        # Half a part must not count as received.
        os.truncate(path, before)
        raise
    return path


def _finish(shelf, sha256, path):
    data = path.read_bytes()
    try:
        if hashlib.sha256(data).hexdigest() != sha256:
            raise Problem("photo_hash_wrong")
        shelf.derivatives.keep_as(sha256, _repainted(data, shelf.max_pixels))
    except Problem:
        path.unlink()
        raise
    shelf.originals.adopt(sha256, path)
    _record(shelf, sha256)


def _record(shelf, sha256):
    with writing() as session:
        size = shelf.originals.path(sha256).stat().st_size
        session.add(Photo(sha256=sha256, bytes=size, kept_at=utc_text()))


def _repainted(data, max_pixels):
    if not data.startswith(JPEG_START):
        raise Problem("photo_not_jpeg")
    try:
        with Image.open(BytesIO(data), formats=["JPEG"]) as image:
            if image.width * image.height > max_pixels:
                raise Problem("photo_too_many_pixels", limit=max_pixels)
            image.draft("RGB", (LONG_EDGE, LONG_EDGE))
            upright = ImageOps.exif_transpose(image).convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError,
            Image.DecompressionBombWarning) as error:
        raise Problem("photo_not_jpeg") from error
    upright.thumbnail((LONG_EDGE, LONG_EDGE))
    canvas = Image.new("RGB", upright.size)
    canvas.paste(upright)
    out = BytesIO()
    canvas.save(out, "JPEG", quality=82)
    return out.getvalue()
