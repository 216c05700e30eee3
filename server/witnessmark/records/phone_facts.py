"""What a phone must know to work without the server, with a digest by which it sees that something changed."""

from ..rules.canonical import canonical_text
from ..rules.entry import content_id
from . import keys, log, people, phones, tools


def facts(device):
    """{"digest", "people": [person facts, "kid": their living key on this phone or None], "ended": [{"kid", "day",
    "why"}] of this phone, "tools", "keys": [{"kid", "jwk", "person", "name", "device", "enrolled_at", "label",
    "ended": day or None}] of all time, "log_key", "lease_days"}. `label` is what people call the phone.
    """
    own = keys.of_device(device)
    living = {key["person"]: key["kid"] for key in own if key["ended"] is None}
    named, known = people.names(), phones.all_phones()
    told = {
        "people": [{**person, "kid": living.get(person["person"])} for person in people.working_people()],
        "ended": [{"kid": key["kid"], "day": key["ended"]["at"][:10], "why": key["ended"]["why"]}
                  for key in own if key["ended"] is not None],
        "tools": tools.all_tools(),
        "keys": [{"kid": key["kid"], "jwk": key["jwk"], "person": key["person"], "name": named[key["person"]],
                  "device": key["device"], "enrolled_at": key["enrolled_at"], "label": known[key["device"]]["label"],
                  "ended": key["ended"] and key["ended"]["at"][:10]} for key in keys.all_keys()],
        "log_key": log.public_key(), "lease_days": phones.LEASE_DAYS}
    return {"digest": content_id(canonical_text(told)), **told}


def digest(device):
    """The SHA-256 of the canonical text of all other members of `facts`."""
    return facts(device)["digest"]
