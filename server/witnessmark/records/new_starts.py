"""New starts: somebody was given a new password. Whoever gave it could sign in, so the keys that follow are doubted."""

from . import people

NEW_START = "new_start"


def that_need_vouching(person):
    """The log's leaf {"at", "person", "by", "why", ...} of the new start because of which keys that this person sets
    up now need a vouch; None when no author gave the password. An author who gave it keeps knowing it, so one vouch
    serves one key. A new start by the command on the server's machine (`by` None) ends that."""
    starts = people.logged(NEW_START, person)
    return starts[-1] if starts and starts[-1]["by"] is not None else None
