"""What stands behind an entry: the entries it replaces, and whose work they are."""

MENDS = "corrective_action"


def behind(id, entries, through=None):
    """The ids, sorted, of all known entries reached from `id` by `supersedes`; `entries` is {id: payload}.

    `through`: kinds of entries to walk on from; None walks through all.
    """
    found, stack = set(), [id]
    while stack:
        entry = entries[stack.pop()]
        if through is None or entry["kind"] in through:
            fresh = {old for old in entry["supersedes"] if old in entries and old != id} - found
            found |= fresh
            stack.extend(fresh)
    return sorted(found)


def workers(ids, entries):
    """The persons, sorted, whose work the entries `ids` are: their authors, and who corrected what stands behind them.

    Ids that are not known are left out. Whoever did the work does not countersign it (compare 14 CFR 91.1429).
    """
    known = [id for id in ids if id in entries]
    mended = [old for id in known for old in behind(id, entries) if entries[old]["kind"] == MENDS]
    return sorted({entries[id]["author"]["person"] for id in [*known, *mended]})
