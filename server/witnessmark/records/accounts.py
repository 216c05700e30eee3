"""Accounts: who works here and signs where; leaving, a new start, another password. All of it stands in the log.

Nobody signs in another's name: whoever gives somebody a new password ends that person's keys, for all to see.
"""

from sqlalchemy import delete, select

from ..rules.problems import Problem
from . import keys, log, people, phones, sessions
from .database import db, writing
from .new_starts import NEW_START
from .passwords import hash_password, place_in_line
from .tables import Attempts, Person

OWN, COMMAND = "password", "a command on the server"


def staff():
    """Everybody who works here or did, by name.

    [person facts with "login", "active", "phones": [{"device", "label", "kid", "guard", "enrolled_at", "synced_at",
    "ended": None or {"at", "why", "name"}}], "new_starts": [{"at", "why", "name"}]]
    """
    rows = db.session.scalars(select(Person).order_by(Person.name, Person.person)).all()
    names = people.names()
    starts, known = people.logged(NEW_START), phones.all_phones()
    return [_shown(row, names, starts, known) for row in rows]


def member(person):
    """One of `staff()`."""
    return next(one for one in staff() if one["person"] == person)


def called(login):
    """The id of somebody who works here, by sign-in name. Raises Problem `not_found`."""
    row = db.session.scalar(select(Person).where(Person.login == people.plain_login(login), Person.active == 1))
    if row is None:
        raise Problem("not_found", what="person")
    return row.person


def hire(facts, by):
    """Add a person as in `people.add_person`; `by` is the author's id. Returns the person id. Raises Problem."""
    people.check_password(facts["password"])
    with place_in_line():
        hashed = hash_password(facts["password"])
    with writing() as session:
        return people.add_person(session, facts, by, hashed)


def end(person, why, by):
    """Somebody leaves: sessions and keys end with this call; what they signed stays. Raises Problem `not_found`,
    `last_author`."""
    with writing() as session:
        people.working(session, person).active = 0
        session.flush()
        people.need_author()
        _close(session, person, why, by)
        log.append(session, "person_ended", {"person": person, "why": why, "by": by})


def end_key(kid, why, by):
    """End a key; `by` is a person id. When somebody else ends it, the phone is lost: its sessions of theirs end too.

    Raises Problem `not_found`.
    """
    with writing() as session:
        keys.end(session, kid, why, by)
        key = keys.key_of(kid)
        if key["person"] != by:
            sessions.end_sessions_of(session, key["person"], key["device"])


def start_anew(person, password, why, by):
    """Give somebody a new password; every session and key of theirs ends. `by` is the author's id, or None for the
    command on the server's machine. After an author's, somebody else vouches for each key they set up. Raises Problem
    `not_found`, `password_short`."""
    people.check_password(password)
    with place_in_line():
        hashed = hash_password(password)
    with writing() as session:
        people.working(session, person).password = hashed
        _close(session, person, why, by)
        people.log_person(session, NEW_START, person, by, why=why)


def change_password(person, device, old, new):
    """Change one's own password; all other sessions end. Returns the token of the new one.

    Raises Problem `sign_in_wrong` for a wrong old one, `sign_in_slow`, `sign_in_busy`, `password_short`.
    """
    people.check_password(new)
    with place_in_line():
        _, attempts, _, _ = sessions.checked_password(db.session.get_one(Person, person).login, old, device)
        hashed = hash_password(new)
    with writing() as session:
        session.execute(delete(Attempts).where(Attempts.key == attempts))
        people.working(session, person).password = hashed
        sessions.end_sessions_of(session, person)
        people.log_person(session, OWN, person, person)
        return sessions.begin(session, person, device, "password")


def _close(session, person, why, by):
    sessions.end_sessions_of(session, person)
    keys.end_all_of(session, person, why, by)


def _shown(row, names, starts, known):
    return {**people.facts_of(row), "login": row.login, "active": bool(row.active),
            "phones": [_phone(key, names, known[key["device"]]) for key in keys.of_person(row.person)],
            "new_starts": [{"at": one["at"], "why": one["why"], "name": names.get(one["by"], COMMAND)}
                           for one in starts if one["person"] == row.person]}


def _phone(key, names, phone):
    ended = key["ended"] and {"at": key["ended"]["at"], "why": key["ended"]["why"],
                              "name": names.get(key["ended"]["by"])}
    return {"device": key["device"], "label": phone["label"], "kid": key["kid"], "guard": key["guard"],
            "enrolled_at": key["enrolled_at"], "synced_at": phone["synced_at"], "ended": ended}
