"""Whether the people, and what each may do, are as the log last stated them: nobody gave themself a role unseen."""

import json

from sqlalchemy import select

from .audit_log import Line
from .database import db
from .people import standing
from .tables import Person


def people_line(leaves):
    """The Line of all people: name, sign-in name, certificate, authorities, and whether they still work here."""
    stated = {facts.get("person"): facts for _, facts in leaves.of_kind["person"] if facts.get("what") in STATING}
    left = {facts.get("person") for _, facts in leaves.of_kind["person_ended"]}
    rows = db.session.scalars(select(Person).order_by(Person.person)).all()
    findings = []
    for row in rows:
        findings += _differs(row, stated.get(row.person, {}), row.person not in left)
    gone = sorted(str(person) for person in stated.keys() - {row.person for row in rows})
    findings += [f"The log states the person {person[:8]}, who is not here." for person in gone]
    return Line("people", len(rows), findings)


STATING = ("added", "changed")


def _differs(row, stated, works_here):
    now = {**standing(row), "active": bool(row.active)}
    then = {**{name: stated.get(name) for name in standing(row)}, "active": works_here}
    return [f"{row.name} ({row.person[:8]}): {name} is {_said(now[name])} here, but the log states {_said(then[name])}."
            for name in now if now[name] != then[name]]


def _said(value):
    return json.dumps(value, ensure_ascii=False, sort_keys=True)
