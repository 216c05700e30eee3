"""Telling the office, which makes papers in the background, that there may be one to make."""

from flask import current_app


def wake_office():
    """Wake the office of this app; without one (some tests) nothing happens."""
    office = current_app.extensions.get("witnessmark_office")
    if office is not None:
        office.wake()
