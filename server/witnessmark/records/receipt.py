"""What an entry must satisfy to be taken in. Refusals are only for what no later delivery can mend by itself.

An entry that names others which are not here yet is taken: deliveries may come in any order.
"""

import json
from functools import cached_property

from sqlalchemy import select

from ..rules.entry import read_entry
from ..rules.problems import Problem
from ..rules.sign_off import MAY, may
from .people import people_of_device, person_facts
from .shop import shop
from .tables import Card, Revision

MAX_ENTRY_BYTES = 65536


class Desk:
    """Looks at the entries of one delivery; asks the database once for what many of them share.

    `session` is that of `writing()`, `device` the phone that sends.
    """

    def __init__(self, session, device):
        self._session, self._device = session, device
        self._cards, self._people, self._phones = {}, {}, {}

    def read(self, text):
        """{"id", "payload", "text"} of an entry that may stand. Raises Problem."""
        if len(text.encode("utf-8", "surrogatepass")) > MAX_ENTRY_BYTES:
            raise Problem("entry_too_large", limit=MAX_ENTRY_BYTES)
        entry = read_entry(text)
        payload = entry["payload"]
        if payload["server"] != self._server:
            raise Problem("entry_other_server")
        self._check_card(payload)
        self._check_author(payload)
        return entry

    def _check_card(self, payload):
        card = self._card(payload["card"])
        if card is None:
            raise Problem("entry_card_unknown")
        for what in ("revision", "aircraft"):
            if payload[what] != card[what]:
                raise Problem("entry_card_differs", what=what)
        if payload["item"] is not None and payload["item"] not in card["items"]:
            raise Problem("entry_item_unknown", item=payload["item"])

    def _check_author(self, payload):
        author, kind = payload["author"], payload["kind"]
        person = self._person(author["person"])
        if person is None:
            raise Problem("author_unknown")
        if any(author[name] != person[name] for name in ("name", "certificate")):
            raise Problem("author_differs", name=person["name"])
        # Until entries are signed, only a phone that knows its author may bring an entry, and only one that was there.
        if not all(author["person"] in self._signed_in(device) for device in {self._device, payload["device"]}):
            raise Problem("author_not_on_phone", name=person["name"])
        if not may(person["roles"], kind):
            raise Problem("not_allowed", name=person["name"], needs=" or ".join(MAY[kind]))

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

    def _signed_in(self, device):
        if device not in self._phones:
            self._phones[device] = people_of_device(device)
        return self._phones[device]


def _known(card, text):
    items = {item["item"] for zone in json.loads(text)["zones"] for item in zone["items"]}
    return {"revision": card.revision, "items": items,
            "aircraft": {"registration": card.registration, "serial_number": card.serial_number}}
