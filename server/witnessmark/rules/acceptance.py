"""May a signed entry stand? What only the server can say: who held which authority when it arrived."""

from .lineage import workers
from .local_code import record_of, slots_of, statement, statement_key
from .problems import Problem
from .sign_off import FRESH, MAY, certificate_fits, may

# What an inspector may lift by a signed admission: the entry is genuine, only its author's standing was in doubt.
ADMISSIBLE = ("key_ended", "lease_ended", "not_allowed", "author_differs", "author_unknown", "certificate_unfit")


def refusal(payload, facts):
    """The Problem that keeps an entry from standing, or None.

    `facts` = {"person": the author's facts at receipt, "card": as in the API, "code": its local code, "template"}.
    """
    person, kind, body = facts["person"], payload["kind"], payload["body"]
    record = body.get("record")
    if not may(person["roles"], kind):
        return Problem("not_allowed", name=person["name"], needs=" or ".join(MAY[kind]))
    if kind in FRESH and payload["unlocked"]["use"] != 1:
        return Problem("code_not_fresh")
    if record is not None and record != record_of(facts["template"]):
        return Problem("record_unfit", record=record.replace("_", " "))
    key = statement_key(kind, record)
    if key is None:
        return None
    if body["statement"] != statement(facts["code"], key, slots_of(facts["card"], body)):
        return Problem("statement_differs")
    held = person["certificate"]["kind"]
    if not certificate_fits(facts["code"], key, held):
        needs = " or ".join(facts["code"]["statements"][key]["certificates"])
        return Problem("certificate_unfit", name=person["name"], kind=held, needs=needs)
    return None


def own_work(payload, covered):
    """The Problem `own_work` when the author countersigns their own; `covered` = {id: payload} of what is known here.

    `covered` holds the entries named and those behind them. What is not known yet is judged by the fold.
    """
    if payload["kind"] != "countersignature":
        return None
    own = payload["author"]["person"] in workers(payload["body"]["covers"], covered)
    return Problem("own_work") if own else None


def own_admission(payload, author):
    """The Problem `own_work` when somebody takes in their own refused entry; `author` is that entry's person."""
    return Problem("own_work") if payload["author"]["person"] == author else None
