"""Tools: what the register knows of one beyond its name and its day, as canonical JSON."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade():
    op.add_column("tools", sa.Column("facts", sa.Text(), nullable=True))
