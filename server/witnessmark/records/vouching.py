"""Vouching: what a key set up after an author's new start signs is taken once somebody else has vouched for it."""

from itertools import groupby

from sqlalchemy import select

from ..rules.canonical import read_canonical
from ..rules.entry import content_id
from ..rules.problems import Problem
from ..rules.signature import VOUCH_TYP, read_jws, verify
from ..rules.vouch import check_vouch
from . import entries, keys, log, new_starts, people, phones
from .clock import utc_text
from .database import writing
from .lifting import ADMITTED, SET_ASIDE, resolve
from .log_tables import Resolution, Vouch
from .receipt import opened
from .shop import shop
from .tables import Quarantine

WAITS = "key_unvouched"


def waiting():
    """The living keys that wait for a vouch.

    [{"kid", "person", "name", "label", "enrolled_at", "since": {"person", "name", "why", "at"} of the new start}]
    """
    names, known = people.names(), phones.all_phones()
    return [{"kid": key["kid"], "person": key["person"], "name": names[key["person"]],
             "label": known[key["device"]]["label"], "enrolled_at": key["enrolled_at"],
             "since": _since(new_starts.that_need_vouching(key["person"]), names)} for key in keys.waiting()]


def vouch(proof, kid, person, device):
    """Keep the vouch `proof` (a JWS as `rules.vouch` says) of `person` on the phone `device` for the key `kid`.

    What that key signed and was refused for want of it is taken in with it. Returns whether an approval came in so.
    The same person's second vouch for a key changes nothing. Raises Problem `not_found`, `vouch_wrong`.
    """
    with writing() as session:
        key = keys.key_of(kid)
        if key is None:
            raise Problem("not_found", what="signing key")
        said, signer = read(proof)
        asked = {"server": shop()["server"], "kid": kid, "person": key["person"], "by": person, "device": device}
        _refuse_if(said != {**said, **asked}, "it is for another key, person, phone or server")
        if key["vouched"] is not None and key["vouched"]["by"] == person:
            return False
        _check_key(key)
        _check_voucher(key, signer)
        session.add(Vouch(kid=kid, person=person, text=proof, at=utc_text()))
        session.flush()
        log.append(session, "vouched", logged(kid, said, proof))
        return _take_anew(session, kid, person)


def read(proof):
    """(what the JWS `proof` says, the key that signed it, as in `keys.key_of`). Raises Problem `vouch_wrong`."""
    try:
        signed = read_jws(proof, VOUCH_TYP)
        said = read_canonical(signed["payload_text"])
        check_vouch(said)
    except Problem as problem:
        raise Problem("vouch_wrong", why="it cannot be read") from problem
    signer = keys.key_of(signed["kid"])
    _refuse_if(signer is None or not verify(signed, signer["jwk"]), "no key of this shop signed it")
    _refuse_if((signer["person"], signer["device"]) != (said["by"], said["device"]), "another person's key signed it")
    return said, signer


def logged(kid, said, proof):
    """What the log states of a vouch."""
    return {"kid": kid, "person": said["person"], "by": said["by"], "signed": content_id(proof)}


def _check_key(key):
    _refuse_if(key["ended"] is not None, "the key was ended meanwhile")
    _refuse_if(not key["vouch_needed"], "the key needs none")
    _refuse_if(key["vouched"] is not None, "somebody else has vouched for the key already")


def _check_voucher(key, signer):
    by, since = signer["person"], new_starts.that_need_vouching(key["person"])
    facts = people.person_facts(by)
    _refuse_if(facts is None or not set(people.SIGNERS) & set(facts["roles"]), "only a mechanic or inspector vouches")
    _refuse_if(signer["ended"] is not None, "the key that signed it was ended")
    _refuse_if(keys.waits(signer), "the key that signed it waits for a vouch itself")
    _refuse_if(by == key["person"], "nobody vouches for themself, a colleague does")
    _refuse_if(since is not None and by == since["by"], "whoever made the new start cannot vouch, a colleague does")


def _take_anew(session, kid, person):
    """Take in what waited for this vouch, and say so of each. What is refused for something else waits as that."""
    name, approval = people.names()[person], False
    for (sender, device), group in groupby(_refused(session, kid), lambda row: (row.person, row.device)):
        rows = list(group)
        answers, _, approved = entries.receive(session, [row.text for row in rows], sender, device)
        approval |= approved
        for row, answer in zip(rows, answers, strict=True):
            taken = answer["problem"] is None
            resolve(session, row, ADMITTED if taken else SET_ASIDE, f"vouched for by {name}" if taken else
                    f"vouched for by {name}, then refused for another reason", person)
    return approval


def _refused(session, kid):
    rows = session.scalars(select(Quarantine).outerjoin(Resolution, Quarantine.number == Resolution.number)
                           .where(Quarantine.code == WAITS, Resolution.number.is_(None)).order_by(Quarantine.number))
    return [row for row in rows if opened(row.text)["signed"]["kid"] == kid]


def _since(start, names):
    return start and {"person": start["by"], "name": names[start["by"]], "why": start["why"], "at": start["at"]}


def _refuse_if(wrong, why):
    if wrong:
        raise Problem("vouch_wrong", why=why)
