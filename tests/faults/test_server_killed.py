"""Several phones deliver while the server is killed at random moments: what it said it has, it has, once.

SIGKILL ends the processes, not the machine: what the system had not yet written to the disk survives it. That the
server waits for the disk is tests/test_database.py's to hold.
"""

import hashlib
import http.client
import random
import statistics
import subprocess
import sys
import threading
import time
from collections import Counter

import pytest
from real_server import Caller

import cast
from witnessmark.rules.entry import read_entry

pytestmark = pytest.mark.faults
LOGINS = ("maria", "tom", "ines", "maria")
ITEMS = ("surface", "grip", "bolts", "boom")
LIVES_OF_A_CARD = 5
LONGEST_LIFE_S = 0.8
PART = 300


class Deliverer(Caller):
    """A phone that delivers until the server is gone. `made`, `promised`: ids; `photos`: sha256 -> bytes promised."""

    def __init__(self, app, port, login):
        super().__init__(app, port)
        self.sign_in(login)
        self.texts, self.promised, self.pictures, self.photos, self.requests = {}, {}, {}, {}, 0

    def deliver(self, card, rng):
        """What stops it is the server's death; another failure is told at the end of the life."""
        self.failure = None
        try:
            while True:
                if rng.random() < 0.2:
                    self.send_photo(rng)
                else:
                    self.send_entries(card, rng)
                self.requests += 1
        except (OSError, http.client.HTTPException):
            return
        except AssertionError as failure:
            self.failure = failure

    def send_entries(self, card, rng):
        fresh = [self.passes(card, rng.choice(ITEMS), note=str(rng.random())) for _ in range(rng.choice((1, 3, 12)))]
        self.texts.update((entry["id"], entry["text"]) for entry in fresh)
        # Some come again that were sent before, acknowledged or not.
        again = rng.sample(sorted(self.texts), min(2, len(self.texts)))
        self.take(self.exchange([*(self.texts[id] for id in again), *(entry["text"] for entry in fresh)]), card)

    def take(self, answer, card):
        assert all(one["verdict"] in ("kept", "already_here") for one in answer["answers"]), answer["answers"]
        self.promised.update((one["id"], card["card"]) for one in answer["answers"])

    def send_photo(self, rng):
        data, sha256 = cast.jpeg(rng.randrange(40, 80), rng.randrange(40, 80), "#" + rng.randbytes(3).hex())
        self.pictures[sha256] = data
        while (here := self.photos.get(sha256, 0)) < len(data):
            part = data[here:here + PART]
            answer = self.ask("PUT", f"/api/photos/{sha256}?offset={here}&bytes={len(data)}", part)
            # Another phone may have sent the same picture.
            taken = answer.json if answer.status == 200 else answer.json["problem"]["fields"]
            self.photos[sha256] = taken["received"]

    def check(self, entries, photos):
        """Nothing of these promises is lacking."""
        by_card = {}
        for id in entries:
            by_card.setdefault(read_entry(self.texts[id])["payload"]["card"], []).append(id)
        for card, ids in by_card.items():
            assert self.ask("POST", f"/api/cards/{card}/reconcile", {"ids": ids}).json["lack"] == []
        lack = self.ask("POST", "/api/photos/lacking", {"photos": list(photos)}).json["lack"] if photos else []
        lacking = {one["sha256"]: one["received"] for one in lack}
        for sha256, promised in photos.items():
            if sha256 in lacking:
                self.check_part(sha256, promised, lacking[sha256])
            else:
                kept = self.ask("GET", f"/api/photos/{sha256}").data
                assert hashlib.sha256(kept).hexdigest() == sha256

    def check_part(self, sha256, promised, here):
        """Killed between putting the whole file away and noting it, the server asks anew, and needs one part only."""
        data = self.pictures[sha256]
        assert promised < len(data)
        taken = self.ask("PUT", f"/api/photos/{sha256}?offset={here}&bytes={len(data)}", data[here:here + PART]).json
        assert here >= promised or taken["complete"]
        self.photos[sha256] = taken["received"]


def live(server, phones, card, rng, seed):
    """One life of the server: it is killed while all phones deliver."""
    threads = [threading.Thread(target=phone.deliver, args=(card, random.Random(f"{seed}/{number}")))
               for number, phone in enumerate(phones)]
    for thread in threads:
        thread.start()
    time.sleep(rng.uniform(0.02, LONGEST_LIFE_S))
    server.kill()
    for thread in threads:
        thread.join(30)
    assert [phone.failure for phone in phones] == [None] * len(phones)


def test_what_was_acknowledged_is_there_once_and_nothing_else(app, opened, amount, tell):
    seed, kills = amount("seed"), amount("server_kills")
    rng, server, starts = random.Random(seed), opened(), []
    issuer = Caller(app, server.port).sign_in("noor")
    phones = [Deliverer(app, server.port, login) for login in LOGINS]
    for number in range(kills):
        if number % LIVES_OF_A_CARD == 0:
            (template,) = issuer.ask("GET", "/api/templates").json["templates"]
            card = issuer.ask("POST", "/api/cards", {"revision": template["revision"], "times": cast.TIMES,
                                                     "registration": cast.REGISTRATION}).json
        before = [(set(phone.promised), dict(phone.photos)) for phone in phones]
        live(server, phones, card, rng, f"{seed}/{number}")
        starts.append(server.start())
        for phone, (entries, photos) in zip(phones, before, strict=True):
            phone.check(phone.promised.keys() - entries, dict(phone.photos.items() - photos.items()))
    check_all(app, server, phones)
    server.kill()
    said = audit(server)
    counts = {name: sum(len(getattr(phone, name)) for phone in phones) for name in ("promised", "texts", "photos")}
    requests = sum(phone.requests for phone in phones)
    tell(f"server killed {kills} times under {requests} requests of {len(phones)} phones:"
         f" {counts['promised']} entries acknowledged of {counts['texts']} made, {counts['photos']} photos; start again"
         f" {statistics.median(starts):.2f} s median, {max(starts):.2f} s longest (seed {seed})")
    assert counts["promised"] > kills
    assert said["signatures"] == [f"{counts['texts']:,}", "checked,", "0", "wrong"]


def audit(server):
    """What the audit says of the records of a server that does not run, {kind: words}; it must find nothing."""
    command = [sys.executable, "-m", "witnessmark", "audit", "--data", str(server.folder)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return {line.split()[0]: line.split()[1:] for line in done.stdout.splitlines()}


def check_all(app, server, phones):
    """All promises again, the unacknowledged sent once more, and every entry in the news exactly once."""
    made = set().union(*(phone.texts for phone in phones))
    stranger = Caller(app, server.port).sign_in("rowan")
    assert {entry["id"] for entry in stranger.all_news()} <= made, "nothing is invented"
    for phone in phones:
        phone.check(phone.promised, phone.photos)
        texts = [text for id, text in phone.texts.items() if id not in phone.promised]
        for at in range(0, len(texts), 200):
            verdicts = {one["verdict"] for one in phone.exchange(texts[at:at + 200])["answers"]}
            assert verdicts <= {"kept", "already_here"}
    found = stranger.all_news()
    assert Counter(entry["id"] for entry in found) == Counter(made), "each once, none lost"
    sent = {id: text for phone in phones for id, text in phone.texts.items()}
    assert {entry["id"]: entry["text"] for entry in found} == sent, "signed as it was sent"
