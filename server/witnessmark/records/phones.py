"""Phones: when each last met this server. A phone that stays away too long may sign nothing more (its lease)."""

from sqlalchemy import select

from .clock import unix_now, utc_text
from .database import db
from .log_tables import Phone

LEASE_DAYS = 14
DAY_S = 24 * 3600
NOTED_EVERY_S = 60


def synced(device):
    """When this phone last synced, in Unix seconds, or None when it never did."""
    return db.session.scalar(select(Phone.synced_s).where(Phone.device == device))


def sync_is_news(device):
    """Is the last sync noted of this phone old enough that another should be noted?"""
    last = synced(device)
    return last is None or not last <= unix_now() < last + NOTED_EVERY_S


def note_sync(session, device, label=None):
    """Note that this phone is here now; `label` is what people call it. `session` is that of `writing()`."""
    row = session.get(Phone, device)
    if row is None:
        session.add(Phone(device=device, label=label or "", first_at=utc_text(), synced_s=unix_now()))
        return
    row.synced_s = unix_now()
    row.label = row.label if label is None else label


def lease_over(synced_s, received_s, claimed_at):
    """Had a phone that last synced at `synced_s` been away for too long when it signed something at `claimed_at`?

    By the server's clock (received_s, Unix seconds) and by the phone's (claimed_at, UTC text): a phone whose clock is
    wrong alone loses nothing.
    """
    end = synced_s + LEASE_DAYS * DAY_S
    return received_s > end and claimed_at > utc_text(end)


def all_phones():
    """{device: {"label", "first_at", "synced_at"}}."""
    return {row.device: {"label": row.label, "first_at": row.first_at, "synced_at": utc_text(row.synced_s)}
            for row in db.session.scalars(select(Phone))}
