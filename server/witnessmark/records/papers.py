"""Papers: the sealed PDF of each release or disapproval, kept by its hash."""

from flask import current_app
from sqlalchemy import func, select

from . import log
from .clock import utc_text
from .database import db, writing
from .files import FileStore
from .tables import Entry, Paper


def open_papers(settings):
    """The folder of papers in the data folder of `settings`."""
    return FileStore(settings.data / "papers", ".pdf")


def keep(card, release, pdf):
    """Keep the sealed PDF of an approval entry; the first one stands. Returns its SHA-256."""
    sha256 = _store().keep(pdf)
    with writing() as session:
        row = session.get(Paper, release)
        if row is None:
            session.add(Paper(release=release, card=card, sha256=sha256, bytes=len(pdf), made_at=utc_text()))
            log.append(session, "paper", {"sha256": sha256, "release": release})
        else:
            sha256 = row.sha256
    return sha256


def find(card, release=None):
    """{"release", "sha256", "bytes", "made_at"} of a card's newest paper, or that of one approval, or None."""
    query = select(Paper).where(Paper.card == card).order_by(Paper.made_at.desc(), Paper.release)
    if release is not None:
        query = query.where(Paper.release == release)
    row = db.session.scalars(query).first()
    return row and {"release": row.release, "sha256": row.sha256, "bytes": row.bytes, "made_at": row.made_at}


def read(sha256):
    """The PDF's bytes."""
    return _store().read(sha256)


def due():
    """The cards with an approval that has no paper yet, each once, the newest approval first: somebody waits for it."""
    approvals = select(Entry.card).where(Entry.kind.in_(("release", "disapproval")),
                                         Entry.id.not_in(select(Paper.release)))
    newest_first = approvals.group_by(Entry.card).order_by(func.max(Entry.received_at).desc(), Entry.card)
    return list(db.session.scalars(newest_first))


def _store():
    return current_app.extensions["witnessmark_papers"]
