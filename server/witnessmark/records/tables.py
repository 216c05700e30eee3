"""The tables. Hashes and ids are lower-case hex, times are UTC text to the second or whole Unix seconds (`..._s`).

What somebody signed is kept as the exact text; the other columns exist to search by. Which tables only grow is in
`database.APPEND_ONLY`. Keys and the log are in `log_tables`.
"""

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Integer, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from .database import db

# AUTOINCREMENT, because a number once given to a phone as its place in the feed must never be given again.
STRICT = {"sqlite_strict": True}
COUNTED = {"sqlite_strict": True, "sqlite_autoincrement": True}
Whole = BigInteger().with_variant(Integer, "sqlite")


def text_column(*args, **kwargs):
    return mapped_column(Text, *args, nullable=kwargs.pop("nullable", False), **kwargs)


def whole_column(*args, **kwargs):
    return mapped_column(Whole, *args, nullable=False, **kwargs)


class Shop(db.Model):
    """The one shop of this server. `epoch` names the history: a restored backup gets a new one."""

    __tablename__ = "shop"
    __table_args__ = (CheckConstraint("one = 1", name="one"), STRICT)
    one: Mapped[int] = whole_column(primary_key=True, autoincrement=False)
    server: Mapped[str] = text_column()
    epoch: Mapped[str] = text_column()
    name: Mapped[str] = text_column()
    demo: Mapped[int] = whole_column()
    local_code: Mapped[str | None] = text_column(nullable=True)


class Person(db.Model):
    """Never deleted: a person id stands in entries for ever. Who leaves is set to `active` 0."""

    __tablename__ = "people"
    __table_args__ = (CheckConstraint("active IN (0, 1)", name="active"), STRICT)
    person: Mapped[str] = text_column(primary_key=True)
    login: Mapped[str] = text_column(unique=True)
    name: Mapped[str] = text_column()
    certificate_kind: Mapped[str] = text_column()
    certificate_number: Mapped[str] = text_column()
    password: Mapped[str] = text_column()
    active: Mapped[int] = whole_column()


class Role(db.Model):
    __tablename__ = "roles"
    __table_args__ = (CheckConstraint("role IN ('mechanic', 'inspector', 'author', 'reader')", name="role"), STRICT)
    person: Mapped[str] = text_column(ForeignKey("people.person"), primary_key=True)
    role: Mapped[str] = text_column(primary_key=True)
    from_day: Mapped[str | None] = text_column(nullable=True)
    until_day: Mapped[str | None] = text_column(nullable=True)


class SignIn(db.Model):
    """Who has ever signed in on which phone: their wrong passwords on it are counted apart."""

    __tablename__ = "sign_ins"
    __table_args__ = STRICT
    device: Mapped[str] = text_column(primary_key=True)
    person: Mapped[str] = text_column(ForeignKey("people.person"), primary_key=True)
    first_at: Mapped[str] = text_column()


class Session(db.Model):
    """A signed-in browser. Only the hash of its token is kept, so the table cannot be used to sign in."""

    __tablename__ = "sessions"
    __table_args__ = STRICT
    token_hash: Mapped[str] = text_column(primary_key=True)
    person: Mapped[str] = text_column(ForeignKey("people.person"), index=True)
    device: Mapped[str] = text_column()
    started_s: Mapped[int] = whole_column()
    seen_s: Mapped[int] = whole_column()


class Attempts(db.Model):
    """Wrong passwords in a row for one sign-in name (on a phone it knows: for that phone)."""

    __tablename__ = "attempts"
    __table_args__ = STRICT
    key: Mapped[str] = text_column(primary_key=True)
    wrong: Mapped[int] = whole_column()
    not_before_s: Mapped[int] = whole_column()


class Aircraft(db.Model):
    __tablename__ = "aircraft"
    __table_args__ = STRICT
    registration: Mapped[str] = text_column(primary_key=True)
    serial_number: Mapped[str] = text_column()
    model: Mapped[str] = text_column()


class Revision(db.Model):
    """One immutable state of a card template, named by the SHA-256 of its canonical JSON."""

    __tablename__ = "revisions"
    __table_args__ = COUNTED
    number: Mapped[int] = whole_column(primary_key=True)
    revision: Mapped[str] = text_column(unique=True)
    card: Mapped[str] = text_column()
    title: Mapped[str] = text_column()
    items: Mapped[int] = whole_column()
    text: Mapped[str] = text_column()


class Card(db.Model):
    __tablename__ = "cards"
    __table_args__ = COUNTED
    number: Mapped[int] = whole_column(primary_key=True)
    card: Mapped[str] = text_column(unique=True)
    revision: Mapped[str] = text_column(ForeignKey("revisions.revision"))
    registration: Mapped[str] = text_column(ForeignKey("aircraft.registration"))
    serial_number: Mapped[str] = text_column()
    times: Mapped[str] = text_column()
    issued_at: Mapped[str] = text_column()
    issued_by: Mapped[str] = text_column(ForeignKey("people.person"))
    code: Mapped[str | None] = text_column(nullable=True)


class Entry(db.Model):
    """`text` is the JWS as it came, `id` the SHA-256 of the payload it signs."""

    __tablename__ = "entries"
    __table_args__ = (UniqueConstraint("device", "sequence"), STRICT)
    id: Mapped[str] = text_column(primary_key=True)
    card: Mapped[str] = text_column(ForeignKey("cards.card"), index=True)
    item: Mapped[str | None] = text_column(nullable=True)
    kind: Mapped[str] = text_column()
    person: Mapped[str] = text_column(ForeignKey("people.person"))
    device: Mapped[str] = text_column()
    sequence: Mapped[int] = whole_column()
    received_at: Mapped[str] = text_column()
    text: Mapped[str] = text_column()


class Change(db.Model):
    """The feed: what became known here, in the order it did. A phone's cursor is a number of this table."""

    __tablename__ = "changes"
    __table_args__ = (CheckConstraint("(entry IS NULL) <> (card IS NULL)", name="one_subject"), COUNTED)
    sequence: Mapped[int] = whole_column(primary_key=True)
    entry: Mapped[str | None] = text_column(ForeignKey("entries.id"), nullable=True)
    card: Mapped[str | None] = text_column(ForeignKey("cards.card"), nullable=True)


class Quarantine(db.Model):
    """What a phone sent and the server did not take, with the reason; kept for ever."""

    __tablename__ = "quarantine"
    __table_args__ = (UniqueConstraint("id", "code"), COUNTED)
    number: Mapped[int] = whole_column(primary_key=True)
    id: Mapped[str] = text_column()
    code: Mapped[str] = text_column()
    fields: Mapped[str] = text_column()
    person: Mapped[str] = text_column(ForeignKey("people.person"))
    device: Mapped[str] = text_column()
    received_at: Mapped[str] = text_column()
    text: Mapped[str] = text_column()


class Photo(db.Model):
    __tablename__ = "photos"
    __table_args__ = STRICT
    sha256: Mapped[str] = text_column(primary_key=True)
    bytes: Mapped[int] = whole_column()
    kept_at: Mapped[str] = text_column()


class Paper(db.Model):
    __tablename__ = "papers"
    __table_args__ = STRICT
    release: Mapped[str] = text_column(ForeignKey("entries.id"), primary_key=True)
    card: Mapped[str] = text_column(ForeignKey("cards.card"), index=True)
    sha256: Mapped[str] = text_column()
    bytes: Mapped[int] = whole_column()
    made_at: Mapped[str] = text_column()
