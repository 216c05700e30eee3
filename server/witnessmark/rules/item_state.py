"""The fold of one item: its entries, in any order and any number of copies, to one state.

Heads are the entries that nobody supersedes. No clock and no order of arrival takes part.
"""

from .canonical import canonical_text
from .readings import judge_reading, reading_gaps, said_by_reading

TRACK = ("result", "settlement", "corrective_action")
SAID = ("result", "settlement")
STATUS_OF_RESULT = {"pass": "passed", "not_applicable": "not_applicable"}


def fold_item(item, entries):
    """The state of a template `item` from its `entries`, a list of {"id", "payload"} of this item only.

    Returns {"status", "heads", "countersignature", "countersigned_by", "done", "problems", "missing", "readings",
    "history", "superseded"}; lists of ids sorted, `history` with each entry after those it supersedes.
    """
    known = {entry["id"]: entry["payload"] for entry in entries}
    track = {id: entry for id, entry in known.items() if entry["kind"] in TRACK}
    superseded = {old for entry in track.values() for old in entry["supersedes"]}
    heads = sorted(id for id in track if id not in superseded)
    ancestors = _ancestors(track)
    uncorrected = [id for id in heads if _uncorrected(id, track)]
    status = _status(track, heads, ancestors, uncorrected)
    standing = _standing(status, track, heads)
    signed = _countersigned_by(known, track, heads, status)
    problems = _problems(item, status, standing, uncorrected, track)
    missing = sorted(superseded - track.keys())
    countersignature = _countersignature(item, signed)
    judged = _judged(item, standing)
    if any(reading["differs"] for reading in judged.values()):
        problems.add("derived_differs")
    if missing:
        problems.add("entries_missing")
    done = status in ("passed", "not_applicable") and countersignature != "needed" and not problems
    return {"status": status, "heads": heads, "countersignature": countersignature, "countersigned_by": signed,
            "done": done, "problems": sorted(problems), "missing": missing, "readings": judged,
            "history": sorted(track, key=lambda id: (len(ancestors[id]), id)),
            "superseded": sorted(superseded & track.keys())}


def _ancestors(track):
    """id -> the set of known entries it supersedes, directly or through others."""
    return {id: _behind(id, track, lambda entry: True) for id in track}


def _behind(id, track, goes_on):
    """All known entries reached from `id` by `supersedes`, walking on from those for which `goes_on(entry)`."""
    found, stack = set(), [id]
    while stack:
        entry = track[stack.pop()]
        if goes_on(entry):
            fresh = {old for old in entry["supersedes"] if old in track and old != id} - found
            found |= fresh
            stack.extend(fresh)
    return found


def _uncorrected(id, track):
    """Does a failure stand behind this entry with no corrective action, and no settlement, in between?"""
    reached = {id} | _behind(id, track, lambda entry: entry["kind"] == "result")
    return any(track[old]["kind"] in SAID and track[old]["body"]["result"] == "fail" for old in reached)


def _said(entry):
    body = entry["body"]
    readings = {name: said_by_reading(reading) for name, reading in body["readings"].items()}
    return canonical_text({"result": body["result"], "readings": readings})


def _disputed(track, ancestors):
    """Do two results, neither made in sight of the other, differ with no settlement that saw both?"""
    results = sorted(id for id in track if track[id]["kind"] in SAID)
    settlements = [id for id in results if track[id]["kind"] == "settlement"]
    said = {id: _said(track[id]) for id in results}
    for index, one in enumerate(results):
        for other in results[index + 1:]:
            apart = one not in ancestors[other] and other not in ancestors[one]
            if apart and said[one] != said[other]:
                if not any({one, other} <= ancestors[id] for id in settlements):
                    return True
    return False


def _status(track, heads, ancestors, uncorrected):
    if not track:
        return "open"
    if _disputed(track, ancestors):
        return "disputed"
    if any(track[id]["kind"] == "corrective_action" for id in heads):
        failed = any(track[id]["kind"] in SAID and track[id]["body"]["result"] == "fail" for id in heads)
        return "failed" if failed else "corrected"
    if uncorrected or not heads:
        return "failed"
    return STATUS_OF_RESULT[track[heads[0]]["body"]["result"]]


def _standing(status, track, heads):
    """The bodies of the results that stand: none while open, disputed or only corrected."""
    if status in ("open", "disputed", "corrected"):
        return []
    return [track[id]["body"] for id in heads if track[id]["kind"] in SAID]


def _countersigned_by(known, track, heads, status):
    if status not in ("passed", "not_applicable"):
        return []
    signed = []
    for id, entry in known.items():
        if entry["kind"] == "countersignature":
            covered = entry["body"]["covers"]
            others = all(old in heads and track[old]["author"]["person"] != entry["author"]["person"]
                         for old in covered)
            if covered and others:
                signed.append(id)
    return sorted(signed)


def _countersignature(item, signed):
    if not item["countersign"]["needed"]:
        return "not_needed"
    return "given" if signed else "needed"


def _problems(item, status, standing, uncorrected, track):
    """What keeps a standing result from closing the item, as codes."""
    problems = set()
    if any(track[id]["kind"] in SAID and track[id]["body"]["result"] != "fail" for id in uncorrected):
        problems.add("passed_without_correction")
    for body in standing:
        if body["result"] == "pass":
            for field in item["fields"]:
                problems.update(reading_gaps(field, body["readings"].get(field["field"])))
        if body["result"] == "not_applicable" and not item["not_applicable"]:
            problems.add("not_applicable_refused")
    if standing and _photo_missing(item, standing):
        problems.add("photo_missing")
    return problems


def _photo_missing(item, standing):
    needed = {"required": ("pass", "fail"), "on_fail": ("fail",)}.get(item["photo"]["rule"], ())
    return (any(body["result"] in needed for body in standing)
            and not any(body["photos"] for body in standing))


def _judged(item, standing):
    if not standing:
        return {}
    readings = standing[0]["readings"]
    return {field["field"]: judge_reading(field, readings[field["field"]])
            for field in item["fields"] if field["field"] in readings}
