"""Passwords: argon2id hashes (argon2-cffi's defaults: 64 MiB, 3 passes, 4 lanes), at most two worked out at once."""

import threading
from contextlib import contextmanager
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError

from ..rules.problems import Problem

HASHER = PasswordHasher()
# Each hash takes 64 MiB; without a limit a burst of sign-ins would take all memory.
_two_at_once = threading.BoundedSemaphore(2)
_line = threading.BoundedSemaphore(4)


@contextmanager
def place_in_line():
    """A place among those who wait for a hash. Raises Problem `sign_in_busy` when four are there already.

    Everybody in the line holds a thread of the server: strangers' guesses must not take them all.
    """
    if not _line.acquire(blocking=False):
        raise Problem("sign_in_busy")
    try:
        yield
    finally:
        _line.release()


def hash_password(password):
    """The argon2id hash of a password, with its parameters."""
    with _two_at_once:
        return HASHER.hash(password)


def password_fits(kept, password):
    """Is this the password of the hash `kept`? With `kept` None the answer is no, after the same work."""
    try:
        with _two_at_once:
            HASHER.verify(kept or _nobodys(), password)
    except VerifyMismatchError:
        return False
    return kept is not None


def outdated(kept):
    """Was this hash made with other parameters than today's?"""
    return HASHER.check_needs_rehash(kept)


@cache
def _nobodys():
    return HASHER.hash("the password of nobody")
