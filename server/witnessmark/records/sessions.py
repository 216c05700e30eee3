"""Signing in and out. Sessions are rows here, so that ending one takes effect at once."""

import hashlib
import secrets
from contextlib import suppress

from sqlalchemy import delete, select

from ..rules.entry import content_id
from ..rules.problems import Problem
from . import log
from .clock import unix_now
from .database import DatabaseBusy, DiskFull, db, writing
from .passwords import hash_password, outdated, password_fits, place_in_line
from .people import person_facts, plain_login, remember_sign_in
from .tables import Attempts, Person, Session, SignIn

FREE_ATTEMPTS = 5
FIRST_WAIT_S = 15
LONGEST_WAIT_S = 900
FORGET_AFTER_S = 24 * 3600
SEEN_EVERY_S = 60


def phone_of(device_key):
    """The id of the phone that holds this secret key (64 hex digits).

    The id stands in every entry, for all to read; only the phone itself can show what it is the hash of.
    """
    return content_id(device_key)[:32]


def sign_in(login, password, device_key, old_token=None):
    """Sign a person in on the phone that holds `device_key`. Returns (token, person facts).

    The session of `old_token` ends. Raises Problem `sign_in_wrong`, `sign_in_slow` after too many wrong passwords,
    `sign_in_busy` when many sign in at once.
    """
    device = phone_of(device_key)
    with place_in_line():
        person, key, kept, fresh = checked_password(plain_login(login), password, device)
    with writing() as session:
        session.execute(delete(Attempts).where(Attempts.key == key))
        row = session.get_one(Person, person)
        # A new password, or an end, may have come while this waited for its turn to write.
        if row.password != kept or not row.active:
            raise Problem("sign_in_wrong")
        row.password = fresh or kept
        token = begin(session, person, device, "password", old_token)
    return token, person_facts(person)


def begin(session, person, device, by, old_token=None):
    """A new session of `person` on `device`, who proved themself `by` "password" or "key". Returns its token.

    The session of `old_token` ends. `session` is that of `writing()`.
    """
    token = secrets.token_urlsafe(32)
    if old_token:
        session.execute(delete(Session).where(Session.token_hash == _hashed(old_token)))
    remember_sign_in(session, person, device)
    session.add(Session(token_hash=_hashed(token), person=person, device=device, started_s=unix_now(),
                        seen_s=unix_now()))
    log.append(session, "sign_in", {"person": person, "device": device, "by": by})
    return token


def checked_password(login, password, device):
    """(person, key of the wrong attempts, the kept hash, one by today's parameters where that is older).

    Raises Problem `sign_in_wrong`, `sign_in_slow`.
    """
    found = select(Person.person, Person.password).where(Person.login == login, Person.active == 1)
    person, kept = db.session.execute(found).one_or_none() or ("", None)
    key = _throttle_key(login, person, device)
    _count_attempt(key)
    if not password_fits(kept, password):
        raise Problem("sign_in_wrong")
    return person, key, kept, hash_password(password) if outdated(kept) else None


def find_session(token, idle_s, longest_s):
    """{"person": facts, "device"} of a living session, or None. Notes, at most once a minute, that it was used."""
    row = db.session.get(Session, _hashed(token))
    now = unix_now()
    if row is None or now - row.seen_s > idle_s or now - row.started_s > longest_s:
        return None
    device, seen, person = row.device, row.seen_s, person_facts(row.person)
    # The request's body may take minutes to arrive: no connection and no old view of the database is held for it.
    db.session.rollback()
    if person is None:
        return None
    if now - seen >= SEEN_EVERY_S:
        # On a full disk people must still be able to read.
        with suppress(DatabaseBusy, DiskFull):
            _note_use(token, now)
    return {"person": person, "device": device}


def _note_use(token, now):
    with writing() as session:
        used = session.get(Session, _hashed(token))
        if used is not None:
            used.seen_s = now


def sign_out(token):
    """End this session."""
    with writing() as session:
        session.execute(delete(Session).where(Session.token_hash == _hashed(token)))


def end_sessions_of(session, person, device=None):
    """End every session of a person, or those on one phone. `session` is that of `writing()`."""
    ended = delete(Session).where(Session.person == person)
    session.execute(ended if device is None else ended.where(Session.device == device))


def _hashed(token):
    return hashlib.sha256(token.encode()).hexdigest()


def _throttle_key(login, person, device):
    # A phone the person has used before is counted apart, so that a stranger's guesses cannot lock its owner out.
    # Nobody's phone is looked up too: the time of an answer must not tell which sign-in names there are.
    known = db.session.get(SignIn, (device, person)) is not None
    return f"{login} {device}" if known else login


def _count_attempt(key):
    """Count the attempt as wrong before the password is tried: guesses sent at the same time must all count."""
    now = unix_now()
    with writing() as session:
        session.execute(delete(Attempts).where(Attempts.not_before_s < now - FORGET_AFTER_S))
        row = session.get(Attempts, key)
        if row is None:
            session.add(Attempts(key=key, wrong=1, not_before_s=now))
            return
        if now < row.not_before_s:
            raise Problem("sign_in_slow", seconds=row.not_before_s - now)
        row.wrong += 1
        row.not_before_s = now + _wait_s(row.wrong)


def _wait_s(wrong):
    return 0 if wrong < FREE_ATTEMPTS else min(FIRST_WAIT_S * 2 ** min(wrong - FREE_ATTEMPTS, 10), LONGEST_WAIT_S)
