"""What was refused, as people look at it and decide about it."""

from sqlalchemy import select

from ..rules.problems import Problem
from .database import db
from .entries import known
from .lifting import SET_ASIDE, admissible, problem_of, resolution_of, resolve
from .log_tables import Resolution
from .tables import Person, Quarantine

LARGEST_NUMBER = 2**63 - 1  # that a database can be asked for


def refused(person=None):
    """Refused entries, newest first, of everybody or of what one `person` sent.

    [{"number", "id", "text", "problem": Problem, "sent_by", "device", "received_at", "kept": taken in since,
    "admissible", "resolution": None or {"verdict": admitted | set_aside, "reason", "name", "at"}}]
    """
    query = select(Quarantine, Person.name).join(Person, Quarantine.person == Person.person)
    if person is not None:
        query = query.where(Quarantine.person == person)
    rows = db.session.execute(query.order_by(Quarantine.number.desc())).all()
    kept = known(row.id for row, _ in rows)
    return [{"number": row.number, "id": row.id, "text": row.text, "problem": problem_of(row), "sent_by": name,
             "device": row.device, "received_at": row.received_at, "kept": row.id in kept,
             "admissible": admissible(db.session, row), "resolution": _shown(resolution_of(row.number))}
            for row, name in rows]


def set_aside(session, number, reason, person):
    """Decide that a refused entry is never taken in. `person` is who decides, `session` that of `writing()`.

    Raises Problem `not_in_quarantine`, `already_resolved`, `reason_needed`.
    """
    row = session.get(Quarantine, number) if number <= LARGEST_NUMBER else None
    if row is None:
        raise Problem("not_in_quarantine")
    if not reason.strip():
        raise Problem("reason_needed")
    if session.get(Resolution, number) is not None:
        raise Problem("already_resolved")
    resolve(session, row, SET_ASIDE, reason, person)


def _shown(resolution):
    if resolution is None:
        return None
    name = db.session.scalar(select(Person.name).where(Person.person == resolution["person"]))
    return {"verdict": resolution["verdict"], "reason": resolution["reason"], "name": name, "at": resolution["at"]}
