"""Local codes: the sets of sentences that are signed here. A set is kept once it is chosen or written; none changes."""

import json
from functools import cache

from sqlalchemy import select

from ..config import PACKAGE
from ..rules.canonical import canonical_text, check_record_keys
from ..rules.entry import content_id
from ..rules.local_code import KEYS, check_local_code
from ..rules.problems import Problem
from . import log
from .database import db
from .log_tables import LocalCode
from .shop import shop
from .tables import Shop

FOLDER = PACKAGE / "local_codes"


@cache
def shipped():
    """{revision: value} of the sets that come with Witnessmark."""
    values = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))]
    return {content_id(canonical_text(value)): value for value in values}


def shipped_revision(code):
    """The revision of the set named `code` ("us") that comes with Witnessmark. Raises Problem `not_found`."""
    for revision, value in shipped().items():
        if value["code"] == code:
            return revision
    raise Problem("not_found", what="local code")


def keep(session, value, by=None):
    """Keep a set beside the others; `by` is a person id, None for a command. Returns its revision.

    `session` is that of `writing()`. Raises Problem `code_incomplete`, `code_slot`, `entry_shape`, `json_key`.
    """
    check_complete(value)
    check_record_keys(value)
    check_local_code(value)
    text = canonical_text(value)
    revision = content_id(text)
    if session.scalar(select(LocalCode.number).where(LocalCode.revision == revision)) is None:
        session.add(LocalCode(revision=revision, code=value["code"], title=value["title"], text=text))
        log.append(session, "local_code", {"what": "kept", "revision": revision, "code": value["code"], "by": by})
    return revision


def choose(session, revision, by=None):
    """Make this set the one that new work cards are signed by. `by` is a person id, None for a command.

    `session` is that of `writing()`. Raises Problem `not_found`.
    """
    keep(session, json.loads(code_text(revision)), by)
    session.get_one(Shop, 1).local_code = revision
    log.append(session, "local_code", {"what": "chosen", "revision": revision, "by": by})


def all_codes():
    """{"chosen": revision or None, "codes": [{"revision", "code", "title", "confirm"}]}: by name, the newest first."""
    rows = db.session.scalars(select(LocalCode).order_by(LocalCode.number.desc()))
    values = {row.revision: json.loads(row.text) for row in rows}
    values |= {revision: value for revision, value in shipped().items() if revision not in values}
    codes = [{"revision": revision, "code": value["code"], "title": value["title"], "confirm": value["confirm"]}
             for revision, value in values.items()]
    return {"chosen": shop()["local_code"], "codes": sorted(codes, key=lambda one: one["code"])}


def code_text(revision):
    """The canonical JSON of a set. Raises Problem `not_found`."""
    text = db.session.scalar(select(LocalCode.text).where(LocalCode.revision == revision))
    if text is None and revision not in shipped():
        raise Problem("not_found", what="local code")
    return text if text is not None else canonical_text(shipped()[revision])


def check_complete(value):
    """Raise Problem `code_incomplete` for a set that lacks a sentence, its source or a title."""
    statements = value.get("statements") or {}
    for key in KEYS:
        for part, what in (("text", "the sentence"), ("source", "the source of the sentence")):
            if not _said(statements.get(key, {}), part):
                raise Problem("code_incomplete", what=f"{what} \"{key}\"")
    for part in ("code", "title"):
        if not _said(value, part):
            raise Problem("code_incomplete", what=f"its {part}")


def _said(value, part):
    return isinstance(value, dict) and isinstance(value.get(part), str) and value[part].strip() != ""
