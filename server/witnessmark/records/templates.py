"""Card templates as the database keeps them: immutable revisions, named by their hash."""

import json

from sqlalchemy import func, select

from ..rules.canonical import canonical_text
from ..rules.entry import content_id
from ..rules.problems import Problem
from .database import db, writing
from .tables import Revision


def load(template):
    """Keep a read card template (see `rules.card_template`) as its card's newest revision. Returns the revision id.

    A revision that is here already stays as it is.
    """
    text = canonical_text(template)
    revision = content_id(text)
    with writing() as session:
        if session.scalar(select(Revision.number).where(Revision.revision == revision)) is None:
            items = sum(len(zone["items"]) for zone in template["zones"])
            session.add(Revision(revision=revision, card=template["card"], title=template["title"], items=items,
                                 text=text))
    return revision


def newest_templates():
    """[{"revision", "card", "title", "items"}]: the newest revision of every card template, by title."""
    newest = select(func.max(Revision.number)).group_by(Revision.card)
    rows = db.session.scalars(select(Revision).where(Revision.number.in_(newest)).order_by(Revision.title))
    return [{"revision": row.revision, "card": row.card, "title": row.title, "items": row.items} for row in rows]


def revision_text(revision):
    """The canonical JSON of a revision. Raises Problem `not_found`."""
    text = db.session.scalar(select(Revision.text).where(Revision.revision == revision))
    if text is None:
        raise Problem("not_found", what="card template")
    return text


def template(revision):
    """The template of a revision. Raises Problem `not_found`."""
    return json.loads(revision_text(revision))
