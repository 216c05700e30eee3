"""People: who they are, what they may do and until when, on which phones they have signed in. Nobody is deleted."""

import json
import secrets

from sqlalchemy import delete, select

from ..rules.problems import Problem
from ..rules.sign_off import ROLES, roles_on
from . import log
from .clock import utc_text
from .database import db
from .log_tables import LogRecord
from .passwords import hash_password
from .tables import Person, Role, SignIn

SHORTEST_PASSWORD = 15
SIGNERS = ("mechanic", "inspector")


def add_person(session, facts, by=None, hashed=None):
    """Add a person. `facts`: {"login", "name", "certificate" {"kind", "number"}, "password"}, and either "authorities"
    [{"role", "from", "until"}] or "roles" without days; maybe "person", the id.

    `by` is who adds them, None for a command; `hashed` the password's hash where it is worked out already. Returns the
    person id. `session` is that of `writing()`. Raises Problem `login_taken`, `login_reserved`, `password_short`,
    `certificate_missing`, `days_wrong`.
    """
    person, authorities = facts.get("person") or secrets.token_hex(16), _authorities(facts)
    check_password(facts["password"])
    check_login(facts["login"])
    check_standing(facts["certificate"], authorities)
    check_certificate(facts["certificate"], person)
    session.add(Person(person=person, login=plain_login(facts["login"]), name=facts["name"], active=1,
                       password=hashed or hash_password(facts["password"]),
                       certificate_kind=facts["certificate"]["kind"],
                       certificate_number=facts["certificate"]["number"]))
    session.flush()
    session.add_all(_roles(person, authorities))
    _log(session, "added", person, by)
    return person


def change_person(session, person, facts, by):
    """Change {"name", "certificate", "authorities"} of somebody who works here. `session` is that of `writing()`.

    Raises Problem `not_found`, `certificate_missing`, `days_wrong`, `last_author`.
    """
    row = working(session, person)
    check_standing(facts["certificate"], facts["authorities"])
    check_certificate(facts["certificate"], person)
    row.name = facts["name"]
    row.certificate_kind, row.certificate_number = facts["certificate"]["kind"], facts["certificate"]["number"]
    session.execute(delete(Role).where(Role.person == person))
    session.add_all(_roles(person, facts["authorities"]))
    session.flush()
    need_author()
    _log(session, "changed", person, by)


def working(session, person):
    """The row of somebody who works here. Raises Problem `not_found`."""
    row = session.get(Person, person)
    if row is None or not row.active:
        raise Problem("not_found", what="person")
    return row


def need_author():
    """Raise Problem `last_author` when nobody who works here may act as author today."""
    authors = db.session.scalars(select(Role.person).join(Person).where(Role.role == "author", Person.active == 1))
    if not any("author" in person_facts(person)["roles"] for person in authors.all()):
        raise Problem("last_author")


def check_password(password):
    """Raise Problem `password_short`."""
    if len(password) < SHORTEST_PASSWORD:
        raise Problem("password_short", count=len(password), least=SHORTEST_PASSWORD)


def check_login(login):
    """Raise Problem `login_taken`, or `login_reserved` for the name of somebody who left."""
    login = plain_login(login)
    active = db.session.scalar(select(Person.active).where(Person.login == login))
    if active is not None:
        raise Problem("login_taken" if active else "login_reserved", login=login)


def check_standing(certificate, authorities):
    """Raise Problem `certificate_missing` for a signer without one, `days_wrong` for days in the wrong order."""
    if {one["role"] for one in authorities} & set(SIGNERS) and not all(certificate[of].strip() for of in certificate):
        raise Problem("certificate_missing")
    if any(one["from"] and one["until"] and one["until"] < one["from"] for one in authorities):
        raise Problem("days_wrong")


def check_certificate(certificate, person):
    """Raise Problem `certificate_taken` when somebody else who works here has it: one person must not be two."""
    number = certificate["number"].strip().casefold()
    rows = db.session.scalars(select(Person).where(Person.active == 1, Person.person != person)) if number else ()
    for row in rows:
        same = (row.certificate_number.strip().casefold(), row.certificate_kind.strip().casefold())
        if same == (number, certificate["kind"].strip().casefold()):
            raise Problem("certificate_taken", name=row.name)


def plain_login(login):
    """The form in which sign-in names are kept and compared."""
    return login.strip().casefold()


def person_facts(person):
    """{"person", "name", "roles": today's, "authorities", "certificate"} of somebody who works here, else None."""
    row = db.session.get(Person, person)
    return facts_of(row) if row is not None and row.active else None


def facts_of(row, held=None):
    """As `person_facts`, for a row of people, whether they still work here or not; `held` are their rows of roles."""
    if held is None:
        held = db.session.scalars(select(Role).where(Role.person == row.person)).all()
    authorities = [{"role": one.role, "from": one.from_day, "until": one.until_day}
                   for one in sorted(held, key=lambda one: ROLES.index(one.role))]
    return {"person": row.person, "name": row.name, "roles": roles_on(authorities, utc_text()[:10]),
            "authorities": authorities,
            "certificate": {"kind": row.certificate_kind, "number": row.certificate_number}}


def working_people():
    """The facts of everybody who works here, by name."""
    rows = db.session.scalars(select(Person).where(Person.active == 1).order_by(Person.name, Person.person)).all()
    held = {}
    for role in db.session.scalars(select(Role)):
        held.setdefault(role.person, []).append(role)
    return [facts_of(row, held.get(row.person, [])) for row in rows]


def names():
    """{person: name} of everybody who works here or did."""
    return dict(db.session.execute(select(Person.person, Person.name)).all())


def remember_sign_in(session, person, device):
    """Note that this person has signed in on this phone. Returns whether it is the first time."""
    first = session.get(SignIn, (device, person)) is None
    if first:
        session.add(SignIn(device=device, person=person, first_at=utc_text()))
        session.flush()
    return first


def log_person(session, what, person, by, **more):
    """Put a change of somebody's account into the log. `session` is that of `writing()`."""
    log.append(session, "person", {"what": what, "person": person, "by": by, **more})


def logged(what=None, person=None):
    """What the log says of changes of accounts, oldest first: [{"what", "at", "person", "by", ...}].

    Of this kind alone, or of this person, where one is given.
    """
    leaves = select(LogRecord.leaf).where(LogRecord.kind == "person").order_by(LogRecord.number)
    if person is not None:
        leaves = leaves.where(LogRecord.leaf.contains(person))
    return [leaf for leaf in map(json.loads, db.session.scalars(leaves))
            if leaf["person"] == (person or leaf["person"]) and leaf["what"] == (what or leaf["what"])]


def standing(row):
    """{"login", "name", "certificate", "authorities"} of a row of people: what the log states when it changes."""
    facts = facts_of(row)
    return {"login": row.login, "name": facts["name"], "certificate": facts["certificate"],
            "authorities": facts["authorities"]}


def ever_held(person):
    """The roles that this person was ever given, whatever the days, as the log states them: a set."""
    return {one["role"] for leaf in logged(person=person) for one in leaf.get("authorities", [])}


def was_ever(author):
    """Did the log ever state this name and certificate of the person? `author` as in an entry."""
    return any((leaf.get("name"), leaf.get("certificate")) == (author["name"], author["certificate"])
               for leaf in logged(person=author["person"]))


def _log(session, what, person, by):
    log_person(session, what, person, by, **standing(session.get_one(Person, person)))


def _authorities(facts):
    listed = facts.get("authorities")
    return listed if listed is not None else [{"role": role, "from": None, "until": None} for role in facts["roles"]]


def _roles(person, authorities):
    return [Role(person=person, role=one["role"], from_day=one["from"], until_day=one["until"]) for one in authorities]
