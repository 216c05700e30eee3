"""Signing: keys and phones, the log and its tree, decisions about refused entries, local codes, tools."""

import sqlalchemy as sa
from alembic import op

from witnessmark.records.database import append_only_statements

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

APPEND_ONLY = ("keys", "key_ends", "log", "nodes", "resolutions", "local_codes")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade():
    added_columns()
    keys()
    log()
    codes_and_tools()
    for table in APPEND_ONLY:
        for statement in append_only_statements(table):
            op.execute(statement)


def added_columns():
    # Added to the end and not checked by the database: SQLite would have to copy these tables for more than that.
    op.add_column("shop", sa.Column("local_code", sa.Text(), nullable=True))
    op.add_column("roles", sa.Column("from_day", sa.Text(), nullable=True))
    op.add_column("roles", sa.Column("until_day", sa.Text(), nullable=True))
    op.add_column("cards", sa.Column("code", sa.Text(), nullable=True))


def keys():
    op.create_table("keys",
        sa.Column("kid", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("jwk", sa.Text(), nullable=False),
        sa.Column("guard", sa.Text(), nullable=False),
        sa.Column("enrolled_at", sa.Text(), nullable=False),
        sa.CheckConstraint("guard IN ('code', 'passkey')", name=op.f("ck_keys_guard")),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_keys_person")),
        sa.PrimaryKeyConstraint("kid", name=op.f("pk_keys")),
        sqlite_strict=True
    )
    op.create_index(op.f("ix_keys_device"), "keys", ["device"], unique=False)
    op.create_index(op.f("ix_keys_person"), "keys", ["person"], unique=False)
    op.create_table("key_ends",
        sa.Column("kid", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("by", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["by"], ["people.person"], name=op.f("fk_key_ends_by")),
        sa.ForeignKeyConstraint(["kid"], ["keys.kid"], name=op.f("fk_key_ends_kid")),
        sa.PrimaryKeyConstraint("kid", name=op.f("pk_key_ends")),
        sqlite_strict=True
    )
    op.create_table("phones",
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("first_at", sa.Text(), nullable=False),
        sa.Column("synced_s", WHOLE, nullable=False),
        sa.PrimaryKeyConstraint("device", name=op.f("pk_phones")),
        sqlite_strict=True
    )


def log():
    op.create_table("log",
        sa.Column("number", WHOLE, autoincrement=False, nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("entry", sa.Text(), nullable=True),
        sa.Column("leaf", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry"], ["entries.id"], name=op.f("fk_log_entry")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_log")),
        sa.UniqueConstraint("entry", name=op.f("uq_log_entry")),
        sqlite_strict=True
    )
    op.create_index(op.f("ix_log_kind"), "log", ["kind"], unique=False)
    op.create_table("nodes",
        sa.Column("level", WHOLE, autoincrement=False, nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("level", "position", name=op.f("pk_nodes")),
        sqlite_strict=True
    )
    op.create_table("resolutions",
        sa.Column("number", WHOLE, autoincrement=False, nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.CheckConstraint("verdict IN ('admitted', 'set_aside')", name=op.f("ck_resolutions_verdict")),
        sa.ForeignKeyConstraint(["number"], ["quarantine.number"], name=op.f("fk_resolutions_number")),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_resolutions_person")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_resolutions")),
        sqlite_strict=True
    )


def codes_and_tools():
    op.create_table("local_codes",
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_local_codes")),
        sa.UniqueConstraint("revision", name=op.f("uq_local_codes_revision")),
        sqlite_autoincrement=True,
        sqlite_strict=True
    )
    op.create_table("tools",
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("calibrated_until", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("serial", name=op.f("pk_tools")),
        sqlite_strict=True
    )
