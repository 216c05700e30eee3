"""The tool register: which tools the shop has, and until when each is calibrated."""

from sqlalchemy import select

from .database import db
from .log_tables import Tool


def keep(session, facts):
    """Add a tool, or change the one of that serial number: {"serial", "name", "calibrated_until": day or None}.

    `session` is that of `writing()`. Entries made before keep what they say.
    """
    session.merge(Tool(**facts))


def all_tools():
    """[{"serial", "name", "calibrated_until"}] by name."""
    rows = db.session.scalars(select(Tool).order_by(Tool.name, Tool.serial))
    return [{"serial": row.serial, "name": row.name, "calibrated_until": row.calibrated_until} for row in rows]
