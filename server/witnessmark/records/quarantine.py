"""What was refused, as people look at it."""

import json

from sqlalchemy import select

from ..rules.problems import Problem
from .database import db
from .entries import known, receive
from .tables import Person, Quarantine


def refused(person=None):
    """Refused entries, newest first, of everybody or of what one `person` sent.

    [{"id", "text", "problem": Problem, "sent_by", "device", "received_at", "kept": taken in since}]
    """
    query = select(Quarantine, Person.name).join(Person, Quarantine.person == Person.person)
    if person is not None:
        query = query.where(Quarantine.person == person)
    rows = db.session.execute(query.order_by(Quarantine.number.desc())).all()
    kept = known(row.id for row, _ in rows)
    return [{"id": row.id, "text": row.text, "problem": Problem(row.code, **json.loads(row.fields)), "sent_by": name,
             "device": row.device, "received_at": row.received_at, "kept": row.id in kept} for row, name in rows]


def take_in_anew(session, person, device):
    """Look again at what this phone brought before its author had signed in on it. `session` is that of `writing()`."""
    texts = session.scalars(select(Quarantine.text).where(Quarantine.device == device,
                                                          Quarantine.code == "author_not_on_phone"))
    receive(session, texts.all(), person, device)
