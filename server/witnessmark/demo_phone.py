"""A phone without a screen: makes and signs entries by the shop's own rules. The demo and the tests use it."""

import secrets

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from .demo_readings import fitting_reading
from .rules.base64url import base64url_text
from .rules.canonical import canonical_text
from .rules.card_state import fold
from .rules.entry import INSPECTIONS, content_id, entry_text, make_entry
from .rules.local_code import control_persons, record_of, slots_of, statement, statement_key
from .rules.signature import ENROLMENT_TYP, ENTRY_TYP, finish_jws, signing_input, thumbprint


class Key:
    """One person's signing key on one phone. `jwk` is its public part, `kid` names it."""

    def __init__(self):
        self._private = ec.generate_private_key(ec.SECP256R1())
        point = self._private.public_key().public_numbers()
        self.jwk = {"crv": "P-256", "kty": "EC", "x": base64url_text(point.x.to_bytes(32)),
                    "y": base64url_text(point.y.to_bytes(32))}
        self.kid = thumbprint(self.jwk)

    def sign(self, typ, payload_text):
        """The JWS over `payload_text`, of the type `typ`."""
        der = self._private.sign(signing_input(self.kid, typ, payload_text).encode(), ec.ECDSA(SHA256()))
        r, s = decode_dss_signature(der)
        return finish_jws(self.kid, typ, payload_text, r.to_bytes(32) + s.to_bytes(32))


class Phone:
    """One phone. `server` is the server id; `now` returns the claimed time as UTC text; `code` is the local code."""

    def __init__(self, server, now, device=None, code=None):
        self.server, self.now, self.code = server, now, code
        self.device = device or secrets.token_hex(16)
        self.sequence, self.previous, self.checkpoint = 0, None, None
        self.keys = {}

    def key_of(self, person):
        """The key of a person id on this phone, made when first asked for."""
        if person not in self.keys:
            self.keys[person] = Key()
        return self.keys[person]

    def enrolment(self, person):
        """What enrols a person id's key: {"jwk", "guard", "label", "proof"}."""
        key = self.key_of(person)
        proof = canonical_text({"v": 1, "server": self.server, "person": person, "device": self.device,
                                "guard": "code", "claimed_at": self.now()})
        return {"jwk": key.jwk, "guard": "code", "label": "Phone without a screen",
                "proof": key.sign(ENROLMENT_TYP, proof)}

    def make(self, person, card, kind, item, body, supersedes=(), **changes):
        """A new entry {"id", "payload", "text", "kid"} by `person` (facts as in the API) on `card` (as in the API).

        `changes` replace members of the payload.
        """
        now = self.now()
        author = {name: person[name] for name in ("person", "name", "certificate")}
        payload = make_entry({
            "kind": kind, "server": self.server, "card": card["card"], "revision": card["revision"],
            "aircraft": card["aircraft"], "item": item, "supersedes": list(supersedes), "author": author,
            "device": self.device, "sequence": self.sequence + 1, "previous": self.previous,
            "checkpoint": self.checkpoint, "claimed_at": now, "unlocked": {"by": "code", "at": now, "use": 1},
            "body": body, **changes})
        key, text = self.key_of(person["person"]), entry_text(payload)
        self.sequence, self.previous = payload["sequence"], content_id(text)
        return {"id": self.previous, "payload": payload, "text": key.sign(ENTRY_TYP, text), "kid": key.kid}

    def countersign(self, person, card, item, covers):
        """A countersignature of the entries `covers`."""
        return self.make(person, card, "countersignature", item,
                         {"covers": list(covers), "statement": self._statement("countersignature", None, card, {})})

    def send_back(self, person, card, item, heads, reason):
        """A rejection of the entries `heads`."""
        return self.make(person, card, "rejection", item, {"reason": reason, "photos": []}, heads)

    def admit(self, person, card, entry, reason):
        """An admission of the refused entry with the id `entry`."""
        body = {"entry": entry, "reason": reason, "statement": self._statement("admission", None, card, {})}
        return self.make(person, card, "admission", None, body)

    def release(self, person, card, template, entries, supersedes=()):
        """A release that covers the card as it stands with `entries`."""
        return self.make(person, card, "release", None, self.approval("release", card, template, entries), supersedes)

    def disapprove(self, person, card, template, entries, discrepancies):
        """A disapproval that hands over `discrepancies`, [{"item", "what", "where"}]."""
        body = self.approval("disapproval", card, template, entries, discrepancies)
        return self.make(person, card, "disapproval", None, body)

    def approval(self, kind, card, template, entries, discrepancies=()):
        """The body of a release or a disapproval of the card as it stands with `entries`."""
        record, day = record_of(template), self.now()[:10]
        inspected = record in INSPECTIONS
        body = {"covers": fold(template, entries, control_persons(self.code))["covers"], "record": record, "date": day,
                "inspection": {"type": template["inspection"], "extent": template["scope"]} if inspected else None,
                "work": None if inspected else {"description": template["scope"], "completed_on": day, "by": []},
                "times": card["times"], "discrepancies": list(discrepancies)}
        return {**body, "statement": self._statement(kind, record, card, body)}

    def _statement(self, kind, record, card, body):
        return statement(self.code, statement_key(kind, record), slots_of(card, body))


def passing(item, tools, photo):
    """The body of a result that passes `item`. `tools`: {kind: {"serial", "calibrated_until"}}, "" for all others."""
    readings = {field["field"]: fitting_reading(field, tools) for field in item["fields"]}
    photos = [photo(item)] if item["photo"]["rule"] == "required" else []
    return {"result": "pass", "readings": readings, "note": "", "photos": photos, "discrepancy": None}


def failing(what, where):
    """The body of a result that fails an item."""
    return {"result": "fail", "readings": {}, "note": "", "photos": [], "discrepancy": {"what": what, "where": where}}
