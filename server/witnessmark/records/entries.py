"""Entries: taken in, given out, compared. Nothing here changes or deletes one."""

from sqlalchemy import insert, select

from ..rules.canonical import canonical_text
from ..rules.entry import content_id, set_digest
from ..rules.problems import Problem
from .clock import utc_text
from .database import db
from .receipt import Desk
from .tables import Change, Entry, Quarantine

AT_ONCE = 500


def receive(session, texts, person, device):
    """Take in what the phone `device`, used by `person`, sends. `session` is that of `writing()`.

    Returns (answers in order, ids of the cards touched, whether an approval came in). An answer is {"id", "verdict":
    kept | already_here | refused, "problem": Problem | None}; what is refused is kept in quarantine.
    """
    tray = _Tray(session, texts)
    desk = Desk(session, device)
    answers = [tray.answer(text, desk) for text in texts]
    tray.put_away(person, device)
    return answers, tray.cards, tray.approval


class _Tray:
    """One delivery on its way in: what is here already, what is new, what is refused."""

    def __init__(self, session, texts):
        self._session = session
        self._here = known(content_id(text) for text in texts)
        self._numbers = {}
        self._fresh, self._refused = {}, []
        self.cards, self.approval = set(self._here.values()), False

    def answer(self, text, desk):
        id = content_id(text)
        if id in self._here or id in self._fresh:
            return {"id": id, "verdict": "already_here", "problem": None}
        try:
            self._take(desk.read(text))
        except Problem as problem:
            self._refused.append((id, text, problem))
            return {"id": id, "verdict": "refused", "problem": problem}
        return {"id": id, "verdict": "kept", "problem": None}

    def _take(self, entry):
        payload = entry["payload"]
        taken = self._taken_numbers(payload["device"], payload["sequence"])
        if payload["sequence"] in taken:
            raise Problem("device_sequence_taken", sequence=payload["sequence"])
        taken.add(payload["sequence"])
        self._fresh[entry["id"]] = {
            "id": entry["id"], "card": payload["card"], "item": payload["item"], "kind": payload["kind"],
            "person": payload["author"]["person"], "device": payload["device"], "sequence": payload["sequence"],
            "received_at": utc_text(), "text": entry["text"]}
        self.cards.add(payload["card"])
        self.approval |= payload["kind"] in ("release", "disapproval")

    def _taken_numbers(self, device, sequence):
        """The numbers this phone has used, from `sequence` on; asked once when a delivery comes in order."""
        low, taken = self._numbers.get(device, (2**53, set()))
        if sequence < low:
            used = select(Entry.sequence).where(Entry.device == device, Entry.sequence.between(sequence, low - 1))
            taken.update(self._session.scalars(used))
            self._numbers[device] = (sequence, taken)
        return taken

    def put_away(self, person, device):
        if self._fresh:
            self._session.execute(insert(Entry), list(self._fresh.values()))
            self._session.execute(insert(Change), [{"entry": id} for id in self._fresh])
        for id, text, problem in self._refused:
            seen = select(Quarantine.number).where(Quarantine.id == id, Quarantine.code == problem.code)
            if self._session.scalar(seen) is None:
                self._session.add(Quarantine(id=id, code=problem.code, fields=canonical_text(problem.fields), text=text,
                                             person=person, device=device, received_at=utc_text()))
                self._session.flush()


def known(ids):
    """{id: card} of those of `ids` that are here."""
    found = {}
    for some in _in_parts(sorted(set(ids))):
        found |= dict(db.session.execute(select(Entry.id, Entry.card).where(Entry.id.in_(some))).all())
    return found


def digests(cards):
    """{card: set digest of its entries' ids}; a card nobody knows has the digest of nothing."""
    ids = {card: [] for card in cards}
    for some in _in_parts(sorted(ids)):
        for id, card in db.session.execute(select(Entry.id, Entry.card).where(Entry.card.in_(some))):
            ids[card].append(id)
    return {card: set_digest(found) for card, found in sorted(ids.items())}


def compare(card, ids):
    """{"lack": ids of `ids` that are not here, "entries": texts of the card that are not in `ids`}."""
    here = dict(db.session.execute(select(Entry.id, Entry.text).where(Entry.card == card)).all())
    return {"lack": sorted(set(ids) - here.keys()), "entries": [here[id] for id in sorted(here.keys() - set(ids))]}


def _in_parts(ids):
    return [ids[start:start + AT_ONCE] for start in range(0, len(ids), AT_ONCE)]
