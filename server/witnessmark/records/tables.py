"""The tables. Hashes and ids are lower-case hex, times are UTC text to the second or whole Unix seconds (`..._s`).

What somebody signed is kept as the exact text; the other columns exist to search by. Which tables only grow is in
`database.APPEND_ONLY`.
"""

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Integer, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from .database import db

# AUTOINCREMENT, because a number once given to a phone as its place in the feed must never be given again.
STRICT = {"sqlite_strict": True}
COUNTED = {"sqlite_strict": True, "sqlite_autoincrement": True}
Whole = BigInteger().with_variant(Integer, "sqlite")


def _text(*args, **kwargs):
    return mapped_column(Text, *args, nullable=kwargs.pop("nullable", False), **kwargs)


def _whole(*args, **kwargs):
    return mapped_column(Whole, *args, nullable=False, **kwargs)


class Shop(db.Model):
    """The one shop of this server. `epoch` names the history: a restored backup gets a new one."""

    __tablename__ = "shop"
    __table_args__ = (CheckConstraint("one = 1", name="one"), STRICT)
    one: Mapped[int] = _whole(primary_key=True, autoincrement=False)
    server: Mapped[str] = _text()
    epoch: Mapped[str] = _text()
    name: Mapped[str] = _text()
    demo: Mapped[int] = _whole()


class Person(db.Model):
    """Never deleted: a person id stands in entries for ever. Who leaves is set to `active` 0."""

    __tablename__ = "people"
    __table_args__ = (CheckConstraint("active IN (0, 1)", name="active"), STRICT)
    person: Mapped[str] = _text(primary_key=True)
    login: Mapped[str] = _text(unique=True)
    name: Mapped[str] = _text()
    certificate_kind: Mapped[str] = _text()
    certificate_number: Mapped[str] = _text()
    password: Mapped[str] = _text()
    active: Mapped[int] = _whole()


class Role(db.Model):
    __tablename__ = "roles"
    __table_args__ = (CheckConstraint("role IN ('mechanic', 'inspector', 'author', 'reader')", name="role"), STRICT)
    person: Mapped[str] = _text(ForeignKey("people.person"), primary_key=True)
    role: Mapped[str] = _text(primary_key=True)


class SignIn(db.Model):
    """Who has ever signed in on which phone: whose entries that phone may bring."""

    __tablename__ = "sign_ins"
    __table_args__ = STRICT
    device: Mapped[str] = _text(primary_key=True)
    person: Mapped[str] = _text(ForeignKey("people.person"), primary_key=True)
    first_at: Mapped[str] = _text()


class Session(db.Model):
    """A signed-in browser. Only the hash of its token is kept, so the table cannot be used to sign in."""

    __tablename__ = "sessions"
    __table_args__ = STRICT
    token_hash: Mapped[str] = _text(primary_key=True)
    person: Mapped[str] = _text(ForeignKey("people.person"), index=True)
    device: Mapped[str] = _text()
    started_s: Mapped[int] = _whole()
    seen_s: Mapped[int] = _whole()


class Attempts(db.Model):
    """Wrong passwords in a row for one sign-in name (on a phone it knows: for that phone)."""

    __tablename__ = "attempts"
    __table_args__ = STRICT
    key: Mapped[str] = _text(primary_key=True)
    wrong: Mapped[int] = _whole()
    not_before_s: Mapped[int] = _whole()


class Aircraft(db.Model):
    __tablename__ = "aircraft"
    __table_args__ = STRICT
    registration: Mapped[str] = _text(primary_key=True)
    serial_number: Mapped[str] = _text()
    model: Mapped[str] = _text()


class Revision(db.Model):
    """One immutable state of a card template, named by the SHA-256 of its canonical JSON."""

    __tablename__ = "revisions"
    __table_args__ = COUNTED
    number: Mapped[int] = _whole(primary_key=True)
    revision: Mapped[str] = _text(unique=True)
    card: Mapped[str] = _text()
    title: Mapped[str] = _text()
    items: Mapped[int] = _whole()
    text: Mapped[str] = _text()


class Card(db.Model):
    __tablename__ = "cards"
    __table_args__ = COUNTED
    number: Mapped[int] = _whole(primary_key=True)
    card: Mapped[str] = _text(unique=True)
    revision: Mapped[str] = _text(ForeignKey("revisions.revision"))
    registration: Mapped[str] = _text(ForeignKey("aircraft.registration"))
    serial_number: Mapped[str] = _text()
    times: Mapped[str] = _text()
    issued_at: Mapped[str] = _text()
    issued_by: Mapped[str] = _text(ForeignKey("people.person"))


class Entry(db.Model):
    __tablename__ = "entries"
    __table_args__ = (UniqueConstraint("device", "sequence"), STRICT)
    id: Mapped[str] = _text(primary_key=True)
    card: Mapped[str] = _text(ForeignKey("cards.card"), index=True)
    item: Mapped[str | None] = _text(nullable=True)
    kind: Mapped[str] = _text()
    person: Mapped[str] = _text(ForeignKey("people.person"))
    device: Mapped[str] = _text()
    sequence: Mapped[int] = _whole()
    received_at: Mapped[str] = _text()
    text: Mapped[str] = _text()


class Change(db.Model):
    """The feed: what became known here, in the order it did. A phone's cursor is a number of this table."""

    __tablename__ = "changes"
    __table_args__ = (CheckConstraint("(entry IS NULL) <> (card IS NULL)", name="one_subject"), COUNTED)
    sequence: Mapped[int] = _whole(primary_key=True)
    entry: Mapped[str | None] = _text(ForeignKey("entries.id"), nullable=True)
    card: Mapped[str | None] = _text(ForeignKey("cards.card"), nullable=True)


class Quarantine(db.Model):
    """What a phone sent and the server did not take, with the reason; kept for ever."""

    __tablename__ = "quarantine"
    __table_args__ = (UniqueConstraint("id", "code"), COUNTED)
    number: Mapped[int] = _whole(primary_key=True)
    id: Mapped[str] = _text()
    code: Mapped[str] = _text()
    fields: Mapped[str] = _text()
    person: Mapped[str] = _text(ForeignKey("people.person"))
    device: Mapped[str] = _text()
    received_at: Mapped[str] = _text()
    text: Mapped[str] = _text()


class Photo(db.Model):
    __tablename__ = "photos"
    __table_args__ = STRICT
    sha256: Mapped[str] = _text(primary_key=True)
    bytes: Mapped[int] = _whole()
    kept_at: Mapped[str] = _text()


class Paper(db.Model):
    __tablename__ = "papers"
    __table_args__ = STRICT
    release: Mapped[str] = _text(ForeignKey("entries.id"), primary_key=True)
    card: Mapped[str] = _text(ForeignKey("cards.card"), index=True)
    sha256: Mapped[str] = _text()
    bytes: Mapped[int] = _whole()
    made_at: Mapped[str] = _text()
