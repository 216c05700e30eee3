"""Signing keys on a phone: what they promise, and what somebody gets who steals the phone or copies its storage.

Setting up takes five rounds of PBKDF2, so it is done once, and most tests begin with a copy of that phone.
"""

import pytest
from phone import Phone, copy_profile

ANN, BEN = "d" * 32, "9" * 32
CODE, WRONG = "48151623", "48151624"
# The server's part is played by a fetch of the page's own: keys are told to it, and it refuses on demand.
LOAD = """async () => {
  const [keys, drafts, store, entry, signature, settle] = await Promise.all(["device/keys", "device/drafts",
    "device/store", "rules/entry", "rules/signature", "device/phone_facts"].map((path) => import(`/${path}.js`)));
  Object.assign(window, { keys, drafts, store, entry, signature, settle, sent: [], refusal: null });
  window.fetch = async (path, { body }) => {
    sent.push([path, JSON.parse(new TextDecoder().decode(body))]);
    return refusal ? new Response(JSON.stringify({ problem: refusal }), { status: 422 })
      : new Response('{"kid":"x"}', { status: 201 });
  };
  const certificate = { kind: "mechanic", number: "1" };
  window.hold = (person, name) => drafts.write_facts({ server: { server: "a".repeat(32) },
    person: { person, name, roles: ["mechanic"], certificate } });
  window.said = (work) => work().then((value) => value ?? "done", (error) => error.code ?? String(error));
  window.facts = (person = "d".repeat(32)) => ({ kind: "result", server: "a".repeat(32), card: "b".repeat(32),
    revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" }, item: "tube_surface",
    supersedes: [], author: { person, name: "Ann", certificate }, claimed_at: "2026-11-25T08:00:00Z",
    body: { result: "pass", readings: {}, note: "", photos: [], discrepancy: null } });
  window.keep = (person) => store.keep_entry((chain) => entry.make_entry({ ...facts(person), ...chain }));
  window.used = async (person) => (await keep(person)).payload.unlocked.use;
}"""
ENROL = """async ([person, name, how]) => {
  await hold(person, name);
  return said(() => keys.enrol(how, "Test phone").then(() => "enrolled"));
}"""
UNLOCK = "([person, how]) => said(() => keys.unlock(person, how))"
RAW = """async () => {
  const answer = (request) => new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
  const database = await answer(indexedDB.open("witnessmark"));
  const records = await answer(database.transaction("keys").objectStore("keys").getAll());
  database.close();
  return records.map((record) => Object.fromEntries(Object.entries(record).map(([name, value]) => [name,
    value instanceof CryptoKey ? `${value.algorithm.name} ${value.extractable}`
      : value instanceof ArrayBuffer || ArrayBuffer.isView(value) ? value.byteLength : value])));
}"""


# What a wrong code does before it is tried, without the time of trying it.
SPEND = """async (times) => {
  const { count_try, key_of } = await import("/device/key_store.js");
  for (let at = 0; at < times; at += 1) await count_try(await key_of("d".repeat(32)));
}"""


@pytest.fixture(scope="module")
def set_up(chromium, site, tmp_path_factory):
    """The profile of a phone on which Ann signs with a code."""
    phone = Phone(chromium, tmp_path_factory.mktemp("set_up") / "profile", site.address)
    page = phone.start("/probe")
    page.evaluate(LOAD)
    enrolled(page)
    phone.close()
    return phone.profile


@pytest.fixture
def phones(chromium, site, tmp_path):
    """Start a phone on the profile of that name; returns its page."""
    started = []

    def start(name="profile", clock=False):
        phone = Phone(chromium, tmp_path / name, site.address)
        page = phone.start("/probe")
        started.append(phone)
        page.phone = phone
        if clock:
            page.clock.install()
            page.reload()
        page.evaluate(LOAD)
        return page

    start.folder = tmp_path
    yield start
    for phone in started:
        phone.close()


@pytest.fixture
def open_phone(phones, set_up):
    """Start a phone on a copy of the one that is set up, with Ann's key open; returns its page."""
    def start(name="profile", clock=False):
        copy_profile(set_up, phones.folder / name)
        page = phones(name, clock)
        assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done"
        return page
    return start


def enrolled(page, how=None):
    assert page.evaluate(ENROL, [ANN, "Ann", how or {"guard": "code", "code": CODE}]) == "enrolled"
    return page


def test_a_key_is_kept_wrapped_twice_and_only_its_public_half_travels(phones):
    page = enrolled(phones())
    [record] = page.evaluate(RAW)
    # OWASP Password Storage Cheat Sheet (2023), from memory: at least 600,000 iterations for PBKDF2-HMAC-SHA256.
    assert record["iterations"] >= 600_000 and record["salt"] >= 16 and record["outer"] == "AES-GCM false"
    assert (record["state"], record["tries"], record["credential"]) == ("living", 0, None)
    [[path, sent]] = page.evaluate("() => sent")
    assert path == "/api/keys" and sorted(sent) == ["guard", "jwk", "label", "proof"] and "d" not in sent["jwk"]
    assert CODE not in str(sent)
    said = page.evaluate("""async (sent) => {
      const { device_id } = await import("/device/entries.js");
      const read = signature.read_jws(sent.proof, signature.ENROLMENT_TYP);
      return [await signature.verify(read, sent.jwk), read.kid === await signature.thumbprint(sent.jwk),
        JSON.parse(read.payload_text), await device_id()];
    }""", sent)
    verified, named, claim, device = said
    assert verified and named
    assert claim == {"v": 1, "server": "a" * 32, "person": ANN, "device": device, "guard": "code",
                     "claimed_at": claim["claimed_at"]}


def test_an_entry_is_a_jws_of_its_authors_key_with_low_s(phones):
    page = enrolled(phones())
    # n/2 of P-256: SEC 2 version 2.0, 2.4.2 (the order n).
    half = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551 // 2
    signed = page.evaluate("""async () => {
      const made = [];
      const [{ jwk }] = sent.map(([, body]) => body);
      for (let turn = 0; turn < 24; turn += 1) {
        const { text, id } = await keep();
        const read = signature.read_jws(text, signature.ENTRY_TYP);
        const { base64url_bytes } = await import("/rules/base64url.js");
        const bytes = base64url_bytes(read.signature);
        made.push([await signature.verify(read, jwk), id === await entry.content_id(read.payload_text),
          Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("")]);
      }
      return made;
    }""")
    assert all(verified and named for verified, named, _ in signed)
    assert all(len(text) == 128 and 0 < int(text[64:], 16) <= half for _, _, text in signed)


def test_each_unlocking_counts_its_signatures_and_a_fresh_code_is_for_one(open_phone):
    page = open_phone()
    assert page.evaluate("async () => [await used(), await used(), await used()]") == [1, 2, 3]
    fresh = """async () => said(async () => {
      const first = await keys.with_fresh_code("d".repeat(32), { code: "48151623" }, async () => {
        const use = await used();
        return [use, await said(used)];
      });
      return [...first, keys.unlocked("d".repeat(32))];
    })"""
    assert page.evaluate(fresh) == [1, "key_locked", True], "what was open before is open again"
    assert page.evaluate("() => used()") == 4
    page.evaluate("() => keys.lock()")
    assert page.evaluate(fresh) == [1, "key_locked", False]
    assert page.evaluate("() => said(keep)") == "key_locked"
    failed = """() => said(() => keys.with_fresh_code("d".repeat(32), { code: "48151624" },
      () => { throw Error("ran"); }))"""
    assert page.evaluate(failed) == "code_wrong"


def test_only_the_person_whose_key_is_open_signs(open_phone):
    page = open_phone()
    assert page.evaluate("(ben) => said(() => keep(ben))", BEN) == "key_locked"
    assert page.evaluate(ENROL, [BEN, "Ben", {"guard": "code", "code": "92614483"}]) == "enrolled"
    assert page.evaluate("() => said(keep)") == "key_locked", "opening one key closes the other"
    assert page.evaluate(UNLOCK, [ANN, {"code": "92614483"}]) == "code_wrong"
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done"
    assert page.evaluate("async () => (await keys.enrolled()).map(({ name }) => name).sort()") == ["Ann", "Ben"]
    assert page.evaluate(UNLOCK, ["7" * 32, {"code": CODE}]) == "key_none"


def test_five_minutes_without_a_touch_lock_and_a_touch_keeps_it_open(open_phone):
    page = open_phone(clock=True)
    is_open = "(ann) => keys.unlocked(ann)"
    for _ in range(3):
        page.clock.fast_forward("04:50")
        page.mouse.click(5, 5)
    assert page.evaluate(is_open, ANN) is True
    page.evaluate("() => keys.keys_events.addEventListener('changed', ({ detail }) => { window.told = detail; })")
    page.clock.fast_forward("05:01")
    assert page.evaluate("() => window.told") == {"person": None}, "the page is told without being asked"
    page.mouse.click(5, 5)
    assert page.evaluate("() => said(keep)") == "key_locked", "a touch afterwards opens nothing"


def test_a_phone_asleep_or_with_its_clock_set_back_locks_too(phones, open_phone):
    for jump in ("6 * 60000", "-6 * 60000"):
        page = open_phone(f"profile{jump[0]}")
        page.evaluate(f"() => {{ const now = Date.now; Date.now = () => now() + {jump}; }}")
        assert page.evaluate("() => said(keep)") == "key_locked"


def copied(phones, source, target):
    copy_profile(phones.folder / source, phones.folder / target)
    return phones(target)


def guess(page, times, start=10_000_001):
    return [page.evaluate(UNLOCK, [ANN, {"code": str(start + turn)}]) for turn in range(times)]


def test_a_thief_with_a_copy_of_the_profile_gets_ten_codes_and_then_nothing(phones, open_phone):
    page = open_phone()
    page.evaluate("() => keep()")
    page.phone.close()
    thief = copied(phones, "profile", "stolen")
    assert guess(thief, 1) == ["code_wrong"]
    thief.evaluate(SPEND, 8)
    left = "(ann) => keys.unlock(ann, { code: '123' }).catch((error) => error.sentence)"
    assert "Ten wrong codes" in thief.evaluate(left, ANN)
    assert thief.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "code_erased", "the right code comes too late"
    [record] = thief.evaluate(RAW)
    assert {"wrapped", "outer", "salt", "iv"} & set(record) == set()
    assert thief.evaluate("async () => [(await keys.enrolled()).length, (await store.unsent_facts()).unsent]") == [0, 1]
    owner = phones()
    assert owner.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done", "the copy has cost the owner nothing"


def test_the_right_code_sets_the_count_back_and_says_how_many_are_left(open_phone):
    page = open_phone()
    sentence = "(code) => keys.unlock('d'.repeat(32), { code }).catch((error) => [error.code, error.fields.left])"
    assert [page.evaluate(sentence, WRONG) for _ in range(3)] == [["code_wrong", left] for left in (9, 8, 7)]
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done"
    assert page.evaluate(sentence, WRONG) == ["code_wrong", 9]


PUT_BACK = {
    "the database": """async ([kid]) => {
      const { in_transaction } = await import("/device/database.js");
      await in_transaction(["keys"], "readwrite", async (tx) => {
        const held = await tx.objectStore("keys").get("d".repeat(32));
        tx.objectStore("keys").put({ ...held, tries: 0 }, "d".repeat(32));
      });
    }""",
    "localStorage": "() => localStorage.clear()",
}


@pytest.mark.parametrize("what", PUT_BACK)
def test_tries_are_counted_in_two_places_and_the_larger_counts(open_phone, what):
    page = open_phone()
    page.evaluate(SPEND, 7)
    assert guess(page, 1) == ["code_wrong"]
    page.evaluate(PUT_BACK[what], [None])
    assert guess(page, 2, 20_000_001) == ["code_wrong", "code_erased"]


def test_a_try_is_on_disk_before_the_code_is_tried(phones, open_phone):
    page = open_phone()
    page.evaluate("""() => {
      SubtleCrypto.prototype.deriveKey = () => { window.deriving = true; return new Promise(() => {}); };
      keys.unlock("d".repeat(32), { code: "10000001" });
    }""")
    page.wait_for_function("() => window.deriving")
    page.phone.kill()
    page = phones()
    # Chromium writes localStorage some seconds later; the database is strict.
    assert page.evaluate(RAW)[0]["tries"] == 1
    left = "() => keys.unlock('d'.repeat(32), { code: '10000002' }).catch((error) => error.fields.left)"
    assert page.evaluate(left) == 8


def test_two_tabs_that_guess_at_once_do_not_get_more_tries(open_phone, site):
    page = open_phone()
    other = page.phone.context.new_page()
    other.goto(f"{site.address}/probe")
    other.evaluate(LOAD)
    page.evaluate(SPEND, 6)
    for tab, start in ((page, 10_000_000), (other, 20_000_000)):
        tab.evaluate("""(start) => { window.guesses = (async () => {
          const outcomes = [];
          for (let at = 0; at < 4; at += 1) {
            outcomes.push(await said(() => keys.unlock("d".repeat(32), { code: String(start + at) })));
          }
          return outcomes;
        })(); }""", start)
    outcomes = page.evaluate("() => guesses") + other.evaluate("() => guesses")
    assert outcomes.count("code_wrong") <= 3 and "code_erased" in outcomes
    assert set(outcomes) <= {"code_wrong", "code_erased", "key_locked", "key_not_kept"}
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "code_erased"


def test_a_wrapped_key_under_another_name_or_changed_by_a_bit_opens_nothing(open_phone):
    page = open_phone()
    change = """async (change) => {
      const { in_transaction } = await import("/device/database.js");
      await in_transaction(["keys"], "readwrite", async (tx) => {
        const held = await tx.objectStore("keys").get("d".repeat(32));
        const bytes = new Uint8Array(held.wrapped.slice(0));
        if (change === "bit") bytes[3] ^= 1;
        const person = change === "person" ? "9".repeat(32) : held.person;
        tx.objectStore("keys").put({ ...held, person, wrapped: bytes.buffer,
          iterations: change === "iterations" ? 1 : held.iterations }, "9".repeat(32));
      });
    }"""
    for how in ("bit", "person", "iterations"):
        page.evaluate(change, how)
        assert page.evaluate(UNLOCK, [BEN, {"code": CODE}]) == "key_not_kept", how
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done"


def test_a_server_that_refuses_leaves_the_key_of_before(open_phone):
    page = open_phone()
    [before] = page.evaluate("() => keys.enrolled()")
    page.evaluate("() => { refusal = { code: 'enrolment_wrong', sentence: 'No.', fields: {} }; }")
    assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "code", "code": "92614483"}]) == "enrolment_wrong"
    assert page.evaluate("() => keys.enrolled()") == [before] and len(page.evaluate(RAW)) == 1
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done"


def test_a_key_whose_answer_got_lost_is_taken_into_use_when_the_server_tells_of_it(open_phone):
    page = open_phone()
    page.evaluate("""() => {
      const real = fetch;
      window.fetch = async (...given) => { await real(...given); throw TypeError("cut"); };
    }""")
    in_use = "async () => (await keys.enrolled())[0].kid"
    old = page.evaluate(in_use)
    assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "code", "code": "92614483"}]) == "server_unreachable"
    new = page.evaluate("() => signature.thumbprint(sent[0][1].jwk)")
    assert page.evaluate(in_use) == old
    page.evaluate("([ann, kid, old]) => keys.settle_keys({ [ann]: kid }, [old])", [ANN, new, old])
    assert page.evaluate(in_use) == new
    assert page.evaluate(UNLOCK, [ANN, {"code": "92614483"}]) == "done"


def test_a_key_that_the_shop_ended_is_gone_here_too(open_phone):
    page = open_phone()
    page.evaluate("async () => keys.settle_keys({}, [(await keys.enrolled())[0].kid])")
    assert page.evaluate("() => said(keep)") == "key_locked"
    assert page.evaluate(UNLOCK, [ANN, {"code": CODE}]) == "key_gone"
    assert "wrapped" not in page.evaluate(RAW)[0]
    assert enrolled(page).evaluate(UNLOCK, [ANN, {"code": CODE}]) == "done", "and signing can be set up again"


def test_a_phone_that_has_not_met_the_server_for_the_lease_may_not_sign(open_phone):
    page = open_phone()
    synced = "([days]) => settle.note_sync(new Date(Date.now() - days * 86400000).toISOString())"
    page.evaluate(synced, [13.9])
    assert page.evaluate("() => used()") == 1
    page.evaluate(synced, [14.1])
    assert page.evaluate("() => keep().catch((error) => [error.code, error.fields.days])") == ["lease_over", 14]
    page.evaluate(synced, [0])
    assert page.evaluate("() => used()") == 2


CANNOT_KEEP = {
    "put refuses a CryptoKey": """() => {
      const real = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (value, ...key) {
        if (value?.outer) throw new DOMException("could not be cloned", "DataCloneError");
        return real.call(this, value, ...key);
      };
    }""",
    "what is read is null": """() => {
      const real = IDBObjectStore.prototype.get;
      IDBObjectStore.prototype.get = function (...key) {
        const request = real.apply(this, key);
        Object.defineProperty(request, "result", { get() {
          const found = Object.getOwnPropertyDescriptor(IDBRequest.prototype, "result").get.call(request);
          return found?.outer ? { ...found, outer: null } : found;
        } });
        return request;
      };
    }""",
    "put never answers": "() => { IDBObjectStore.prototype.put = () => new Promise(() => {}); }",
}


@pytest.mark.parametrize("trouble", CANNOT_KEEP)
def test_a_browser_that_cannot_keep_a_key_is_told_before_anything_is_made(phones, trouble):
    page = phones()
    page.evaluate("() => hold('d'.repeat(32), 'Ann')")
    page.evaluate(CANNOT_KEEP[trouble])
    code, took = page.evaluate("""async () => {
      const from = performance.now();
      return [(await keys.can_keep_keys())?.code, performance.now() - from];
    }""")
    print(f"{trouble}: told after {took:.0f} ms")
    assert code == "key_not_kept"
    assert page.evaluate("() => said(() => keys.enrol({ guard: 'code', code: '48151623' }, 'x'))") == "key_not_kept"
    assert page.evaluate("() => sent") == []


# Each kind of code that the blocklist knows, and codes that must pass.
WEAK = ["", "1234567", "12345678", "87654321", "00000000", "11111111", "12121212", "12341234", "11223344", "20000101",
        "31121999", "12311999", "13579135", "abc12", "abcdefgh", "password1", "Passw0rd1", "1q2w3e4r", "qwerty123",
        "aaa111", "abc123", "1111111a", "4815 1623", "25802580", "iloveyou1", "123abc"]
FINE = ["48151623", "92614483", "7f3k9q", "tail4rotor7", "73019428", "Blade-27x", "ünter4k9"]


def test_codes_that_anybody_would_guess_are_refused_with_what_to_take(phones):
    page = phones()
    judge = "(codes) => codes.map((code) => keys.check_code(code)?.sentence ?? null)"
    told = page.evaluate(judge, WEAK)
    assert [code for code, why in zip(WEAK, told, strict=True) if why is None] == []
    assert all("Take at least 8 digits" in why for why in told)
    assert page.evaluate(judge, FINE) == [None] * len(FINE)
    assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "code", "code": "12345678"}]) == "code_weak"


AUTHENTICATOR = {"protocol": "ctap2", "ctap2Version": "ctap2_1", "transport": "internal", "hasPrf": True,
                 "hasResidentKey": True, "hasUserVerification": True, "isUserVerified": True,
                 "automaticPresenceSimulation": True}


def authenticator(page, **changed):
    """Give the page a phone's own unlock (W3C WebAuthn Level 3, 11 "User Agent Automation")."""
    page.devtools = page.phone.context.new_cdp_session(page)
    page.devtools.send("WebAuthn.enable")
    options = AUTHENTICATOR | changed
    return page.devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})["authenticatorId"]


def test_a_key_behind_the_phones_own_unlock_is_useless_in_a_copied_profile(phones):
    page = phones()
    authenticator(page)
    assert page.evaluate("() => keys.passkey_possible()") is True
    enrolled(page, {"guard": "passkey"})
    [record] = page.evaluate(RAW)
    assert (record["guard"], record["iterations"]) == ("passkey", None) and record["credential"] > 0
    page.evaluate("() => keys.lock()")
    assert page.evaluate(UNLOCK, [ANN, {"passkey": True}]) == "done"
    unlocked = page.evaluate("async () => (await keep()).payload.unlocked")
    assert (unlocked["by"], unlocked["use"]) == ("passkey", 1)
    assert page.evaluate("() => keys.with_fresh_code('d'.repeat(32), { passkey: true }, used)") == 1
    page.phone.close()
    thief = copied(phones, "profile", "stolen")
    authenticator(thief)
    assert thief.evaluate(UNLOCK, [ANN, {"passkey": True}]) == "passkey_failed"
    assert thief.evaluate(UNLOCK, [ANN, {"code": CODE}]) != "done"
    assert thief.evaluate("() => said(keep)") == "key_locked"


def test_an_unlock_without_verification_or_without_a_secret_guards_nothing(phones):
    page = phones("unverified")
    authenticator(page, isUserVerified=False)
    assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "passkey"}]) == "passkey_failed"
    page = phones("plain")
    authenticator(page, hasPrf=False)
    assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "passkey"}]) == "key_not_kept"
    assert page.evaluate("() => sent") == [] and page.evaluate(RAW) == []
