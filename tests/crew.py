"""A crew that signs at the records, without HTTP: people with their keys on phones, and what the server answers."""

import json
import secrets

from sqlalchemy import select

from cast import CODE, TEMPLATE, TOOLS
from witnessmark.demo_phone import Phone, passing
from witnessmark.records import entries, keys, local_codes, shop
from witnessmark.records.clock import utc_text
from witnessmark.records.database import db, writing
from witnessmark.records.log_tables import LogRecord
from witnessmark.records.people import add_person, person_facts
from witnessmark.records.tables import Person
from witnessmark.rules.canonical import canonical_text
from witnessmark.rules.signature import VOUCH_TYP
from witnessmark.rules.vouch import VOUCH_STATEMENT

ITEMS = {item["item"]: item for zone in TEMPLATE["zones"] for item in zone["items"]}


def choose(value=CODE):
    """Let the shop follow this local code."""
    with writing() as session:
        local_codes.choose(session, local_codes.keep(session, value))


def hire(login, role, certificate="inspector"):
    """One more person. Returns the id."""
    with writing() as session:
        return add_person(session, {"login": login, "name": login.title(), "roles": [role],
                                    "password": "a cold morning in the hangar",
                                    "certificate": {"kind": certificate, "number": f"X-{login}"}})


class Member:
    """One person on one phone of their own, enrolled."""

    def __init__(self, login, phone=None):
        self.facts = person_facts(db.session.scalar(select(Person.person).where(Person.login == login)))
        self.person = self.facts["person"]
        self.phone = phone or Phone(shop.shop()["server"], utc_text, secrets.token_hex(16), CODE)
        with writing() as session:
            self.kid, _ = keys.enrol(session, self.person, self.phone.device, self.phone.key_of(self.person).jwk,
                                     "code", "Test phone")

    def passes(self, card, item, supersedes=(), changes=None, **body):
        """An entry that passes `item`; `changes` are of the payload."""
        changes = dict(changes or {})
        said = {**passing(ITEMS[item], TOOLS, None), **body}
        card = {**card, "card": changes.pop("card", card["card"])}
        return self.phone.make(self.facts, card, "result", changes.pop("item", item), said, supersedes, **changes)

    def send(self, *sent):
        """Send entries (or texts); returns [(verdict, problem code or None)]."""
        texts = [one if isinstance(one, str) else one["text"] for one in sent]
        with writing() as session:
            answers, _, _ = entries.receive(session, texts, self.person, self.phone.device)
        return [(answer["verdict"], answer["problem"] and answer["problem"].code) for answer in answers]


def vouch_text(phone, by, kid, person, /, typ=VOUCH_TYP, signer=None, **changes):
    """The JWS by which `by` vouches on their `phone` that the key `kid` is that of `person`; both are person ids.

    `changes` are of what it says; None leaves a member out.
    """
    now = phone.now()
    said = {"v": 1, "server": phone.server, "kid": kid, "person": person, "by": by, "device": phone.device,
            "statement": VOUCH_STATEMENT, "claimed_at": now, "unlocked": {"by": "code", "at": now, "use": 1}, **changes}
    said = {name: value for name, value in said.items() if value is not None}
    return (signer or phone.key_of(by)).sign(typ, canonical_text(said))


def leaves(kind=None):
    """The log's leaves, of one kind or all, as values."""
    rows = db.session.scalars(select(LogRecord.leaf).order_by(LogRecord.number))
    return [leaf for leaf in map(json.loads, rows) if kind in (None, leaf["kind"])]


def leave(login):
    """Somebody leaves the shop."""
    with writing() as session:
        session.get(Person, person_of(login)).active = 0


def person_of(login):
    """The id of a person by sign-in name."""
    return db.session.scalar(select(Person.person).where(Person.login == login))
