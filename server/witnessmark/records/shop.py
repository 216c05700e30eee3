"""The shop itself: its server id, its name, and the epoch of its history."""

import secrets

from sqlalchemy import func, select

from . import log
from .database import db, writing
from .tables import Change, Shop


def found(name, demo=False):
    """Make the shop when there is none yet. Returns whether it is new."""
    if db.session.get(Shop, 1):
        return False
    with writing() as session:
        session.add(Shop(one=1, server=secrets.token_hex(16), epoch=secrets.token_hex(16), name=name, demo=int(demo)))
    return True


def shop():
    """{"server", "epoch", "name", "demo", "local_code": revision or None} of this shop."""
    row = db.session.get_one(Shop, 1)
    return {"server": row.server, "epoch": row.epoch, "name": row.name, "demo": bool(row.demo),
            "local_code": row.local_code}


def new_epoch():
    """Say that history was rewound (a backup was restored): every phone will offer its entries again.

    Returns the new epoch.
    """
    with writing() as session:
        return rewind(session)


def rewind(session):
    """As `new_epoch`, within a transaction that already writes."""
    row = session.get_one(Shop, 1)
    row.epoch = secrets.token_hex(16)
    log.append(session, "rewound", {"epoch": row.epoch})
    return row.epoch


def last_sequence():
    """The newest number of the feed, 0 when nothing happened yet."""
    return db.session.scalar(select(func.max(Change.sequence))) or 0
