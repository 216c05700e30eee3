"""The exchange with a phone: its entries in, an answer for each, and what it does not know yet back."""

from contextlib import nullcontext

from ..records import entries, feed
from ..records.database import writing
from ..records.shop import last_sequence, rewind, shop
from . import shapes
from .access import EVERY_ROLE, device, may_call, person
from .blueprint import Blueprint
from .body import takes_gzip
from .errors import shown
from .office import kick_office

blueprint = Blueprint("sync", __name__, url_prefix="/api", description="Phones and server agree")


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
        answer = _answer(sent, answers, touched)
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


def _answer(sent, answers, touched):
    epoch = shop()["epoch"]
    after = sent["after"] if sent["epoch"] == epoch else 0
    news, reached, more, cards = feed.news(after, {answer["id"] for answer in answers})
    return {"epoch": epoch, "sequence": reached, "more": more, "news": news, "checkpoint": None,
            "digests": entries.digests(touched | cards | set(sent["check"])),
            "answers": [{**answer, "problem": answer["problem"] and shown(answer["problem"])} for answer in answers]}
