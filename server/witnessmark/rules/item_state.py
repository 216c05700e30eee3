"""The fold of one item: its entries, in any order and any number of copies, to one state.

Heads are the entries that nobody supersedes. No clock and no order of arrival takes part.
"""

from .canonical import canonical_text
from .lineage import behind, workers
from .readings import calibration_gaps, judge_reading, reading_gaps, said_by_reading

TRACK = ("result", "settlement", "corrective_action", "rejection")
SAID = ("result", "settlement")
STATUS_OF_RESULT = {"pass": "passed", "not_applicable": "not_applicable"}


def fold_item(item, entries, control_persons=1):
    """The state of a template `item` from its `entries`, a list of {"id", "payload"} of this item only.

    `control_persons`: how many countersign an item that disturbs engine or flight controls. Returns {"status", "heads",
    "countersignature", "countersigners_needed", "countersigned_by", "done", "problems", "missing", "readings",
    "history", "superseded"}; lists of ids sorted, `history` with each entry after those it supersedes.
    """
    known = {entry["id"]: entry["payload"] for entry in entries}
    track = {id: entry for id, entry in known.items() if entry["kind"] in TRACK}
    superseded = {old for entry in track.values() for old in entry["supersedes"]}
    heads = sorted(id for id in track if id not in superseded)
    ancestors = {id: set(behind(id, track)) for id in track}
    uncorrected = [id for id in heads if _uncorrected(id, track)]
    status = _status(track, heads, ancestors, uncorrected)
    standing = _standing(status, track, heads)
    needed = _countersigners_needed(item, control_persons)
    signed = _countersigned_by(known, track, heads, status)
    problems = _problems(item, status, standing, uncorrected, track)
    missing = sorted(superseded - track.keys())
    countersignature = _countersignature(needed, signed, known)
    judged = _judged(item, standing)
    if any(reading["differs"] for reading in judged.values()):
        problems.add("derived_differs")
    if missing:
        problems.add("entries_missing")
    done = status in ("passed", "not_applicable") and countersignature != "needed" and not problems
    return {"status": status, "heads": heads, "countersignature": countersignature, "countersigners_needed": needed,
            "countersigned_by": signed, "done": done, "problems": sorted(problems), "missing": missing,
            "readings": judged, "history": sorted(track, key=lambda id: (len(ancestors[id]), id)),
            "superseded": sorted(superseded & track.keys())}


def _uncorrected(id, track):
    """Does a failure stand behind this entry with no corrective action, and no settlement, in between?"""
    reached = [id, *behind(id, track, ("result", "rejection"))]
    return any(_is_fail(track[old]) for old in reached)


def _is_fail(entry):
    return entry["kind"] in SAID and entry["body"]["result"] == "fail"


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
        return "failed" if any(_is_fail(track[id]) for id in heads) else "corrected"
    if uncorrected or not heads:
        return "failed"
    if any(track[id]["kind"] == "rejection" for id in heads):
        return "rejected"
    return STATUS_OF_RESULT[track[heads[0]]["body"]["result"]]


def _standing(status, track, heads):
    """The results that stand: none while open, disputed, sent back or only corrected."""
    if status in ("open", "disputed", "corrected", "rejected"):
        return []
    return [track[id] for id in heads if track[id]["kind"] in SAID]


def _countersigned_by(known, track, heads, status):
    if status not in ("passed", "not_applicable"):
        return []
    signed = []
    for id, entry in known.items():
        if entry["kind"] == "countersignature":
            covered = entry["body"]["covers"]
            own = entry["author"]["person"] in workers(covered, track)
            if covered and not own and all(old in heads for old in covered):
                signed.append(id)
    return sorted(signed)


def _countersigners_needed(item, control_persons):
    if not item["countersign"]["needed"]:
        return 0
    return control_persons if item["countersign"]["controls"] else 1


def _countersignature(needed, signed, known):
    if not needed:
        return "not_needed"
    persons = {known[id]["author"]["person"] for id in signed}
    return "given" if len(persons) >= needed else "needed"


def _problems(item, status, standing, uncorrected, track):
    """What keeps a standing result from closing the item, as codes."""
    problems = set()
    if any(track[id]["kind"] in SAID and not _is_fail(track[id]) for id in uncorrected):
        problems.add("passed_without_correction")
    for entry in standing:
        body = entry["body"]
        if body["result"] == "pass":
            problems.update(_reading_problems(item, entry))
        if body["result"] == "not_applicable" and not item["not_applicable"]:
            problems.add("not_applicable_refused")
    if standing and _photo_missing(item, [entry["body"] for entry in standing]):
        problems.add("photo_missing")
    return problems


def _reading_problems(item, entry):
    readings, day = entry["body"]["readings"], entry["claimed_at"][:10]
    for field in item["fields"]:
        reading = readings.get(field["field"])
        yield from reading_gaps(field, reading)
        if reading:
            yield from calibration_gaps(reading, day)


def _photo_missing(item, bodies):
    needed = {"required": ("pass", "fail"), "on_fail": ("fail",)}.get(item["photo"]["rule"], ())
    return any(body["result"] in needed for body in bodies) and not any(body["photos"] for body in bodies)


def _judged(item, standing):
    if not standing:
        return {}
    readings = standing[0]["body"]["readings"]
    return {field["field"]: judge_reading(field, readings[field["field"]])
            for field in item["fields"] if field["field"] in readings}
