"""Entries: taken in, given out, compared. Nothing here changes or deletes one."""

from sqlalchemy import func, insert, select

from ..rules.canonical import canonical_text
from ..rules.entry import APPROVALS, content_id, set_digest
from ..rules.problems import Problem
from . import log
from .clock import utc_text
from .database import db
from .lifting import ADMITTED, lifted, not_admissible, resolve, standing_refusals
from .receipt import Desk, opened
from .tables import Change, Entry, Quarantine

AT_ONCE = 500
ALARMS = ("entry_resigned", "device_sequence_taken")
# Refused before any key of the shop was seen to have signed it. Whoever is signed in can send such texts without end:
# beyond MOST_UNPROVEN of one person's they are kept by the phone that sends them only.
UNPROVEN = ("entry_too_large", "entry_shape", "entry_other_server", "entry_card_unknown", "entry_card_differs",
            "entry_item_unknown", "jws_malformed", "jws_header", "signature_form", "not_canonical", "key_unknown",
            "signature_wrong", "json_malformed", "json_duplicate_key", "json_number", "json_text", "json_key",
            "json_too_deep", "json_too_large", "json_not_text", "json_kind")
MOST_UNPROVEN = 500


def receive(session, texts, person, device):
    """Take in what the phone `device`, used by `person`, sends. `session` is that of `writing()`.

    Returns (answers in order, ids of the cards touched, whether an approval came in). An answer is {"id", "verdict":
    kept | already_here | refused, "problem": Problem | None}; what is refused is kept in quarantine.
    """
    delivered = [opened(text) for text in texts]
    tray, desk = _Tray(session, delivered), Desk(session, delivered)
    answers = [tray.answer(entry, desk) for entry in delivered]
    tray.put_away(person, device)
    return answers, tray.cards, tray.approval


class _Tray:
    """One delivery on its way in: what is here already, what is new, what is refused."""

    def __init__(self, session, delivered):
        self._session = session
        ids = [entry["id"] for entry in delivered]
        self._texts, self.cards = {}, set()
        for some in _in_parts(sorted(set(ids))):
            for id, text, card in session.execute(select(Entry.id, Entry.text, Entry.card).where(Entry.id.in_(some))):
                self._texts[id] = text
                self.cards.add(card)
        self._stay = {id: problem for some in _in_parts(sorted(set(ids)))
                      for id, problem in standing_refusals(session, some).items()}
        self._numbers = {}
        self._fresh, self._leaves, self._refused, self._resolved = [], [], [], []
        self.approval = False

    def answer(self, entry, desk):
        id, text = entry["id"], entry["text"]
        if self._texts.get(id) == text:
            return {"id": id, "verdict": "already_here", "problem": None}
        try:
            self._look_at(entry, desk)
        except Problem as problem:
            self._refused.append((id, text, problem))
            return {"id": id, "verdict": "refused", "problem": problem}
        return {"id": id, "verdict": "kept", "problem": None}

    def _look_at(self, entry, desk):
        if entry["problem"] is not None:
            raise entry["problem"]
        if entry["id"] in self._texts:
            desk.check_signature(entry)
            raise Problem("entry_resigned")
        if entry["id"] in self._stay:
            raise self._stay[entry["id"]]
        desk.check(entry)
        if entry["payload"]["kind"] == "admission":
            self._admit(entry, desk)
        else:
            self._need_number(entry)
            self._take(entry)

    def _admit(self, admission, desk):
        taken_in, rows = lifted(self._session, admission, desk)
        if taken_in["id"] in self._texts:
            raise Problem("already_resolved")
        self._need_number(admission)
        try:
            self._need_number(taken_in)
            _need_two_numbers(taken_in["payload"], admission["payload"])
        except Problem as problem:
            raise not_admissible(problem) from problem
        self._take(taken_in, admitted_by=admission["id"])
        self._take(admission)
        self._resolved += [(row, admission["payload"]) for row in rows]

    def _take(self, entry, **how):
        payload = entry["payload"]
        self._texts[entry["id"]] = entry["text"]
        self._numbers[payload["device"]][1].add(payload["sequence"])
        self._fresh.append({
            "id": entry["id"], "card": payload["card"], "item": payload["item"], "kind": payload["kind"],
            "person": payload["author"]["person"], "device": payload["device"], "sequence": payload["sequence"],
            "received_at": utc_text(), "text": entry["text"]})
        self._leaves.append(("entry", {"id": entry["id"], "signed": content_id(entry["text"]), **how}, entry["id"]))
        self.cards.add(payload["card"])
        self.approval |= payload["kind"] in APPROVALS

    def _need_number(self, entry):
        device, sequence = entry["payload"]["device"], entry["payload"]["sequence"]
        if sequence in self._taken_numbers(device, sequence):
            raise Problem("device_sequence_taken", sequence=sequence)

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
            self._session.execute(insert(Entry), self._fresh)
            self._session.execute(insert(Change), [{"entry": entry["id"]} for entry in self._fresh])
        for id, text, problem in self._within_bounds(person):
            seen = select(Quarantine.number).where(Quarantine.id == id, Quarantine.code == problem.code)
            if self._session.scalar(seen) is None:
                self._session.add(Quarantine(id=id, code=problem.code, fields=canonical_text(problem.fields), text=text,
                                             person=person, device=device, received_at=utc_text()))
                self._session.flush()
                self._leaves.append(_refused_leaf(id, text, problem.code))
        log.append_all(self._session, self._leaves)
        for row, admission in self._resolved:
            resolve(self._session, row, ADMITTED, admission["body"]["reason"], admission["author"]["person"])


    def _within_bounds(self, person):
        unproven = [refused for refused in self._refused if refused[2].code in UNPROVEN]
        proven = [refused for refused in self._refused if refused[2].code not in UNPROVEN]
        kept = select(func.count()).select_from(Quarantine).where(Quarantine.person == person,
                                                                  Quarantine.code.in_(UNPROVEN))
        room = max(MOST_UNPROVEN - self._session.scalar(kept), 0) if unproven else 0
        return proven + unproven[:room]


def _need_two_numbers(one, other):
    if all(one[name] == other[name] for name in ("device", "sequence")):
        raise Problem("device_sequence_taken", sequence=one["sequence"])


def _refused_leaf(id, text, code):
    facts = {"id": id, "signed": content_id(text)}
    return ("alarm", {"what": code, **facts}, None) if code in ALARMS else ("refused", {"code": code, **facts}, None)


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
