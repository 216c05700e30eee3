"""The office makes papers in the background; the web tells it when there may be one to make, and asks how it stands."""

from flask import current_app


def kick_office():
    """Tell the office that something changed that papers wait for: an approval, a photo."""
    _office().kick()


def paper_of(card):
    """{"ready", "sha256", "sentence": what it waits for} of a card's paper. Raises Problem `not_found`."""
    return _office().paper_of(card)


def _office():
    return current_app.extensions["witnessmark_office"]
