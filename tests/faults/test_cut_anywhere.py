"""A connection that dies after any byte, either way, costs nothing: the same job, tried again, ends the same.

The phone is its own syncer in Node, the server is the real one, and a third party asks the server what it holds.
"""

import base64
import hashlib
import json
import random
import subprocess
from collections import Counter
from io import BytesIO
from pathlib import Path

import pytest
from cutter import Cutter
from PIL import Image
from real_server import Caller

import cast
from system_packages import node_flags
from witnessmark.rules.card_state import fold
from witnessmark.rules.entry import read_entry, set_digest

pytestmark = pytest.mark.faults
JOB = Path(__file__).with_name("small_job.js")
JOBS_OF_A_SITTING = 150


def grainy(rng):
    """A real JPEG of about 20 kB that nobody has sent before."""
    out = BytesIO()
    Image.frombytes("L", (160, 170), rng.randbytes(160 * 170)).save(out, "JPEG", quality=88)
    return out.getvalue()


class Sitting:
    """A server on fresh data, a cutter before it, a phone behind the cutter, and a witness who calls directly."""

    def __init__(self, server, app, card):
        self.server, self.card, self.cutter, self.ids = server, card, Cutter(server.port), []
        phone = Caller(app, server.port).sign_in("maria", enrols=False)
        self.witness = Caller(app, server.port).sign_in("rowan")
        self.witness.exchange()
        self.node = subprocess.Popen(["node", *node_flags(), str(JOB)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                     text=True)
        first = self.say({"address": f"http://127.0.0.1:{self.cutter.port}", "cookie": phone.cookie, "card": card,
                          "device": phone.phone.device, "server": phone.phone.server, "person": phone.person})
        assert first["agreed"], first

    def say(self, words):
        self.node.stdin.write(json.dumps(words) + "\n")
        self.node.stdin.flush()
        return json.loads(self.node.stdout.readline())

    def job(self, number, rng, **cut):
        """One job with one cut. Returns how many attempts it took."""
        picture = grainy(rng)
        self.cutter.arm(**cut)
        told = self.say({"number": f"{number:06}", "photo": base64.b64encode(picture).decode()})
        self.cutter.way = None
        self.ids += told["made"]
        assert told["agreed"], (cut, told)
        assert (told["held"], told["alarm"]) == (len(self.ids), None), (cut, told)
        self.look(told, picture, cut)
        return told["attempts"]

    def look(self, told, picture, cut):
        card = self.card["card"]
        answer = self.witness.exchange(check=[card])
        assert sorted(read_entry(news["text"])["id"] for news in answer["news"]) == sorted(told["made"]), cut
        assert answer["digests"][card] == told["digest"] == set_digest(self.ids), cut
        kept = self.witness.ask("GET", f"/api/photos/{told['sha256']}").data
        assert hashlib.sha256(kept).digest() == hashlib.sha256(picture).digest(), cut

    def finish(self):
        """Compare the whole card, then end everything."""
        entries = self.witness.page(self.card)
        assert sorted(entry["id"] for entry in entries["entries"]) == sorted(self.ids)
        assert entries["state"] == fold(cast.TEMPLATE, [read_entry(entry["text"]) for entry in entries["entries"]], 1)
        self.end()

    def end(self):
        if self.node.stdin.closed:
            return
        self.node.stdin.close()
        self.node.wait(20)
        self.node.stdout.close()
        self.cutter.close()
        self.server.kill()


@pytest.fixture
def sit_down(app, card, opened):
    """Make a new sitting; whatever happens, none of its processes stays."""
    sittings = []

    def make():
        sittings.append(Sitting(opened(), app, card))
        return sittings[-1]

    yield make
    for sitting in sittings:
        sitting.end()


@pytest.mark.parametrize("way, least", [("up", 20000), ("down", 1000)])
def test_a_cut_after_any_byte_costs_nothing(way, least, sit_down, amount, tell):
    every, seed = amount("cut_every"), amount("seed")
    at, number, attempts, sitting = 1, 0, Counter(), None
    while True:
        if number % JOBS_OF_A_SITTING == 0:
            if sitting:
                sitting.finish()
            sitting = sit_down()
        # Each place has its own random numbers, so that one place can be tried again alone.
        tries = sitting.job(number, random.Random(f"{seed}/{way}/{at}"), way=way, at=at, reset=at % 2 == 0)
        if not sitting.cutter.fired:
            break
        attempts[tries] += 1
        at, number = at + every, number + 1
    sitting.finish()
    tell(f"cut {way}: {number} places of {at - every} bytes, every {every}; attempts {dict(sorted(attempts.items()))};"
         f" {3 * (number + 1)} entries and {number + 1} photos there once each (seed {seed})")
    assert at > least and attempts[2] > number / 2, "the cuts were felt"
