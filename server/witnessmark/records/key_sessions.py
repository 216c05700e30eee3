"""Signing in by the key on the phone: who unlocked it need not type a password where the server is reached again."""

from flask import current_app

from ..rules.canonical import read_canonical
from ..rules.problems import Problem
from ..rules.signature import SESSION_TYP, read_jws, verify
from . import keys
from .database import writing
from .people import person_facts
from .sessions import begin
from .shop import shop

NOBODYS = "nobody's key"


def challenge(kid):
    """A nonce that a proof by the key `kid` must hold. For a key nobody has, too: the answer tells nothing.

    Those of keys nobody has are kept under one name: strangers' questions push out only each other's.
    """
    known = keys.key_of(kid) is not None
    return current_app.extensions["witnessmark_nonces"].give(kid if known else NOBODYS)


def sign_in_by_key(proof, old_token=None):
    """Sign in whoever made `proof`: a JWS over {"v": 1, "server", "device", "person", "nonce"}.

    Returns (token, person facts). The session of `old_token` ends. Raises Problem `session_proof_wrong`.
    """
    try:
        key, person = _proven(proof)
    except Problem as problem:
        raise Problem("session_proof_wrong") from problem
    with writing() as session:
        # Asked here, so that it cannot end while this waits for its turn to write.
        if keys.key_of(key["kid"])["ended"] is not None:
            raise Problem("session_proof_wrong")
        token = begin(session, key["person"], key["device"], "key", old_token)
    return token, person


def _proven(proof):
    signed = read_jws(proof, SESSION_TYP)
    said, key = read_canonical(signed["payload_text"]), keys.key_of(signed["kid"])
    if key is None or not isinstance(said, dict) or not verify(signed, key["jwk"]):
        raise Problem("session_proof_wrong")
    nonce = said.get("nonce")
    expected = {"v": 1, "server": shop()["server"], "device": key["device"], "person": key["person"], "nonce": nonce}
    person = person_facts(key["person"])
    fresh = isinstance(nonce, str) and current_app.extensions["witnessmark_nonces"].use(nonce, key["kid"])
    if said != expected or not fresh or person is None:
        raise Problem("session_proof_wrong")
    return key, person
