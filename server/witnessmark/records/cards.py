"""Work cards: issued from a template revision against one aircraft, read back with their entries."""

import json
import secrets

from sqlalchemy import select

from ..rules.canonical import canonical_text
from ..rules.card_state import fold
from ..rules.local_code import control_persons
from ..rules.problems import Problem
from . import log, templates
from .clock import utc_text
from .database import db, writing
from .log_tables import LocalCode
from .shop import shop
from .stored import payload_of
from .tables import Aircraft, Card, Change, Entry, Revision


def add_aircraft(session, facts):
    """Add an aircraft: {"registration", "serial_number", "model"}. `session` is that of `writing()`."""
    session.add(Aircraft(**facts))


def all_aircraft():
    """[{"registration", "serial_number", "model"}] by registration."""
    rows = db.session.scalars(select(Aircraft).order_by(Aircraft.registration))
    return [{"registration": row.registration, "serial_number": row.serial_number, "model": row.model} for row in rows]


def issue(revision, registration, times, person, issued_at=None):
    """Issue a work card. `times` is {meter: {"value", "unit"}} as read at issue, `person` an id. Returns the card.

    It keeps the shop's local code of this moment. `issued_at` is for invented history; without it the card is issued
    now. Raises Problem `not_found` for an unknown revision or aircraft, or when the shop has chosen no local code.
    """
    with writing() as session:
        if session.scalar(select(Revision.number).where(Revision.revision == revision)) is None:
            raise Problem("not_found", what="card template")
        aircraft = session.get(Aircraft, registration)
        if aircraft is None:
            raise Problem("not_found", what="aircraft")
        code = shop()["local_code"]
        if code is None:
            raise Problem("not_found", what="local code")
        row = Card(card=secrets.token_hex(16), revision=revision, registration=registration,
                   serial_number=aircraft.serial_number, times=canonical_text(times), issued_at=issued_at or utc_text(),
                   issued_by=person, code=code)
        session.add(row)
        session.flush()
        session.add(Change(card=row.card))
        log.append(session, "card", logged(row))
        card = row.card
    return card_of(card)


def card_of(card):
    """The card as in the API. Raises Problem `not_found`."""
    row = db.session.scalar(select(Card).where(Card.card == card))
    if row is None:
        raise Problem("not_found", what="work card")
    return shown(row)


def shown(row):
    """A row of cards as in the API."""
    title = db.session.scalar(select(Revision.title).where(Revision.revision == row.revision))
    return {"card": row.card, "revision": row.revision, "title": title, **identity(row),
            "issued_at": row.issued_at, "issued_by": row.issued_by, "code": code_of(row)}


def identity(row):
    """What of a card as in the API its row says alone: {"number", "aircraft", "times"}."""
    return {"number": f"WC-{row.number:04}", "times": json.loads(row.times),
            "aircraft": {"registration": row.registration, "serial_number": row.serial_number}}


def code_of(row):
    """The local code of a row of cards. One issued before there were local codes follows the shop's."""
    return row.code or shop()["local_code"]


def logged(row):
    """What the log says of a card: every fact of its row."""
    return {"card": row.card, "number": row.number, "revision": row.revision, "code": row.code,
            "registration": row.registration, "serial_number": row.serial_number, "times": json.loads(row.times),
            "issued_at": row.issued_at, "issued_by": row.issued_by}


def local_code(revision):
    """The local code (see `rules.local_code`) of this revision. Raises Problem `not_found`."""
    text = db.session.scalar(select(LocalCode.text).where(LocalCode.revision == revision))
    if text is None:
        raise Problem("not_found", what="local code")
    return json.loads(text)


def all_cards():
    """Every card, newest first."""
    return [shown(row) for row in db.session.scalars(select(Card).order_by(Card.number.desc()))]


def entries_of(card):
    """[{"id", "text", "payload"}] of a card, by id."""
    rows = db.session.execute(select(Entry.id, Entry.text).where(Entry.card == card).order_by(Entry.id))
    return [{"id": id, "text": text, "payload": payload_of(text)} for id, text in rows]


def card_facts(card):
    """Everything a card's paper is made from, but its photos.

    {"shop": {"name", "demo"}, "server", "card", "template", "code": the parsed local code, "state", "entries":
    [{"id", "text", "payload"}]}. Raises Problem `not_found`.
    """
    found, here, entries = card_of(card), shop(), entries_of(card)
    template, code = templates.template(found["revision"]), local_code(found["code"])
    return {"shop": {"name": here["name"], "demo": here["demo"]}, "server": here["server"], "card": found,
            "template": template, "code": code, "state": fold(template, entries, control_persons(code)),
            "entries": entries}


def photos_of(entries):
    """The SHA-256 of every photo that these entries name, sorted."""
    return sorted({photo["sha256"] for entry in entries for photo in entry["payload"]["body"].get("photos", [])})
