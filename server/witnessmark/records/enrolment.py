"""Setting up signing: a phone shows that it holds the private half of the key it wants known as a person's."""

from ..rules.canonical import read_canonical
from ..rules.problems import Problem
from ..rules.shape import check_shape
from ..rules.signature import ENROLMENT_TYP, check_public_key, read_jws, thumbprint, verify
from . import keys
from .database import writing
from .people import working
from .shop import shop


def enrol(wanted, person, device):
    """Keep the key of `wanted` {"jwk", "guard", "label", "proof"} for `person` on `device`.

    `proof` is a JWS by that key over {"v": 1, "server", "person", "device", "guard", "claimed_at"}. Returns
    (kid, whether it is new). Raises Problem `key_form`, `enrolment_wrong`.
    """
    check_public_key(wanted["jwk"])
    _check_proof(wanted, person, device)
    with writing() as session:
        # Ended while this waited for its turn to write?
        working(session, person)
        return keys.enrol(session, person, device, wanted["jwk"], wanted["guard"], wanted["label"])


def _check_proof(wanted, person, device):
    try:
        signed = read_jws(wanted["proof"], ENROLMENT_TYP)
        said = read_canonical(signed["payload_text"])
        check_shape(said.get("claimed_at") if isinstance(said, dict) else None, ["time"], "proof.claimed_at")
    except Problem as problem:
        raise Problem("enrolment_wrong", why="the proof of the key cannot be read") from problem
    if signed["kid"] != thumbprint(wanted["jwk"]) or not verify(signed, wanted["jwk"]):
        raise Problem("enrolment_wrong", why="the proof was not signed by this key")
    expected = {"v": 1, "server": shop()["server"], "person": person, "device": device, "guard": wanted["guard"],
                "claimed_at": said["claimed_at"]}
    if said != expected:
        raise Problem("enrolment_wrong", why="the proof is for another person, phone or server")
