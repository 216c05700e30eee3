"""The keys by which people sign: one for each person on each phone. Only public halves ever come here."""

import json

from sqlalchemy import select

from ..rules.canonical import canonical_text
from ..rules.problems import Problem
from ..rules.signature import check_public_key, thumbprint
from . import log, new_starts, phones
from .clock import utc_text
from .database import db
from .log_tables import Key, KeyEnd, Vouch


def enrol(session, person, device, jwk, guard, label):
    """Keep the public key `jwk` of `person` on the phone `device`, guarded by a "code" or a "passkey".

    Returns (kid, whether it is new); the older living key of that person on that phone ends. `session` is that of
    `writing()`. Raises Problem `key_form`, or `enrolment_wrong` for a key that is somebody else's or was ended.
    """
    check_public_key(jwk)
    kid = thumbprint(jwk)
    phones.note_sync(session, device, label)
    known = session.get(Key, kid)
    if known is not None:
        _refuse_if((known.person, known.device) != (person, device), "this key belongs to somebody else")
        _refuse_if(session.get(KeyEnd, kid) is not None, "this key was ended")
        return kid, False
    for older in _rows(Key.person == person, Key.device == device):
        if older["ended"] is None:
            end(session, older["kid"], "replaced", person)
    doubted = new_starts.that_need_vouching(person) is not None
    session.add(Key(kid=kid, person=person, device=device, jwk=canonical_text(jwk), guard=guard,
                    enrolled_at=utc_text(), vouch_needed=int(doubted)))
    log.append(session, "key", {"kid": kid, "person": person, "device": device, "guard": guard,
                                "vouch_needed": doubted})
    return kid, True


def end(session, kid, why, by):
    """End a key: what it signs from now on is refused. Returns whether it still lived. `by` is a person id or None.

    `session` is that of `writing()`. Raises Problem `not_found`.
    """
    if session.get(Key, kid) is None:
        raise Problem("not_found", what="signing key")
    if session.get(KeyEnd, kid) is not None:
        return False
    session.add(KeyEnd(kid=kid, at=utc_text(), why=why, by=by))
    log.append(session, "key_ended", {"kid": kid, "why": why, "by": by})
    return True


def end_all_of(session, person, why, by):
    """End every living key of a person. `session` is that of `writing()`."""
    for key in of_person(person):
        end(session, key["kid"], why, by)


def key_of(kid):
    """The key of this id, or None.

    {"kid", "person", "device", "jwk", "guard", "enrolled_at", "ended": None or {"at", "why", "by"}, "vouch_needed",
    "vouched": None or {"at", "by"}}
    """
    return next(iter(_rows(Key.kid == kid)), None)


def waits(key):
    """Must somebody else vouch for this key, as in `key_of`, before what it signs is taken?"""
    return key["vouch_needed"] and key["vouched"] is None


def waiting():
    """The living keys that wait for a vouch, as in `key_of`."""
    return [key for key in _rows(Key.vouch_needed == 1) if waits(key) and key["ended"] is None]


def all_keys():
    """Every key there ever was, as in `key_of`, in the order of their kids."""
    return _rows()


def of_device(device):
    """The keys of one phone, as in `key_of`."""
    return _rows(Key.device == device)


def of_person(person):
    """The keys of one person, as in `key_of`."""
    return _rows(Key.person == person)


def _rows(*conditions):
    found = db.session.execute(select(Key, KeyEnd, Vouch).outerjoin(KeyEnd, Key.kid == KeyEnd.kid)
                               .outerjoin(Vouch, Key.kid == Vouch.kid).where(*conditions).order_by(Key.kid))
    return [{"kid": key.kid, "person": key.person, "device": key.device, "jwk": json.loads(key.jwk),
             "guard": key.guard, "enrolled_at": key.enrolled_at,
             "ended": ended and {"at": ended.at, "why": ended.why, "by": ended.by},
             "vouch_needed": bool(key.vouch_needed), "vouched": vouched and {"at": vouched.at, "by": vouched.person}}
            for key, ended, vouched in found]


def _refuse_if(wrong, why):
    if wrong:
        raise Problem("enrolment_wrong", why=why)
