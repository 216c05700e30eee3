"""Reasons that people give."""

from ..rules.problems import Problem


def given_reason(text):
    """The reason without spaces around it. Raises Problem `reason_needed` when nothing is left."""
    if not text.strip():
        raise Problem("reason_needed")
    return text.strip()
