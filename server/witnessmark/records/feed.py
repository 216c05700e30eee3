"""The feed: everything that became known here after a phone's cursor, in order."""

from sqlalchemy import select

from .cards import shown
from .database import db
from .tables import Card, Change, Entry

AT_ONCE = 1000


def news(after, but=()):
    """(news, the cursor they reach, whether there is more, the cards they touch) after the cursor `after`.

    News are {"sequence", "kind": "entry", "text"} or {"sequence", "kind": "card", "card"}. Entries whose id is in `but`
    are left out: the phone that asks has just sent them.
    """
    rows = db.session.execute(
        select(Change.sequence, Change.card, Entry).outerjoin(Entry, Change.entry == Entry.id)
        .where(Change.sequence > after).order_by(Change.sequence).limit(AT_ONCE + 1)).all()
    listed, cards = [], set()
    for sequence, card, entry in rows[:AT_ONCE]:
        cards.add(card or entry.card)
        if card is not None:
            row = db.session.scalar(select(Card).where(Card.card == card))
            listed.append({"sequence": sequence, "kind": "card", "card": shown(row)})
        elif entry.id not in but:
            listed.append({"sequence": sequence, "kind": "entry", "text": entry.text})
    reached = rows[:AT_ONCE][-1].sequence if rows else after
    return listed, reached, len(rows) > AT_ONCE, cards
