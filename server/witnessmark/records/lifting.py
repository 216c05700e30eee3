"""Lifting a refusal: an inspector's signed admission takes in an entry whose author's standing alone was in doubt."""

import json

from sqlalchemy import select

from ..rules.acceptance import ADMISSIBLE, own_admission
from ..rules.problems import Problem
from ..rules.sign_off import MAY, may
from . import log
from .clock import utc_text
from .database import db
from .log_tables import Resolution
from .people import ever_held, was_ever
from .receipt import opened, was_ever_here
from .tables import Quarantine

SET_ASIDE, ADMITTED = "set_aside", "admitted"


def admissible(session, row):
    """May an inspector take in what this row of the quarantine holds?"""
    if row.code not in ADMISSIBLE:
        return False
    entry = opened(row.text)
    if entry["problem"] is not None or not was_ever_here(session, entry["payload"]["author"]["person"]):
        return False
    return _never_allowed(entry["payload"]) is None


def _never_allowed(payload):
    """The Problem of an author who never had this authority, name or certificate: an end is lifted, never a lack."""
    author, kind = payload["author"], payload["kind"]
    if not was_ever(author):
        return Problem("author_differs", name=author["name"])
    if may(ever_held(author["person"]), kind):
        return None
    return Problem("not_allowed", name=author["name"], needs=" or ".join(MAY[kind]))


def standing_refusals(session, ids):
    """{id: Problem} of those of `ids` that stay refused however things stand by now.

    What came after the phone had been away for too long waits for an inspector, although that phone has met the
    server since; what somebody has set aside stays there.
    """
    rows = session.execute(
        select(Quarantine, Resolution.verdict).outerjoin(Resolution, Quarantine.number == Resolution.number)
        .where(Quarantine.id.in_(ids), Quarantine.code.in_((*ADMISSIBLE, "key_unvouched"))).order_by(Quarantine.number))
    return {row.id: problem_of(row) for row, verdict in rows
            if verdict == SET_ASIDE or (row.code == "lease_ended" and verdict is None)}


def lifted(session, admission, desk):
    """(the opened entry that this opened `admission` takes in, the rows of the quarantine that it answers).

    Raises Problem: not_in_quarantine, not_admissible, already_resolved, own_work, entry_card_differs.
    """
    payload = admission["payload"]
    rows = session.scalars(select(Quarantine).where(Quarantine.id == payload["body"]["entry"])
                           .order_by(Quarantine.number)).all()
    if not rows:
        raise Problem("not_in_quarantine")
    fitting = [row for row in rows if admissible(session, row)]
    if not fitting:
        raise not_admissible(problem_of(rows[-1]))
    waiting = [row for row in fitting if session.get(Resolution, row.number) is None]
    if not waiting:
        raise Problem("already_resolved")
    entry = opened(waiting[-1].text)
    if refusal := own_admission(payload, entry["payload"]["author"]["person"]):
        raise refusal
    if entry["payload"]["card"] != payload["card"]:
        raise Problem("entry_card_differs", what="card")
    try:
        desk.check(entry, lifted=True)
    except Problem as problem:
        raise not_admissible(problem) from problem
    return entry, waiting


def resolve(session, row, verdict, reason, person):
    """Decide about a row of the quarantine: ADMITTED or SET_ASIDE, by a person id. `session` is that of `writing()`."""
    session.add(Resolution(number=row.number, verdict=verdict, reason=reason, person=person, at=utc_text()))
    log.append(session, "resolved", {"number": row.number, "id": row.id, "verdict": verdict, "person": person})


def resolution_of(number):
    """{"verdict", "reason", "person", "at"} of a row of the quarantine, or None."""
    row = db.session.get(Resolution, number)
    return row and {"verdict": row.verdict, "reason": row.reason, "person": row.person, "at": row.at}


def problem_of(row):
    """The problem that a row of the quarantine was refused for."""
    return Problem(row.code, **json.loads(row.fields))


def not_admissible(problem):
    """The Problem that says that this other one cannot be lifted: its first sentence stands inside."""
    return Problem("not_admissible", why=problem.sentence.split(". ")[0].rstrip("."))
