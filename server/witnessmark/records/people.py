"""People: who they are, what they may do, on which phones they have signed in."""

import secrets

from sqlalchemy import select

from ..rules.sign_off import ROLES
from .clock import utc_text
from .database import db
from .passwords import hash_password
from .tables import Person, Role, SignIn


def add_person(session, facts):
    """Add a person: `facts` has "login", "name", "roles", "certificate" {"kind", "number"}, "password"; maybe "person".

    Returns the person id. `session` is that of `writing()`.
    """
    person = facts.get("person") or secrets.token_hex(16)
    certificate = facts["certificate"]
    session.add(Person(person=person, login=plain_login(facts["login"]), name=facts["name"], active=1,
                       certificate_kind=certificate["kind"], certificate_number=certificate["number"],
                       password=hash_password(facts["password"])))
    session.flush()
    session.add_all(Role(person=person, role=role) for role in facts["roles"])
    return person


def login_taken(login):
    """Does somebody sign in by this name already?"""
    return db.session.scalar(select(Person.person).where(Person.login == plain_login(login))) is not None


def plain_login(login):
    """The form in which sign-in names are kept and compared."""
    return login.strip().casefold()


def person_facts(person):
    """{"person", "name", "roles", "certificate"} of a person who still works here, else None."""
    row = db.session.get(Person, person)
    if row is None or not row.active:
        return None
    held = set(db.session.scalars(select(Role.role).where(Role.person == person)))
    return {"person": row.person, "name": row.name, "roles": [role for role in ROLES if role in held],
            "certificate": {"kind": row.certificate_kind, "number": row.certificate_number}}


def people_of_device(device):
    """The ids of everybody who has signed in on this phone."""
    return set(db.session.scalars(select(SignIn.person).where(SignIn.device == device)))


def remember_sign_in(session, person, device):
    """Note that this person has signed in on this phone. Returns whether it is the first time."""
    first = session.get(SignIn, (device, person)) is None
    if first:
        session.add(SignIn(device=device, person=person, first_at=utc_text()))
        session.flush()
    return first
