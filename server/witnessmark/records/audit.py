"""The audit: everything that can be worked out anew is, and compared with what is kept. Changes nothing."""

import hashlib
import json
from collections import Counter

from sqlalchemy import select

from ..rules.card_state import fold
from ..rules.entry import content_id
from ..rules.local_code import control_persons
from ..rules.signature import thumbprint
from . import cards, papers, photos
from .audit_entries import EntryAudit
from .audit_log import Line, read_leaves
from .audit_people import people_line
from .audit_vouches import VouchAudit
from .database import db
from .log_tables import Key, KeyEnd, LocalCode, Resolution
from .receipt import opened
from .shop import shop
from .tables import Card, Entry, Paper, Photo, Quarantine, Revision


def audit(attached_record):
    """Yield the Lines of an audit, each as soon as it is done. Needs the app's context.

    `attached_record` reads the record (a value) that is attached to a paper's PDF bytes, or raises ValueError.
    """
    leaves, line = read_leaves()
    yield line
    vouches = VouchAudit(leaves)
    yield from EntryAudit(leaves, vouches).lines()
    yield people_line(leaves)
    yield _same("cards", _rows(Card, cards.logged), leaves.of_kind["card"])
    yield _keys(leaves)
    yield _same("key ends", _rows(KeyEnd, lambda row: {"kid": row.kid, "why": row.why, "by": row.by}),
                leaves.of_kind["key_ended"])
    yield vouches.line()
    yield _same("refusals", _rows(Quarantine, _refusal), _refusals(leaves))
    yield _same("decisions", _rows(Resolution, _decision), leaves.of_kind["resolved"])
    yield _named_by_hash("templates", Revision)
    yield _codes(leaves)
    yield _photos()
    yield _papers(leaves, attached_record)


def _rows(table, facts):
    return [facts(row) for row in db.session.scalars(select(table))]


def _same(kind, rows, stated):
    """Compare the facts of rows with the leaves (number, facts) that state them: each exactly once on both sides."""
    told = [{name: value for name, value in facts.items() if name not in ("kind", "at")} for _, facts in stated]
    here, there = (sorted(json.dumps(one, sort_keys=True) for one in side) for side in (rows, told))
    findings = [f"Not as the log states it, or not in the log: {one}" for one in _beyond(here, there)]
    findings += [f"In the log, but not here: {one}" for one in _beyond(there, here)]
    return Line(kind, len(here), findings)


def _beyond(many, others):
    return sorted((Counter(many) - Counter(others)).elements())


def _keys(leaves):
    kept = _rows(Key, lambda row: {"kid": row.kid, "person": row.person, "device": row.device, "guard": row.guard})
    # Whether a key needs a vouch is looked at with the vouches.
    stated = [(number, {name: value for name, value in facts.items() if name != "vouch_needed"})
              for number, facts in leaves.of_kind["key"]]
    line = _same("keys", kept, stated)
    wrong = [f"The key {row.kid} is not the one of that name." for row in db.session.scalars(select(Key))
             if thumbprint(json.loads(row.jwk)) != row.kid]
    return Line("keys", line.checked, line.findings + wrong)


def _refusal(row):
    return {"id": row.id, "code": row.code, "signed": content_id(row.text)}


def _refusals(leaves):
    alarms = [(number, {"id": facts["id"], "code": facts["what"], "signed": facts["signed"]})
              for number, facts in leaves.of_kind["alarm"] if "signed" in facts]
    return leaves.of_kind["refused"] + alarms


def _decision(row):
    id = db.session.scalar(select(Quarantine.id).where(Quarantine.number == row.number))
    return {"number": row.number, "id": id, "verdict": row.verdict, "person": row.person}


def _named_by_hash(kind, table):
    rows = db.session.execute(select(table.revision, table.text)).all()
    wrong = [f"{revision[:16]} was changed: its text has another hash." for revision, text in rows
             if content_id(text) != revision]
    return Line(kind, len(rows), wrong)


def _codes(leaves):
    line = _named_by_hash("local codes", LocalCode)
    stated = {facts.get("revision") for _, facts in leaves.of_kind["local_code"]}
    used = set(db.session.scalars(select(Card.code).where(Card.code.is_not(None)).distinct()))
    lacking = [f"The log does not state the local code {revision[:16]}, which work cards follow."
               for revision in sorted(used - stated)]
    chosen = [facts.get("revision") for _, facts in leaves.of_kind["local_code"] if facts.get("what") == "chosen"]
    if shop()["local_code"] != (chosen[-1] if chosen else None):
        lacking.append("The shop signs by another local code than the one that the log states was chosen last.")
    return Line("local codes", line.checked, line.findings + lacking)


def _photos():
    findings, checked = [], 0
    for sha256 in db.session.scalars(select(Photo.sha256)):
        checked += 1
        findings += _file_wrong(f"The photo {sha256[:16]}", photos.original, sha256)
    return Line("photos", checked, findings)


def _file_wrong(what, read, sha256):
    try:
        same = hashlib.sha256(read(sha256)).hexdigest() == sha256
    except OSError:
        return [f"{what} cannot be read. Restore it from a backup."]
    return [] if same else [f"{what} was changed. Restore it from a backup."]


def _papers(leaves, attached_record):
    line = _same("papers", _rows(Paper, lambda row: {"sha256": row.sha256, "release": row.release}),
                 leaves.of_kind["paper"])
    findings = []
    for sha256 in db.session.scalars(select(Paper.sha256).distinct()):
        findings += _file_wrong(f"The paper {sha256[:16]}", papers.read, sha256) or _record_wrong(
            sha256, attached_record)
    return Line("papers", line.checked, line.findings + findings)


def _record_wrong(sha256, attached_record):
    try:
        record = attached_record(papers.read(sha256))
        entries = [{name: entry[name] for name in ("id", "text", "payload")}
                   for entry in map(opened, record["entries"])]
        state = fold(record["template"], entries, control_persons(record["local_code"]))
    except (ValueError, LookupError, TypeError) as error:
        return [f"The record in the paper {sha256[:16]} cannot be read ({type(error).__name__})."]
    findings = []
    if state != record["state"]:
        findings.append(f"The paper {sha256[:16]} shows another state than follows from its entries.")
    kept = dict(db.session.execute(select(Entry.id, Entry.text).where(Entry.card == record["card"]["card"])).all())
    if any(kept.get(entry["id"]) != entry["text"] for entry in entries):
        findings.append(f"The paper {sha256[:16]} holds entries that are not here, or not like that.")
    return findings
