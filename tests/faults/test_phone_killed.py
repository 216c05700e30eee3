"""A phone's browser is killed at random moments of a storm of taps: every entry that was said to be kept is there.

Said to be kept: the promise of screens/record.js resolved, and the page had told the test through a binding. The key is
made once; each new browser opens it with the code. SIGKILL goes to the browser's whole process group; what the system
had not yet written to the disk survives that. What this Chromium itself would destroy is kept from it, and counted: see
store_log.py.
"""

import os
import random
import signal
import time
from contextlib import suppress
from pathlib import Path

import pytest
from phone import Phone
from playwright.sync_api import Error, sync_playwright
from real_server import Caller
from store_log import FULL, HEAD, cut_half_records

import cast
from witnessmark.rules.entry import read_entry

pytestmark = pytest.mark.faults
# A page of the server that starts no app of its own.
QUIET_PAGE = "/shell-manifest.json"
KILLS_OF_A_CARD = 4
CODE = "48151623"
LONGEST_STORM_MS = 700
LOAD = """async () => {
  const { session } = await import("/device/session.js");
  const { syncer } = await import("/device/sync.js");
  const store = await import("/device/store.js");
  const keys = await import("/device/keys.js");
  const { open_card } = await import("/screens/open_card.js");
  const { record } = await import("/screens/record.js");
  window.phone = { session, syncer, store, keys, open_card, record };
  await session.open();
}"""
SIGN_IN = "([login, password]) => phone.session.sign_in(login, password)"
SET_UP_SIGNING = "(code) => phone.keys.enrol({ guard: 'code', code }, 'Test phone')"
UNLOCK = "(code) => phone.keys.unlock(phone.session.person.person, { code })"
# The first joins a sync that signing in began, maybe before what is asked for was there.
SYNC = """async () => {
  await phone.syncer.now();
  const { state, unsent, refused, problem } = await phone.syncer.now();
  return [state, unsent, refused, problem && problem.code];
}"""
# Each item has a finger of its own, and each of its entries corrects the one before, as after a slip.
STORM = """async (card) => {
  const view = await phone.open_card(card);
  const finger = async ({ item, heads }) => {
    for (let taps = 0; ; taps += 1) {
      const body = { result: "pass", readings: {}, note: `Tap ${taps}.`, photos: [], discrepancy: null };
      const kept = await phone.record(view, { kind: "result", item, supersedes: heads, body });
      told(kept.id);
      heads = [kept.id];
    }
  };
  for (const item of view.state.items) finger(item).catch((error) => told(`failed: ${error.stack}`));
}"""
HELD = """async () => {
  const cards = await phone.store.cards();
  const held = await Promise.all(cards.map(({ card }) => phone.store.entries_of(card)));
  return held.flat().map(({ id, text }) => [id, text]);
}"""


class Storm:
    """One phone through all its deaths; `told` are the ids it said it had kept, `halves` the half records cut off."""

    def __init__(self, phone):
        self.phone, self.told, self.page, self.halves = phone, [], None, 0

    def start(self):
        self.page = self.phone.start(QUIET_PAGE)
        self.page.expose_function("told", lambda word: self.told.append(word))
        self.page.evaluate(LOAD)

    def sign_in(self):
        """After each death: Chromium keeps a new cookie in memory for half a minute (from memory, no source)."""
        self.page.evaluate(SIGN_IN, ["maria", cast.PASSWORD])

    def unlock(self):
        self.page.evaluate(UNLOCK, CODE)

    def rage_and_die(self, card, moment):
        """Tap with four fingers, and be killed `moment` ms later."""
        (browser,) = self.phone.processes()
        assert os.getpgid(browser) == browser, "the browser leads a process group of its own"
        self.page.evaluate(STORM, card["card"])
        self.page.wait_for_timeout(moment)
        os.killpg(browser, signal.SIGKILL)
        wait_for_death_of(browser)
        # What the page told before it died is still on its way to us; Playwright then finds everything closed.
        for last in (lambda: self.page.wait_for_timeout(50), self.phone.context.close):
            with suppress(Error):
                last()

    def mend(self):
        """See store_log.py."""
        self.halves += cut_half_records(self.store())

    def store(self):
        (store,) = self.phone.profile.glob("Default/IndexedDB/*.leveldb")
        return store

    def held(self):
        """(sequence, id, previous, text) of every entry on the phone, by sequence."""
        found = [(read_entry(text)["payload"], id, text) for id, text in self.page.evaluate(HELD)]
        return sorted((entry["sequence"], id, entry["previous"] or "", text) for entry, id, text in found)


def wait_for_death_of(group):
    """Until no process of the group runs, and none of them writes to the store."""
    for _ in range(1000):
        if not any(alive(int(entry.name), group) for entry in Path("/proc").iterdir() if entry.name.isdigit()):
            return
        time.sleep(0.01)
    raise AssertionError("a killed browser is still running")


def alive(pid, group):
    with suppress(OSError):
        state, _, of_group = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[:3]
        return int(of_group) == group and state not in "ZX"
    return False


def assert_whole(held, told):
    """Everything told is held, and the chain goes unbroken from the first entry to the last."""
    ids = [id for _, id, _, _ in held]
    assert [word for word in told if word.startswith("failed")] == []
    assert set(told) <= set(ids), "an entry that was said to be kept is lost"
    assert [sequence for sequence, _, _, _ in held] == list(range(1, len(held) + 1))
    assert [previous for _, _, previous, _ in held] == ["", *ids][:len(ids)]


def issue(caller):
    (template,) = caller.ask("GET", "/api/templates").json["templates"]
    return caller.ask("POST", "/api/cards", {"revision": template["revision"], "registration": cast.REGISTRATION,
                                             "times": cast.TIMES}).json


@pytest.fixture
def storm(opened, tmp_path):
    """A phone on which Maria is signed in and has set up signing, and the server it belongs to."""
    server = opened()
    with sync_playwright() as playwright:
        storm = Storm(Phone(playwright, tmp_path / "profile", f"http://localhost:{server.port}"))
        storm.start()
        storm.sign_in()
        storm.page.evaluate(SET_UP_SIGNING, CODE)
        yield storm, server
        with suppress(Error):
            storm.phone.kill()


def test_every_entry_that_was_said_to_be_kept_outlives_the_browser(storm, app, amount, tell):
    phone, server = storm
    seed, kills = amount("seed"), amount("browser_kills")
    rng, caller, unsent = random.Random(seed), Caller(app, server.port).sign_in("noor"), 0
    for number in range(kills):
        if number % KILLS_OF_A_CARD == 0:
            card = issue(caller)
            assert phone.page.evaluate(SYNC) == ["idle", 0, 0, None]
        phone.rage_and_die(card, rng.uniform(0, LONGEST_STORM_MS))
        phone.mend()
        phone.start()
        unsent += phone.page.evaluate("async () => (await phone.store.unsent_facts()).unsent")
        assert_whole(phone.held(), phone.told)
        phone.unlock()
        phone.sign_in()
    assert phone.page.evaluate(SYNC) == ["idle", 0, 0, None]
    held = phone.held()
    assert sorted(text for _, _, _, text in held) == sorted(entry["text"] for entry in caller.all_news())
    tell(f"browser killed {kills} times: {len(phone.told)} entries said to be kept, {len(held)} held and on the server,"
         f" {unsent} were unsent at a cold start; {phone.halves} half records cut off (seed {seed})")
    assert len(phone.told) > kills and unsent


def test_half_a_record_is_cut_off_in_time(storm, app):
    """What the test above relies on, for certain and not by chance; without mend() this Chromium's store ends empty."""
    phone, server = storm
    card = issue(Caller(app, server.port).sign_in("noor"))
    assert phone.page.evaluate(SYNC) == ["idle", 0, 0, None]
    for life in range(2):
        phone.rage_and_die(card, LONGEST_STORM_MS)
        phone.mend()
        (log,) = phone.store().glob("*.log")
        with log.open("ab") as end:
            end.write(HEAD.pack(0, 100, FULL))
        before = phone.halves
        phone.mend()
        assert phone.halves == before + 1, life
        phone.start()
        assert_whole(phone.held(), phone.told)
        phone.unlock()
        phone.sign_in()
    assert phone.told
