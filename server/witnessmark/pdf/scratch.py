"""The scratch folder of a rendering child, and those that a killed server has left behind."""

import os
import shutil
import stat
import time
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir

try:
    import fcntl
except ImportError:  # Windows: nothing tells there whether a folder's owner lives, so none is taken away.
    fcntl = None

PREFIX = "witnessmark-render-"
OWNER = "owner"
DAY = 24 * 3600


class Scratch:
    """One folder in the temp folder. Its maker holds a lock inside, which ends with that process whatever ends it."""

    def __init__(self):
        self._folder = TemporaryDirectory(prefix=PREFIX)
        self.path = Path(self._folder.name)
        self._lock = _hold(self.path) if fcntl else None

    def remove(self):
        """Take the folder away."""
        self._folder.cleanup()
        if self._lock:
            self._lock.close()


def remove_abandoned():
    """Take away this user's scratch folders whose makers are gone; never a link, nor what is somebody else's."""
    if fcntl is None:
        return
    for folder in Path(gettempdir()).glob(PREFIX + "*"):
        if _is_ours(folder) and _is_abandoned(folder):
            shutil.rmtree(folder, ignore_errors=True)


def _hold(folder):
    fresh = folder / f"{OWNER}-new"
    lock = open(fresh, "wb")
    fcntl.flock(lock, fcntl.LOCK_EX)
    # Under its name it is locked from the start: between making and locking it would look abandoned.
    fresh.rename(folder / OWNER)
    return lock


def _is_ours(folder):
    try:
        facts = folder.lstat()
    except OSError:
        return False
    return stat.S_ISDIR(facts.st_mode) and facts.st_uid == os.geteuid()


def _is_abandoned(folder):
    try:
        # A child that was taken over can write here: a pipe or a link of this name must not hold up the start.
        handle = os.open(folder / OWNER, os.O_RDONLY | os.O_NONBLOCK | os.O_NOFOLLOW | os.O_CLOEXEC)
    except OSError:
        return _is_old(folder)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        os.close(handle)
    return True


def _is_old(folder):
    """Has nothing happened in it for a day? Younger ones without a lock are just being made."""
    try:
        return time.time() - folder.lstat().st_mtime > DAY
    except OSError:
        return False
