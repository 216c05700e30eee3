"""The time, read in one place. It is evidence shown to people; no rule decides by it."""

import time
from calendar import timegm


def unix_now():
    """Whole seconds since 1970."""
    return int(time.time())


def unix_seconds(text):
    """The Unix seconds of a time as `utc_text` writes it."""
    return timegm(time.strptime(text, "%Y-%m-%dT%H:%M:%SZ"))


def utc_text(seconds=None):
    """A time as 2026-11-25T08:00:00Z; now when no `seconds` are given."""
    return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(seconds if seconds is not None else unix_now()))
