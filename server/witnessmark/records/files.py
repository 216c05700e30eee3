"""Files named by the SHA-256 of their bytes: written once, never changed, on disk before anybody is told so."""

import hashlib
import os
import secrets
from contextlib import suppress


class FileStore:
    """One folder of such files, spread over ab/cd/ by the first digits of their names."""

    def __init__(self, folder, suffix=""):
        self.folder, self._suffix = folder, suffix

    def path(self, sha256):
        """Where a file of this name is, or would be."""
        return self.folder / sha256[:2] / sha256[2:4] / (sha256 + self._suffix)

    def has(self, sha256):
        """Is it here?"""
        return self.path(sha256).is_file()

    def read(self, sha256):
        """Its bytes."""
        return self.path(sha256).read_bytes()

    def keep(self, data):
        """Keep `data` under its own hash. Returns the hash. OSError when there is no room."""
        sha256 = hashlib.sha256(data).hexdigest()
        self.keep_as(sha256, data)
        return sha256

    def keep_as(self, name, data):
        """Keep `data` under a hash that is not its own: for what was worked out from the file of that hash."""
        fresh = self._new_file()
        try:
            with open(fresh, "xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            self._place(name, fresh)
        finally:
            fresh.unlink(missing_ok=True)

    def _new_file(self):
        self.folder.mkdir(parents=True, exist_ok=True)
        return self.folder / f"new-{secrets.token_hex(8)}"

    def _place(self, name, source):
        target = self.path(name)
        target.parent.mkdir(parents=True, exist_ok=True)
        # A hard link never replaces: whoever came first stands, and both had the same bytes.
        with suppress(FileExistsError):
            os.link(source, target)
        for folder in (target.parent, target.parent.parent, self.folder):
            sync_folder(folder)


def sync_folder(folder):
    """Make the names in a folder survive a power cut (a folder cannot be opened for that on Windows)."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
