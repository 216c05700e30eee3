"""The trends of a card's followed readings over past cards of the same aircraft. Read anew each time, never kept."""

import json

from sqlalchemy import select

from ..rules.item_state import TRACK
from ..rules.trend_series import trends
from .cards import identity
from .database import db
from .stored import payload_of
from .tables import Card, Entry, Revision


def trends_of(card, template):
    """The series of `rules.trend_series.trends` for a card as in the API and its template; [] when none is followed."""
    items = [item["item"] for zone in template["zones"] for item in zone["items"]
             if any(field.get("trend") for field in item["fields"])]
    return trends(card, template, _past(card, template["card"], items)) if items else []


def _past(card, name, items):
    """[{"card", "template", "entries"}] of the aircraft's cards of the same card template; of `items` only."""
    alike = (Card.registration == card["aircraft"]["registration"],
             Card.serial_number == card["aircraft"]["serial_number"], Revision.card == name)
    cards = db.session.scalars(select(Card).join(Revision, Revision.revision == Card.revision).where(*alike)).all()
    revisions = db.session.execute(select(Revision.revision, Revision.text).distinct()
                                   .join(Card, Card.revision == Revision.revision).where(*alike))
    templates, entries = {revision: json.loads(text) for revision, text in revisions}, {row.card: [] for row in cards}
    told = db.session.execute(select(Entry.card, Entry.id, Entry.text).join(Card, Card.card == Entry.card)
                              .join(Revision, Revision.revision == Card.revision)
                              .where(*alike, Entry.item.in_(items), Entry.kind.in_(TRACK)))
    for of_card, id, text in told:
        entries[of_card].append({"id": id, "payload": payload_of(text)})
    return [{"card": identity(row), "template": templates[row.revision], "entries": entries[row.card]}
            for row in cards]
