"""What an entry must satisfy to be taken in. Refusals are only for what no later delivery can mend by itself.

An entry that names others which are not here yet is taken: deliveries may come in any order.
"""

import json
from functools import cached_property

from sqlalchemy import select

from ..rules import acceptance
from ..rules.entry import content_id, entry_of
from ..rules.problems import Problem
from ..rules.sign_off import ROLES
from ..rules.signature import ENTRY_TYP, read_jws, verify
from . import keys, log, phones
from .cards import local_code, shown
from .clock import unix_now, unix_seconds
from .people import person_facts
from .shop import shop
from .stored import payload_of
from .tables import Card, Entry, Person, Revision

MAX_ENTRY_BYTES = 65536


def opened(text):
    """{"id", "text", "problem": None, "signed": as of `read_jws`, "payload"} of what came as an entry's text.

    What cannot be read has a Problem instead of the last two; its id is that of whatever it holds.
    """
    id = content_id(text)
    try:
        if len(text.encode()) > MAX_ENTRY_BYTES:
            raise Problem("entry_too_large", limit=MAX_ENTRY_BYTES)
        signed = read_jws(text, ENTRY_TYP)
        id = content_id(signed["payload_text"])
        return {"id": id, "text": text, "problem": None, "signed": signed, "payload": entry_of(signed, text)["payload"]}
    except Problem as problem:
        return {"id": id, "text": text, "problem": problem}


class Desk:
    """Looks at the entries of one delivery; asks the database once for what many of them share.

    `session` is that of `writing()`, `delivered` the opened entries of the whole delivery.
    """

    def __init__(self, session, delivered):
        self._session = session
        self._delivered = [entry for entry in delivered if entry["problem"] is None]
        self._cards, self._people, self._keys, self._synced, self._items, self._grew = {}, {}, {}, {}, {}, {}

    def check(self, entry, lifted=False):
        """Raise Problem unless this opened entry may stand; `lifted`: whatever an inspector may lift is lifted."""
        payload = entry["payload"]
        if payload["server"] != self._server:
            raise Problem("entry_other_server")
        self._check_card(payload)
        self.check_signature(entry)
        if keys.waits(self._key(entry)):
            raise Problem("key_unvouched", name=payload["author"]["name"])
        if not lifted:
            self._check_standing(payload, self._key(entry))
        refusal = acceptance.refusal(payload, self._facts(payload, lifted))
        refusal = refusal or acceptance.own_work(payload, self._entries_of_item(payload))
        if refusal:
            raise refusal

    def check_signature(self, entry):
        """Raise Problem unless the key of this person on this phone signed exactly this."""
        author, key = entry["payload"]["author"], self._key(entry)
        if key is None:
            raise Problem("key_unknown")
        if not verify(entry["signed"], key["jwk"]):
            raise Problem("signature_wrong", name=author["name"])
        if (key["person"], key["device"]) != (author["person"], entry["payload"]["device"]):
            raise Problem("key_of_other", name=author["name"])

    def _check_card(self, payload):
        card = self._card(payload["card"])
        if card is None:
            raise Problem("entry_card_unknown")
        for what in ("revision", "aircraft"):
            if payload[what] != card["facts"][what]:
                raise Problem("entry_card_differs", what=what)
        if payload["item"] is not None and payload["item"] not in card["items"]:
            raise Problem("entry_item_unknown", item=payload["item"])

    def _check_standing(self, payload, key):
        author = payload["author"]
        person = self._person(author["person"])
        if person is None:
            raise Problem("author_unknown")
        if any(author[name] != person[name] for name in ("name", "certificate")):
            raise Problem("author_differs", name=person["name"])
        if key["ended"] is not None:
            raise Problem("key_ended", name=person["name"], day=key["ended"]["at"][:10])
        if phones.lease_over(self._met_s(payload, key), unix_now(), payload["claimed_at"]):
            raise Problem("lease_ended", name=person["name"], days=phones.LEASE_DAYS)

    def _facts(self, payload, lifted):
        card = self._card(payload["card"])
        facts = {"person": self._person(payload["author"]["person"]), "card": card["facts"], "code": card["code"],
                 "template": card["template"]}
        return _as_if_entitled(facts, payload) if lifted else facts

    @cached_property
    def _server(self):
        return shop()["server"]

    def _card(self, card):
        if card not in self._cards:
            found = self._session.execute(select(Card, Revision.text).join(
                Revision, Card.revision == Revision.revision).where(Card.card == card)).one_or_none()
            self._cards[card] = found and _known(*found)
        return self._cards[card]

    def _person(self, person):
        if person not in self._people:
            self._people[person] = person_facts(person)
        return self._people[person]

    def _key(self, entry):
        kid = entry["signed"]["kid"]
        if kid not in self._keys:
            self._keys[kid] = keys.key_of(kid)
        return self._keys[kid]

    def _met_s(self, payload, key):
        """When the author's phone had last met the server as it signed: before the log outgrew the checkpoint it names.

        The noted sync alone would not do: a phone that was away could sync first, and send what it signed after that.
        """
        seen = payload["checkpoint"]
        known = unix_seconds(key["enrolled_at"]) if seen is None else self._grew_s(seen["size"])
        synced = self._synced_s(payload["device"])
        return synced if known is None else min(synced, known)

    def _grew_s(self, size):
        if size not in self._grew:
            self._grew[size] = log.time_after(size)
        return self._grew[size]

    def _synced_s(self, device):
        if device not in self._synced:
            self._synced[device] = phones.synced(device) or 0
        return self._synced[device]

    def _entries_of_item(self, payload):
        """{id: payload} of what is known of this entry's item, here and in this delivery; only where it is asked."""
        if payload["kind"] != "countersignature":
            return {}
        place = (payload["card"], payload["item"])
        if place not in self._items:
            rows = self._session.execute(select(Entry.id, Entry.text).where(Entry.card == place[0],
                                                                            Entry.item == place[1]))
            here = {id: payload_of(text) for id, text in rows}
            came = {entry["id"]: entry["payload"] for entry in self._delivered
                    if (entry["payload"]["card"], entry["payload"]["item"]) == place}
            self._items[place] = came | here
        return self._items[place]


def was_ever_here(session, person):
    """Is this the id of somebody who works here or did?"""
    return session.get(Person, person) is not None


def _known(card, text):
    template, facts = json.loads(text), shown(card)
    return {"facts": facts, "template": template, "code": local_code(facts["code"]),
            "items": {item["item"] for zone in template["zones"] for item in zone["items"]}}


def _as_if_entitled(facts, payload):
    """The facts as if the author held every role and a fitting certificate: an inspector answers for that."""
    statements = {key: {**said, "certificates": []} for key, said in facts["code"]["statements"].items()}
    return {**facts, "person": {**payload["author"], "roles": list(ROLES)},
            "code": {**facts["code"], "statements": statements}}
