"""Vouching: which keys need another person's word before what they sign is taken, and those words."""

import sqlalchemy as sa
from alembic import op

from witnessmark.records.database import append_only_statements

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade():
    op.add_column("keys", sa.Column("vouch_needed", WHOLE, server_default=sa.text("0"), nullable=False))
    op.create_table("vouches",
        sa.Column("kid", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["kid"], ["keys.kid"], name=op.f("fk_vouches_kid")),
        sa.ForeignKeyConstraint(["person"], ["people.person"], name=op.f("fk_vouches_person")),
        sa.PrimaryKeyConstraint("kid", name=op.f("pk_vouches")),
        sqlite_strict=True
    )
    for statement in append_only_statements("vouches"):
        op.execute(statement)
