"""The first tables: shop, people, aircraft, card templates, work cards, entries and their feed, photos, papers."""

import sqlalchemy as sa
from alembic import op

from witnessmark.records.database import append_only_statements

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPEND_ONLY = ("entries", "revisions", "cards", "changes", "papers", "quarantine")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade():
    people()
    access()
    cards()
    entries()
    feed_and_papers()
    for table in APPEND_ONLY:
        for statement in append_only_statements(table):
            op.execute(statement)


def people():
    op.create_table("attempts",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("wrong", WHOLE, nullable=False),
        sa.Column("not_before_s", WHOLE, nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_attempts")),
        sqlite_strict=True
    )
    op.create_table("people",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("login", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("certificate_kind", sa.Text(), nullable=False),
        sa.Column("certificate_number", sa.Text(), nullable=False),
        sa.Column("password", sa.Text(), nullable=False),
        sa.Column("active", WHOLE, nullable=False),
        sa.CheckConstraint("active IN (0, 1)", name=op.f("ck_people_active")),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_people")),
        sa.UniqueConstraint("login", name=op.f("uq_people_login")),
        sqlite_strict=True
    )
    op.create_table("shop",
        sa.Column("one", WHOLE, autoincrement=False, nullable=False),
        sa.Column("server", sa.Text(), nullable=False),
        sa.Column("epoch", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("demo", WHOLE, nullable=False),
        sa.CheckConstraint("one = 1", name=op.f("ck_shop_one")),
        sa.PrimaryKeyConstraint("one", name=op.f("pk_shop")),
        sqlite_strict=True
    )


def access():
    op.create_table("roles",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.CheckConstraint("role IN ('mechanic', 'inspector', 'author', 'reader')", name=op.f("ck_roles_role")),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_roles_person")),
        sa.PrimaryKeyConstraint("person", "role", name=op.f("pk_roles")),
        sqlite_strict=True
    )
    op.create_table("sessions",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("started_s", WHOLE, nullable=False),
        sa.Column("seen_s", WHOLE, nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_sessions_person")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sessions")),
        sqlite_strict=True
    )
    op.create_index(op.f("ix_sessions_person"), "sessions", ["person"], unique=False)
    op.create_table("sign_ins",
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("first_at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_sign_ins_person")),
        sa.PrimaryKeyConstraint("device", "person", name=op.f("pk_sign_ins")),
        sqlite_strict=True
    )


def cards():
    op.create_table("aircraft",
        sa.Column("registration", sa.Text(), nullable=False),
        sa.Column("serial_number", sa.Text(), nullable=False),
        sa.Column("model", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("registration", name=op.f("pk_aircraft")),
        sqlite_strict=True
    )
    op.create_table("revisions",
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("items", WHOLE, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_revisions")),
        sa.UniqueConstraint("revision", name=op.f("uq_revisions_revision")),
        sqlite_autoincrement=True,
        sqlite_strict=True
    )
    op.create_table("cards",
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("registration", sa.Text(), nullable=False),
        sa.Column("serial_number", sa.Text(), nullable=False),
        sa.Column("times", sa.Text(), nullable=False),
        sa.Column("issued_at", sa.Text(), nullable=False),
        sa.Column("issued_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["issued_by"], ["people.person"], name=op.f("fk_cards_issued_by")),
        sa.ForeignKeyConstraint(["registration"], ["aircraft.registration"], name=op.f("fk_cards_registration")),
        sa.ForeignKeyConstraint(["revision"], ["revisions.revision"], name=op.f("fk_cards_revision")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_cards")),
        sa.UniqueConstraint("card", name=op.f("uq_cards_card")),
        sqlite_autoincrement=True,
        sqlite_strict=True
    )


def entries():
    op.create_table("photos",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("bytes", WHOLE, nullable=False),
        sa.Column("kept_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_photos")),
        sqlite_strict=True
    )
    op.create_table("quarantine",
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("fields", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_quarantine_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_quarantine")),
        sa.UniqueConstraint("id", "code", name=op.f("uq_quarantine_id_code")),
        sqlite_autoincrement=True,
        sqlite_strict=True
    )
    op.create_table("entries",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("item", sa.Text(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("sequence", WHOLE, nullable=False),
        sa.Column("received_at", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["card"], ["cards.card"], name=op.f("fk_entries_card")),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_entries_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entries")),
        sa.UniqueConstraint("device", "sequence", name=op.f("uq_entries_device_sequence")),
        sqlite_strict=True
    )
    op.create_index(op.f("ix_entries_card"), "entries", ["card"], unique=False)


def feed_and_papers():
    op.create_table("changes",
        sa.Column("sequence", WHOLE, nullable=False),
        sa.Column("entry", sa.Text(), nullable=True),
        sa.Column("card", sa.Text(), nullable=True),
        sa.CheckConstraint("(entry IS NULL) <> (card IS NULL)", name=op.f("ck_changes_one_subject")),
        sa.ForeignKeyConstraint(["card"], ["cards.card"], name=op.f("fk_changes_card")),
        sa.ForeignKeyConstraint(["entry"], ["entries.id"], name=op.f("fk_changes_entry")),
        sa.PrimaryKeyConstraint("sequence", name=op.f("pk_changes")),
        sqlite_autoincrement=True,
        sqlite_strict=True
    )
    op.create_table("papers",
        sa.Column("release", sa.Text(), nullable=False),
        sa.Column("card", sa.Text(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("bytes", WHOLE, nullable=False),
        sa.Column("made_at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["card"], ["cards.card"], name=op.f("fk_papers_card")),
        sa.ForeignKeyConstraint(["release"], ["entries.id"], name=op.f("fk_papers_release")),
        sa.PrimaryKeyConstraint("release", name=op.f("pk_papers")),
        sqlite_strict=True
    )
    op.create_index(op.f("ix_papers_card"), "papers", ["card"], unique=False)
