"""The office: makes each paper that is due once, seals it and hands it to the records, which keep it for ever."""

import logging
import threading
from collections import namedtuple
from concurrent.futures import ThreadPoolExecutor

from ..records import cards, papers, people, photos, trends
from .paper import RECORD_NAME, paper_html, record_bytes
from .proofs import checkpoint, signing_keys
from .renderer import Renderer, RenderFailed
from .seal import seal

LOG = logging.getLogger(__name__)
FAULT = ("The paper could not be made because of a fault in the program, which the server's log describes. Nothing is "
         "lost: it is tried again after the next sync. Show the log to whoever looks after the server.")
NOT_APPROVED = "The paper is made when the card is released or disapproved."
BEING_MADE = "The paper is being made. Look again in a few seconds."
NO_LONGER_COVERED = "Entries arrived that the release does not cover. The paper is made when the card is released anew."

Waiting = namedtuple("Waiting", "card sentence")


class Office:
    """Makes papers in one background thread, woken by `kick`. `seal_key`: PKCS#12 bytes (see `seal.open_seal_key`)."""

    def __init__(self, app, seal_key, renderer=None):
        self._app = app
        self._seal_key = seal_key
        self._renderer = renderer or Renderer()
        self._making = threading.Lock()
        self._lock = threading.Lock()
        self._thread = None
        self._again = False
        self._closing = threading.Event()
        self._failed = {}

    def kick(self):
        """Look for papers that are due, soon and in another thread. For after every change and at start."""
        with self._lock:
            self._again = True
            if self._thread is None or not self._thread.is_alive():
                self._thread = threading.Thread(target=self._work, name="witnessmark-office", daemon=True)
                self._thread.start()

    def close(self, seconds=10):
        """Wait for the paper in hand, begin no other, end the rendering child. The next start makes what is due."""
        self._closing.set()
        with self._lock:
            self._again, thread = False, self._thread
        if thread:
            thread.join(seconds)
        self._renderer.close()

    def make_due_papers(self):
        """Make every paper that is due, now. Returns [Waiting(card, sentence)] for those that cannot be made yet."""
        with self._app.app_context():
            due = papers.due()
        # A future holds whatever goes wrong with one card; raised here, it would keep back the papers of all others.
        with ThreadPoolExecutor(1) as hand:
            tried = {card: hand.submit(self._unless_closing, card) for card in due}
        return [Waiting(card, sentence) for card, future in tried.items() if (sentence := self._outcome(card, future))]

    def make_paper(self, card):
        """Make the papers of one card, now. Returns None, or the sentence that says what it waits for."""
        with self._making, self._app.app_context():
            return self._make(card)

    def paper_of(self, card):
        """{"ready", "sha256", "sentence"} of a card's newest paper, as the API shows it. Needs the app's context."""
        facts = cards.card_facts(card)
        made = [found for approval in _standing(facts) if (found := papers.find(card, approval))]
        if made:
            newest = max(made, key=lambda found: (found["made_at"], found["release"]))
            return {"ready": True, "sha256": newest["sha256"], "sentence": None}
        sentence = self._failed.get(card) or _waits_for(facts) or BEING_MADE
        return {"ready": False, "sha256": None, "sentence": sentence}

    def _unless_closing(self, card):
        return None if self._closing.is_set() else self.make_paper(card)

    def _outcome(self, card, future):
        fault = future.exception()
        if fault is None:
            return future.result()
        LOG.error("The paper of card %s could not be made.", card, exc_info=fault)
        self._failed[card] = FAULT
        return FAULT

    def _work(self):
        while True:
            with self._lock:
                if not self._again:
                    self._thread = None
                    return
                self._again = False
            self.make_due_papers()

    def _make(self, card):
        facts = cards.card_facts(card)
        standing = _standing(facts)
        due = [approval for approval in standing if papers.find(card, approval) is None]
        if standing and not due:
            return None
        if sentence := _waits_for(facts):
            return sentence
        try:
            pdf = seal(self._rendered(facts), self._seal_key)
        except RenderFailed as error:
            self._failed[card] = f"The paper could not be made: {error} It is tried again after the next sync."
            return self._failed[card]
        self._failed.pop(card, None)
        for approval in due:
            papers.keep(card, approval, pdf)
        return None

    def _rendered(self, facts):
        shas = cards.photos_of(facts["entries"])
        facts |= {"photos": {sha256: photos.derivative(sha256) for sha256 in shas},
                  "people": people.names(),
                  "keys": signing_keys(facts["entries"]), "log": checkpoint(),
                  "trends": trends.trends_of(facts["card"], facts["template"])}
        return self._renderer.render(paper_html(facts), facts["photos"], RECORD_NAME, record_bytes(facts))


def _standing(facts):
    return [approval["id"] for approval in facts["state"]["approvals"] if approval["standing"]]


def _waits_for(facts):
    """Why no paper of these facts can be made now, as a sentence; None when it can."""
    if not _standing(facts):
        return NO_LONGER_COVERED if facts["state"]["approvals"] else NOT_APPROVED
    lacking = len(photos.lacking(cards.photos_of(facts["entries"])))
    if not lacking:
        return None
    noun = "photo that is" if lacking == 1 else "photos that are"
    return (f"The paper waits for {lacking} {noun} still on a phone. "
            "Open the card on that phone where it has a network, and leave it open until nothing is unsent.")
