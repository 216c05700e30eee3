"""The tables of signing: keys and phones, the log with its tree, decisions about refused entries, codes, tools."""

from sqlalchemy import CheckConstraint, ForeignKey, text
from sqlalchemy.orm import Mapped

from .database import db
from .tables import COUNTED, STRICT, text_column, whole_column


class Key(db.Model):
    """One person's public key on one phone. `kid` is its RFC 7638 thumbprint, `jwk` its canonical text.

    `vouch_needed` is 1 for a key that signs only once somebody else has vouched for it."""

    __tablename__ = "keys"
    __table_args__ = (CheckConstraint("guard IN ('code', 'passkey')", name="guard"), STRICT)
    kid: Mapped[str] = text_column(primary_key=True)
    person: Mapped[str] = text_column(ForeignKey("people.person"), index=True)
    device: Mapped[str] = text_column(index=True)
    jwk: Mapped[str] = text_column()
    guard: Mapped[str] = text_column()
    enrolled_at: Mapped[str] = text_column()
    vouch_needed: Mapped[int] = whole_column(server_default=text("0"))


class KeyEnd(db.Model):
    """A key that signs no more, since `at`. `by` is who ended it, null when the shop's server did."""

    __tablename__ = "key_ends"
    __table_args__ = STRICT
    kid: Mapped[str] = text_column(ForeignKey("keys.kid"), primary_key=True)
    at: Mapped[str] = text_column()
    why: Mapped[str] = text_column()
    by: Mapped[str | None] = text_column(ForeignKey("people.person"), nullable=True)


class Vouch(db.Model):
    """Somebody's signed word that a new key is its person's. `person` is who vouches, `text` the JWS."""

    __tablename__ = "vouches"
    __table_args__ = STRICT
    kid: Mapped[str] = text_column(ForeignKey("keys.kid"), primary_key=True)
    person: Mapped[str] = text_column(ForeignKey("people.person"))
    text: Mapped[str] = text_column()
    at: Mapped[str] = text_column()


class Phone(db.Model):
    """A phone that met this server; `synced_s` is when it last did."""

    __tablename__ = "phones"
    __table_args__ = STRICT
    device: Mapped[str] = text_column(primary_key=True)
    label: Mapped[str] = text_column()
    first_at: Mapped[str] = text_column()
    synced_s: Mapped[int] = whole_column()


class LogRecord(db.Model):
    """One leaf of the log, numbered from 1 without a gap. `entry` is the entry whose arrival it states."""

    __tablename__ = "log"
    __table_args__ = STRICT
    number: Mapped[int] = whole_column(primary_key=True, autoincrement=False)
    kind: Mapped[str] = text_column(index=True)
    entry: Mapped[str | None] = text_column(ForeignKey("entries.id"), nullable=True, unique=True)
    leaf: Mapped[str] = text_column()


class Node(db.Model):
    """The hash of the complete subtree of 2^level leaves at `position` (RFC 9162, 2.1)."""

    __tablename__ = "nodes"
    __table_args__ = STRICT
    level: Mapped[int] = whole_column(primary_key=True, autoincrement=False)
    position: Mapped[int] = whole_column(primary_key=True, autoincrement=False)
    hash: Mapped[str] = text_column()


class Resolution(db.Model):
    """What somebody decided about a refused entry, once and for all."""

    __tablename__ = "resolutions"
    __table_args__ = (CheckConstraint("verdict IN ('admitted', 'set_aside')", name="verdict"), STRICT)
    number: Mapped[int] = whole_column(ForeignKey("quarantine.number"), primary_key=True, autoincrement=False)
    verdict: Mapped[str] = text_column()
    reason: Mapped[str] = text_column()
    person: Mapped[str] = text_column(ForeignKey("people.person"))
    at: Mapped[str] = text_column()


class LocalCode(db.Model):
    """One immutable set of sentences, named by the SHA-256 of its canonical JSON."""

    __tablename__ = "local_codes"
    __table_args__ = COUNTED
    number: Mapped[int] = whole_column(primary_key=True)
    revision: Mapped[str] = text_column(unique=True)
    code: Mapped[str] = text_column()
    title: Mapped[str] = text_column()
    text: Mapped[str] = text_column()


class Tool(db.Model):
    """A tool of the shop; `calibrated_until` is a day, null when nobody calibrates it.

    `facts` is canonical JSON as `rules/tool_facts` describes it, null when nothing is known.
    """

    __tablename__ = "tools"
    __table_args__ = STRICT
    serial: Mapped[str] = text_column(primary_key=True)
    name: Mapped[str] = text_column()
    calibrated_until: Mapped[str | None] = text_column(nullable=True)
    facts: Mapped[str | None] = text_column(nullable=True)
