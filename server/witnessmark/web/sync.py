"""The exchange with a phone: its entries in, an answer for each, and what it does not know yet back."""

from contextlib import nullcontext, suppress

from ..records import entries, feed, log, phone_facts, phones
from ..records.database import DatabaseBusy, DiskFull, writing
from ..records.shop import last_sequence, rewind, shop
from . import shapes
from .access import EVERY_ROLE, device, may_call, person
from .blueprint import Blueprint
from .body import takes_gzip
from .errors import shown
from .office import kick_office

blueprint = Blueprint("sync", __name__, url_prefix="/api", description="Phones and server agree")

STATUS = {"kept": 201, "already_here": 200}
CONFLICTS = entries.ALARMS
FORBIDDEN = ("key_unknown", "signature_wrong", "key_of_other", "author_unknown", "author_differs", "key_ended",
             "key_unvouched", "lease_ended", "not_allowed", "code_not_fresh", "certificate_unfit", "own_work")
MALFORMED = 422


@blueprint.route("/sync", methods=["POST"])
@may_call(*EVERY_ROLE)
@takes_gzip
@blueprint.arguments(shapes.Exchange)
@blueprint.response(200, shapes.ExchangeAnswer)
def exchange(sent):
    """One exchange. What is answered as kept is on disk; the same request sent again changes nothing."""
    rewound = sent["epoch"] == shop()["epoch"] and sent["after"] > last_sequence()
    approval = False
    with writing() if sent["entries"] or rewound else nullcontext() as session:
        if rewound:
            # The phone has seen more than this server has: a backup was restored without saying so.
            rewind(session)
        answers, touched = [], set()
        if sent["entries"]:
            answers, touched, approval = entries.receive(session, sent["entries"], person()["person"], device())
            # After its entries: those were signed under the lease of the sync before.
            phones.note_sync(session, device())
        answer = _answer(sent, answers, touched)
    if not sent["entries"]:
        _note_sync()
    if approval:
        kick_office()
    return answer


@blueprint.route("/cards/<card>/reconcile", methods=["POST"])
@may_call(*EVERY_ROLE)
@blueprint.arguments(shapes.Reconcile)
@blueprint.response(200, shapes.Reconciled)
def reconcile(asked, card):
    """Compare a card's entries with the phone's, when the digests differ."""
    return entries.compare(card, asked["ids"])


def _note_sync():
    """Renew the phone's lease. On a full disk people must still be able to read."""
    if phones.sync_is_news(device()):
        with suppress(DatabaseBusy, DiskFull), writing() as session:
            phones.note_sync(session, device())


def _answer(sent, answers, touched):
    epoch = shop()["epoch"]
    after = sent["after"] if sent["epoch"] == epoch else 0
    has = {answer["id"] for answer in answers if answer["problem"] is None}
    news, reached, more, cards = feed.news(after, has)
    return {"epoch": epoch, "sequence": reached, "more": more, "news": news,
            "checkpoint": {"note": log.note(), "proof": log.consistency(sent["size"])},
            "phone": phone_facts.digest(device()),
            "digests": entries.digests(touched | cards | set(sent["check"])),
            "answers": [{**answer, "status": _status(answer), "problem": answer["problem"] and shown(answer["problem"])}
                        for answer in answers]}


def _status(answer):
    """The status this entry would have been answered with, had it come alone."""
    if answer["problem"] is None:
        return STATUS[answer["verdict"]]
    code = answer["problem"].code
    return 409 if code in CONFLICTS else 403 if code in FORBIDDEN else MALFORMED
