"""Photos: arrive in parts, are kept by their hash exactly as signed, and are shown only as our own re-encoded copy."""

import hashlib
import os
import shutil
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from flask import current_app

from ..rules.problems import Problem
from .clock import utc_text
from .database import db, writing
from .files import FileStore
from .repaint import repainted
from .tables import Photo

MAX_PART = 262144


@dataclass(frozen=True)
class Shelf:
    """Where this server keeps photos, how large they may be, and how much room (bytes) they leave on their disk."""

    originals: FileStore
    derivatives: FileStore
    partial: Path
    max_bytes: int
    max_pixels: int
    reserve: int
    free: Callable[[], int]
    locks: tuple
    repainting: threading.Lock

    def lock(self, sha256):
        """What whoever writes files of this photo holds: one after another for one photo, seldom for two."""
        return self.locks[int(sha256[:2], 16)]


def open_shelf(settings):
    """The shelf in the data folder of `settings`."""
    folder = settings.data / "photos"
    partial = folder / "partial"
    partial.mkdir(parents=True, exist_ok=True)
    return Shelf(FileStore(folder / "originals"), FileStore(folder / "derivatives", ".jpg"), partial,
                 settings.max_photo, settings.max_pixels, settings.photo_reserve,
                 lambda: shutil.disk_usage(folder).free, tuple(threading.Lock() for _ in range(256)), threading.Lock())


def lacking(shas):
    """[{"sha256", "received": bytes here so far}] of those photos that are not here whole, in the order asked."""
    shelf = _shelf()
    return [{"sha256": sha256, "received": _received(shelf, sha256)} for sha256 in shas if not _whole(sha256)]


def take_part(sha256, offset, total, data):
    """Take the part of a photo that starts at `offset`. Returns {"received", "complete"}; it is on disk then.

    Raises Problem: photo_offset (it goes on elsewhere), photo_part, photo_too_large, photo_room, and for the whole
    photo photo_hash_wrong, photo_not_jpeg, photo_too_many_pixels, after which it starts again from 0.
    """
    shelf = _shelf()
    if total > shelf.max_bytes:
        raise Problem("photo_too_large", limit=shelf.max_bytes)
    with shelf.lock(sha256):
        if not _whole(sha256) and shelf.originals.has(sha256):
            _record(shelf, sha256)
        if _whole(sha256):
            return {"received": total, "complete": True}
        _check_part(shelf, sha256, offset, total, len(data))
        received = offset + len(data)
        if received < total:
            _append(shelf, sha256, data)
        else:
            _finish(shelf, sha256, data)
    return {"received": received, "complete": received == total}


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
        with shelf.lock(sha256):
            # Somebody may have made it while this waited.
            if not shelf.derivatives.has(sha256):
                _repaint(shelf, sha256, shelf.originals.read(sha256))
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


def _check_part(shelf, sha256, offset, total, length):
    received = _received(shelf, sha256)
    if received >= total:
        # Somebody named another size for this photo: what is here can never become it.
        _partial(shelf, sha256).unlink(missing_ok=True)
        received = 0
    if offset != received:
        raise Problem("photo_offset", received=received)
    if not 0 < length <= MAX_PART or offset + length > total:
        raise Problem("photo_part", limit=MAX_PART)
    if shelf.free() < shelf.reserve:
        raise Problem("photo_room")


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
        if path.is_file():
            os.truncate(path, before)
        raise


def _finish(shelf, sha256, last):
    """Keep a photo of which `last` is the last part. Until it stands whole, what is here is all but that part."""
    path = _partial(shelf, sha256)
    data = path.read_bytes() + last if path.is_file() else last
    try:
        if hashlib.sha256(data).hexdigest() != sha256:
            raise Problem("photo_hash_wrong")
        _repaint(shelf, sha256, data)
    except Problem:
        path.unlink(missing_ok=True)
        raise
    shelf.originals.keep(data)
    _record(shelf, sha256)


def _repaint(shelf, sha256, data):
    # One at a time over all photos: this is what takes memory. Parts of other photos need not wait for it.
    with shelf.repainting:
        picture = repainted(data, shelf.max_pixels)
    shelf.derivatives.keep_as(sha256, picture)


def _record(shelf, sha256):
    _partial(shelf, sha256).unlink(missing_ok=True)
    size = shelf.originals.path(sha256).stat().st_size
    with writing() as session:
        # What this request read before it waited for the photo may be older than what another has recorded since.
        if session.get(Photo, sha256) is None:
            session.add(Photo(sha256=sha256, bytes=size, kept_at=utc_text()))
