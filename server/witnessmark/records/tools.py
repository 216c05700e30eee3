"""The tool register: which tools the shop has, until when each is calibrated, and what is known of it."""

import json

from sqlalchemy import select

from ..rules.canonical import canonical_text
from ..rules.tool_facts import check_facts
from .database import db
from .log_tables import Tool


def keep(session, wanted):
    """Add a tool, or change the one of that serial number; the tool as it is now, as in `all_tools`.

    `wanted`: {"serial", "name", "calibrated_until": day or None} and "facts", which stay as they were when it is
    absent: a renewed calibration must not cost a tensiometer its tables. Raises Problem for facts that cannot be used.
    `session` is that of `writing()`. Entries made before keep what they say.
    """
    columns = dict(wanted)
    if "facts" in wanted:
        facts = check_facts(wanted["facts"])
        columns["facts"] = None if facts is None else canonical_text(facts)
    return _told(session.merge(Tool(**columns)))


def all_tools():
    """[{"serial", "name", "calibrated_until", "facts": see rules/tool_facts}] by name."""
    return [_told(row) for row in db.session.scalars(select(Tool).order_by(Tool.name, Tool.serial))]


def _told(row):
    return {"serial": row.serial, "name": row.name, "calibrated_until": row.calibrated_until,
            "facts": row.facts and json.loads(row.facts)}
