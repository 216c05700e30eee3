"""The work card laid out for paper: facts in, the rows that `paper.html` prints out. No decision is made here."""

from ..rules.entry import read_entry
from ..rules.local_code import record_of
from .approvals import listed_discrepancies, record_name
from .attention import attention
from .entry_lines import LABEL, entry_line, shown_time, signature_line
from .trend_lines import last_inspection, trend_lines
from .witness_mark import WORDS, witness_mark

RESULT_KINDS = ("result", "settlement")
VERDICT = {
    "released": "Approved for return to service",
    "disapproved": "Disapproved for return to service",
    "contested": "Contested: not approved as it stands",
    "complete": "Complete, not released",
    "open": "Open",
}
ONLY = {"inspection": "", "inspection_part": ": this part only", "maintenance": ": the work described only"}
SIGNED = {
    "countersignature": "Countersigned",
    "result": "Recorded",
    "settlement": "Settled",
    "corrective_action": "Corrected",
    "rejection": "Sent back",
}


def sheet(facts):
    """The rows of the paper from `facts` (see `paper.paper_html`)."""
    state = facts["state"]
    entries = {entry["id"]: {**entry, "kid": read_entry(entry["text"])["kid"]} for entry in facts["entries"]}
    items = {item["item"]: item for zone in facts["template"]["zones"] for item in zone["items"]}
    numbers = {item["item"]: item["number"] for item in state["items"]}
    photos = _photos(facts, state, entries, numbers)
    photo_numbers = {photo["sha256"]: photo["number"] for photo in photos}
    admissions = _admissions(entries)
    trends = facts.get("trends", [])
    last = last_inspection(trends, facts["card"])

    def line(id):
        entry = entries[id]
        name, body = entry["payload"]["item"], entry["payload"]["body"]
        return {**entry_line(entry, items.get(name), photo_numbers, last.get(name, {})),
                "number": numbers.get(name, ""),
                "listed": listed_discrepancies(body, items, numbers), "list_date": body.get("date", ""),
                "taken_in": [{**signature_line(entries[by]), "reason": entries[by]["payload"]["body"]["reason"]}
                             for by in admissions.get(id, ())]}

    zones = [_zone(zone, state, entries, line) for zone in facts["template"]["zones"]]
    approvals = [_approval(found, entries, line) for found in state["approvals"]]
    discrepancies = [row for item in state["items"] for row in _discrepancies(item, entries, line)]
    printed = _printed(zones, discrepancies) | {approval["id"] for approval in approvals}
    printed |= {by for id in admissions.keys() & entries.keys() for by in admissions[id]}
    return {
        "verdict": VERDICT[state["status"]] + _only(facts["template"], state["status"]),
        "status": state["status"],
        "contested": state["status"] == "contested",
        "record": record_name(record_of(facts["template"])),
        "approvals": approvals,
        "zones": zones,
        "counts": _counts(state),
        "discrepancies": discrepancies,
        "earlier": [line(id) for id in _in_card_order(state, entries) if id not in printed],
        "signatures": _signatures(state, entries, numbers),
        "keys": [{"name": key["name"], "short": key["kid"][:8], "rest": key["kid"][8:]}
                 for key in sorted(facts["keys"], key=lambda key: (key["name"], key["kid"]))],
        "photos": photos,
        "trends": trend_lines(trends, numbers),
        "issued_at": shown_time(facts["card"]["issued_at"]),
    }


def _only(template, status):
    """What an approval or disapproval of a card of this template is limited to, behind the verdict."""
    return ONLY[record_of(template)] if status in ("released", "disapproved") else ""


def _zone(zone, state, entries, line):
    states = {item["item"]: item for item in state["items"]}
    rows = [_row(item, states[item["item"]], entries, line) for item in zone["items"]]
    return {"number": rows[0]["number"].partition(".")[0], "title": zone["title"], "rows": rows}


def _row(item, found, entries, line):
    countersigned = bool(found["countersigned_by"]) and found["countersignature"] != "needed"
    signers = {entries[id]["payload"]["author"]["person"] for id in found["countersigned_by"]}
    once_failed = any(entries[id]["payload"]["body"].get("result") == "fail" for id in found["history"])
    once_rejected = any(entries[id]["payload"]["kind"] == "rejection" for id in found["history"])
    return {
        "number": found["number"],
        "title": item["title"],
        "do": item["do"],
        "mark": witness_mark(found["status"], countersigned),
        "word": WORDS[found["status"]],
        "after_correction": once_failed and found["status"] == "passed",
        "sent_back": once_rejected and found["status"] != "rejected",
        "countersignature": _countersignature(found, len(signers)),
        "problems": attention(found["problems"]),
        "missing": found["missing"],
        "entries": [line(id) for id in found["history"] if id in found["heads"]],
        "countersigners": [line(id) for id in found["countersigned_by"]],
    }


def _countersignature(found, given):
    """The words for an item's countersignatures, `given` by as many persons."""
    if found["countersignature"] == "needed":
        return f"Countersigned by {given} of {found['countersigners_needed']}" if given else "Not countersigned"
    return ("Countersigned" if given == 1 else f"Countersigned by {given} persons") if given else ""


def _admissions(entries):
    """{id of an entry that was refused first: ids of the admissions that took it in, in order of their time}."""
    found = {}
    for id, entry in sorted(entries.items(), key=lambda pair: (pair[1]["payload"]["claimed_at"], pair[0])):
        if entry["payload"]["kind"] == "admission":
            found.setdefault(entry["payload"]["body"]["entry"], []).append(id)
    return found


def _printed(zones, discrepancies):
    rows = [row for zone in zones for row in zone["rows"]]
    lines = [line for row in rows for line in [*row["entries"], *row["countersigners"]]]
    lines += [line for row in discrepancies for line in [row["found"], *row["corrections"]]]
    return {line["id"] for line in lines}


def _in_card_order(state, entries):
    """Every entry id: item by item with each entry after those it supersedes, then the card's own."""
    tracks = [id for item in state["items"] for id in item["history"]]
    rest = sorted(set(entries) - set(tracks), key=lambda id: (entries[id]["payload"]["claimed_at"], id))
    return tracks + rest


def _approval(found, entries, line):
    covers = entries[found["id"]]["payload"]["body"]["covers"]
    return {**line(found["id"]), "standing": found["standing"], "covers": len(covers)}


def _counts(state):
    statuses = [item["status"] for item in state["items"]]
    counted = [(WORDS[status].lower(), statuses.count(status)) for status in WORDS if status in statuses]
    countersigned = sum(item["countersignature"] == "given" for item in state["items"])
    return [("items", len(statuses)), *counted, ("countersigned", countersigned)]


def _discrepancies(item, entries, line):
    """One row for each failure of an item: what was found, what was done, who looked again."""
    track = [entries[id] for id in item["history"]]
    rows = []
    for fail in track:
        if fail["payload"]["body"].get("result") == "fail":
            answers = _answers(fail["id"], track)
            answered = {fail["id"], *(entry["id"] for entry in answers)}
            corrections = [entry for entry in answers if entry["payload"]["kind"] == "corrective_action"]
            again = [entry for entry in track if entry["payload"]["kind"] in RESULT_KINDS
                     and answered & set(entry["payload"]["supersedes"])]
            rows.append({"number": item["number"], "found": line(fail["id"]),
                         "corrections": [line(entry["id"]) for entry in corrections],
                         "again": [line(entry["id"]) for entry in again]})
    return rows


def _answers(fail, track):
    """The corrective actions and sendings back that lead from the entry `fail` to the next look, oldest first."""
    answered, answers = {fail}, []
    for entry in track:
        if entry["payload"]["kind"] not in RESULT_KINDS and answered & set(entry["payload"]["supersedes"]):
            answered.add(entry["id"])
            answers.append(entry)
    return answers


def _signatures(state, entries, numbers):
    """Approvals, admissions, countersignatures that stand, then what stands of each person's own work."""
    rows = [_row_of(entries[found["id"]],
                    LABEL[found["kind"]] + ("" if found["standing"] else ", which no longer covers the card"))
            for found in state["approvals"]]
    for ids in _admissions(entries).values():
        rows += [_row_of(entries[id], f"Took in the refused entry {entries[id]['payload']['body']['entry'][:8]}")
                 for id in ids]
    standing = [id for item in state["items"] for id in [*item["countersigned_by"], *item["heads"]]]
    for kind, meaning in SIGNED.items():
        ids = [id for id in standing if entries[id]["payload"]["kind"] == kind]
        rows += _by_person(f"{meaning} item", ids, entries, numbers)
    return rows


def _row_of(entry, meaning):
    body = entry["payload"]["body"]
    said = body["statement"] if entry["payload"]["kind"] == "admission" else ""
    return {**signature_line(entry), "until": "", "statement": said, "reason": body.get("reason", ""),
            "meaning": meaning}


def _by_person(meaning, ids, entries, numbers):
    """One row for each person, key and statement, so that a sentence signed twenty times is printed once."""
    people = {}
    for id in ids:
        line = signature_line(entries[id])
        statement = entries[id]["payload"]["body"].get("statement", "")
        people.setdefault((line["name"], line["certificate"], line["key"], statement), []).append((line, id))
    rows = []
    for (_, _, _, statement), signed in people.items():
        times = sorted(line["time"] for line, _ in signed)
        listed = [numbers[entries[id]["payload"]["item"]] for _, id in signed]
        plural = "s" if len(listed) > 1 else ""
        rows.append({**signed[0][0], "time": times[0], "until": times[-1] if times[-1] != times[0] else "",
                     "statement": statement, "reason": "", "meaning": f"{meaning}{plural} {', '.join(listed)}"})
    return rows


def _photos(facts, state, entries, numbers):
    """Every photo that an entry names, once, in card order, numbered from 1, with all who named it."""
    found = {}
    for id in _in_card_order(state, entries):
        payload = entries[id]["payload"]
        for photo in payload["body"].get("photos", []):
            plate = found.setdefault(photo["sha256"], {"sha256": photo["sha256"], "number": len(found) + 1, "named": [],
                                                       "here": photo["sha256"] in facts["photos"]})
            plate["named"].append({"caption": photo["caption"], "item": numbers.get(payload["item"], ""),
                                   "by": payload["author"]["name"], "at": shown_time(payload["claimed_at"])})
    return list(found.values())
