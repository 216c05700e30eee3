"""What the phone's own modules promise, in Chromium: kept is kept, photos are clean, sync loses nothing."""

import base64
import io
import json

import pytest
from phone import Phone
from PIL import Image

from witnessmark.records.stored import payload_of

FACTS = """
const [{ open_key }, { signer_of }, { device_id }] = await Promise.all([import("/repo/client/device/unlocked.js"),
  import("/repo/tests/device/signers.js"), import("/repo/client/device/entries.js")]);
open_key({ ...await signer_of(await device_id(), "d".repeat(32)), by: "code" });
window.store = await import("/repo/client/device/store.js");
window.entry = await import("/repo/client/rules/entry.js");
window.photo = await import("/repo/client/device/photo.js");
window.facts = (over = {}) => ({ kind: "result", server: "a".repeat(32), card: "b".repeat(32),
  revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" }, item: "tube_surface",
  supersedes: [], author: { person: "d".repeat(32), name: "Ann", certificate: { kind: "mechanic", number: "1" } },
  claimed_at: "2026-11-25T08:00:00Z",
  body: { result: "pass", readings: {}, note: "", photos: [], discrepancy: null }, ...over });
window.keep = (over) => store.keep_entry((chain) => entry.make_entry({ ...facts(over), ...chain }));
"""


@pytest.fixture
def phone(chromium, site, tmp_path):
    phone = Phone(chromium, tmp_path / "profile", site.address)
    load(phone.start("/probe"))
    yield phone
    phone.close()


@pytest.fixture(scope="module")
def one_camera(chromium, site, tmp_path_factory):
    phone = Phone(chromium, tmp_path_factory.mktemp("camera") / "profile", site.address)
    phone.start("/probe")
    yield phone.page
    phone.close()


@pytest.fixture
def camera(one_camera):
    """The page of a phone that the tests of photos hand on, loaded anew."""
    one_camera.reload()
    return load(one_camera)


def load(page):
    page.evaluate(f"async () => {{ {FACTS} }}")
    return page


def held(page):
    """[(sequence, id, previous)] of every entry on the phone, in order."""
    texts = page.evaluate("async () => (await store.entries_of('b'.repeat(32))).map(({ id, text }) => [id, text])")
    payloads = [(payload_of(text), id_) for id_, text in texts]
    return sorted((payload["sequence"], id_, payload["previous"]) for payload, id_ in payloads)


def assert_unbroken(chain):
    assert [sequence for sequence, _, _ in chain] == list(range(1, len(chain) + 1))
    assert [previous for _, _, previous in chain] == [None] + [id_ for _, id_, _ in chain[:-1]]


def test_two_tabs_keep_one_unbroken_chain(phone, site):
    other = load_probe(phone, site)
    many = """(tab) => {
      window.done = Promise.all(Array.from({ length: 15 }, (_, at) => keep({ item: `${tab}_${at}` })));
    }"""
    phone.page.evaluate(many, "first")
    other.evaluate(many, "second")
    phone.page.evaluate("() => done")
    other.evaluate("() => done")
    chain = held(phone.page)
    assert len(chain) == 30
    assert_unbroken(chain)


def load_probe(phone, site):
    page = phone.context.new_page()
    page.goto(f"{site.address}/probe")
    return load(page)


def test_a_killed_phone_has_every_entry_it_said_was_kept_and_its_draft(phone):
    page = phone.page
    said = [page.evaluate("async (item) => (await keep({ item })).id", f"i{at}") for at in range(12)]
    page.evaluate("() => store.open_camera_slot('b'.repeat(32), 'hub', { note: 'half typ' })")
    page.evaluate("() => { for (let at = 0; at < 40; at += 1) keep({ item: `late${at}` }); }")
    phone.kill()
    page = load(phone.start("/probe"))
    chain = held(page)
    assert set(said) <= {id_ for _, id_, _ in chain}
    assert_unbroken(chain)
    assert page.evaluate("() => store.pending_photo()") == {"card": "b" * 32, "item": "hub"}
    assert page.evaluate("() => store.read_draft('b'.repeat(32), 'hub')") == {"note": "half typ"}


FAULTS = """async ([kind, at]) => {
  let count = 0;
  const fail = (name) => { throw new DOMException("Connection to Indexed Database server lost", name); };
  const undo = [[IDBDatabase.prototype, "transaction"], [IDBObjectStore.prototype, "put"],
    [IDBObjectStore.prototype, "get"], [IDBObjectStore.prototype, "getKey"]].map(([owner, name]) => {
      const real = owner[name];
      owner[name] = function (...given) { count += 1; if (count === at) fail(kind); return real.apply(this, given); };
      return () => { owner[name] = real; };
    });
  let outcome;
  try { outcome = (await keep({ item: `f${at}` })).id; } catch (error) { outcome = `said: ${error.code ?? error}`; }
  for (const restore of undo) restore();
  return { outcome, reached: count >= at };
}"""


@pytest.mark.parametrize("kind", ["UnknownError", "InvalidStateError", "QuotaExceededError", "AbortError"])
def test_a_storage_fault_at_any_operation_is_healed_or_said(phone, kind):
    page, kept, at, reached = phone.page, [], 1, True
    while reached:
        outcome, reached = page.evaluate(FAULTS, [kind, at]).values()
        if kind == "QuotaExceededError" and reached:
            assert outcome == "said: storage_full"
        else:
            assert len(outcome) == 64, f"operation {at}: {outcome}"
            kept.append(outcome)
        at += 1
    assert at > 10
    chain = held(page)
    assert set(kept) <= {id_ for _, id_, _ in chain}
    assert_unbroken(chain)


def test_a_phone_that_can_keep_nothing_says_so_and_recovers(phone):
    outcome = phone.page.evaluate("""async () => {
      const told = [];
      for (const name of ["lost", "recovered"]) store.store_events.addEventListener(name, () => told.push(name));
      const real = IDBDatabase.prototype.transaction;
      IDBDatabase.prototype.transaction = () => { throw new DOMException("lost", "UnknownError"); };
      const code = await keep().then(() => "kept", (error) => error.code);
      IDBDatabase.prototype.transaction = real;
      const later = (await keep()).payload.sequence;
      return [code, later, told];
    }""")
    assert outcome == ["storage_lost", 1, ["lost", "recovered"]]


def test_an_older_window_lets_the_database_go_and_is_told(phone, site):
    phone.page.evaluate("() => keep()")
    other = load_probe(phone, site)
    assert other.evaluate("""() => new Promise((resolve) => {
      const opening = indexedDB.open("witnessmark", 3);
      opening.onblocked = () => resolve("blocked");
      opening.onsuccess = () => { opening.result.close(); resolve("open"); };
    })""") == "open"
    assert phone.page.evaluate("() => keep().then(() => 'kept', (error) => error.code)") == "storage_newer"


def jpeg(size=(640, 480), orientation=None, position=True):
    """A JPEG whose upright top-left quarter is red, with EXIF orientation and a GPS position."""
    upright = Image.new("RGB", size, "blue")
    upright.paste("red", (0, 0, size[0] // 2, size[1] // 2))
    # How to store an upright picture so that a reader of the tag turns it back: Exif 2.32, 4.6.4 Orientation.
    turns = {2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
             5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
             8: Image.Transpose.ROTATE_270}
    stored = upright.transpose(turns[orientation]) if orientation in turns else upright
    exif = Image.Exif()
    if orientation:
        exif[0x0112] = orientation
    if position:
        exif[0x8825] = {1: "N", 2: (48.0, 8.0, 14.0)}
    out = io.BytesIO()
    stored.save(out, "JPEG", quality=92, exif=exif)
    return out.getvalue()


TAKE = """async (body) => {
  const file = new File([Uint8Array.from(atob(body), (c) => c.charCodeAt(0))], "picture", { type: "text/plain" });
  try {
    const taken = await photo.take_photo(file);
    const bytes = new Uint8Array(await store.photo_bytes(taken.sha256));
    return { taken, body: btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join("")) };
  } catch (error) { return { code: error.code ?? String(error) }; }
}"""


def take(page, body):
    answer = page.evaluate(TAKE, base64.b64encode(body).decode())
    if "code" in answer:
        return answer["code"], None
    return answer["taken"], base64.b64decode(answer["body"])


@pytest.mark.parametrize("orientation", [None, 1, 2, 3, 4, 5, 6, 7, 8])
def test_a_photo_is_kept_upright_and_without_exif(camera, orientation):
    taken, body = take(camera, jpeg((640, 480), orientation))
    picture = Image.open(io.BytesIO(body))
    assert (picture.format, picture.size) == ("JPEG", (640, 480))
    assert (taken["type"], taken["bytes"]) == ("image/jpeg", len(body))
    assert dict(picture.getexif()) == {} and b"Exif" not in body
    red, blue = picture.convert("RGB").getpixel((100, 100)), picture.convert("RGB").getpixel((500, 400))
    assert red[0] > 200 and red[2] < 60 and blue[2] > 200 and blue[0] < 60


def test_a_large_photo_is_scaled_to_1600_px(camera):
    taken, body = take(camera, jpeg((4032, 3024), 6))
    assert (taken["width"], taken["height"]) == Image.open(io.BytesIO(body)).size == (1600, 1200)


def test_what_is_no_photo_is_refused_with_its_reason(camera):
    png = io.BytesIO()
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(png, "PNG")
    assert Image.open(io.BytesIO(take(camera, png.getvalue())[1])).getpixel((4, 4)) == (255, 255, 255)
    assert take(camera, b"<svg xmlns='http://www.w3.org/2000/svg'/>")[0] == "photo_not_image"
    assert take(camera, b"")[0] == "photo_not_image"
    assert take(camera, b"\0\0\0\x18ftypheic" + bytes(64))[0] == "photo_heic"
    assert take(camera, jpeg()[:200])[0] == "photo_unreadable"


DEAD_WORKER = """window.Worker = class extends Worker {
  constructor(url) { super(url); this.terminate(); setTimeout(() => this.dispatchEvent(new Event("error"))); }
}"""


@pytest.mark.parametrize("trouble", [DEAD_WORKER, "delete OffscreenCanvas.prototype.convertToBlob",
                                     "delete window.OffscreenCanvas"])
def test_without_a_worker_the_page_shrinks_the_photo(camera, trouble):
    camera.evaluate(f"() => {{ {trouble}; }}")
    taken, body = take(camera, jpeg((3200, 1600), 6))
    assert Image.open(io.BytesIO(body)).size == (1600, 800) and taken["bytes"] == len(body)


def test_no_photo_is_begun_when_the_phone_is_nearly_full(camera):
    # Chromium 156 answers usage + 10 GiB whatever is free, also under CDP's quota override; Safari and Firefox tell.
    camera.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 60e6, usage: 20e6 }); }")
    assert take(camera, jpeg())[0] == "photo_no_room"
    said = camera.evaluate("() => photo.room_for_photo().catch((error) => error.sentence)")
    assert said.startswith("Only 40 MB are free")


def test_a_full_disk_is_said_and_the_draft_stays(phone):
    outcome = phone.page.evaluate("""async () => {
      await store.save_draft("b".repeat(32), "tube_surface", { note: "typed" });
      const real = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };
      const said = (error) => error.code;
      const codes = [await keep().catch(said), await store.save_draft("c", "d", 1).catch(said)];
      IDBObjectStore.prototype.put = real;
      return [codes, await store.read_draft("b".repeat(32), "tube_surface"), (await store.unsent_facts()).unsent];
    }""")
    assert outcome == [["storage_full", "storage_full"], {"note": "typed"}, 0]


def test_the_storage_promise_is_told_and_a_nominal_size_is_not(phone):
    facts = phone.page.evaluate("() => store.storage_facts()")
    assert facts["persisted"] in (True, False) and facts["installed"] is False and facts["usage"] >= 0
    phone.page.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 2 ** 30 + 5, usage: 5 }); }")
    assert phone.page.evaluate("async () => (await store.storage_facts()).free") is None
    phone.page.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 900, usage: 5 }); }")
    assert phone.page.evaluate("async () => (await store.storage_facts()).free") == 895


def test_a_photo_whose_bytes_changed_is_never_given_out(phone):
    taken, _ = take(phone.page, jpeg())
    code = phone.page.evaluate("""async (sha256) => {
      const { in_transaction } = await import("/repo/client/device/database.js");
      await in_transaction(["photos"], "readwrite", async (tx) => {
        const bytes = new Uint8Array(await tx.objectStore("photos").get(sha256));
        bytes[300] ^= 1;
        tx.objectStore("photos").put(bytes.buffer, sha256);
      });
      return store.photo_bytes(sha256).catch((error) => error.code);
    }""", taken["sha256"])
    assert code == "photo_damaged"


def test_unsent_work_can_be_exported_whole(phone):
    taken, body = take(phone.page, jpeg())
    text = phone.page.evaluate("""async (taken) => {
      const { sha256, bytes, type } = taken;
      await keep({ body: { ...facts().body, photos: [{ sha256, bytes, type, caption: "" }] } });
      return store.export_unsent();
    }""", taken)
    export = json.loads(text)
    assert [payload_of(entry["text"])["sequence"] for entry in export["entries"]] == [1]
    photos = [(photo["sha256"], base64.b64decode(photo["base64"])) for photo in export["photos"]]
    assert photos == [(taken["sha256"], body)]


def test_a_server_that_accepts_and_never_answers_is_given_up(phone, site):
    phone.page.evaluate("async () => { window.api = await import('/repo/client/device/api.js'); }")
    site.hanging.set()
    code = phone.page.evaluate("""async () => {
      return api.ask("POST", "/api/sync", { json: {}, patience: 200 }).catch((error) => error.code);
    }""")
    site.hanging.clear()
    assert code == "server_unreachable"


SIMULATION = """async (seeds) => {
  const { simulate } = await import("/repo/tests/device/simulation.js");
  const { MemoryStore } = await import("/repo/tests/device/memory_store.js");
  const sync_store = await import("/repo/client/device/sync_store.js");
  const { forgetConnection, in_transaction } = await import("/repo/client/device/database.js");
  const { device_id, forget_chain, keep_entry } = await import("/repo/client/device/entries.js");
  const { log_alarm } = await import("/repo/client/device/phone_facts.js");
  const { open_key } = await import("/repo/client/device/unlocked.js");
  const { signer_of } = await import("/repo/tests/device/signers.js");
  const { keep_photo } = await import("/repo/client/device/photo_store.js");
  const { write_facts } = await import("/repo/client/device/drafts.js");
  const all = (name) => in_transaction([name], "readonly", (tx) => tx.objectStore(name).getAll());
  for (const seed of seeds) {
    await forgetConnection();
    forget_chain();
    await new Promise((resolve, reject) => Object.assign(indexedDB.deleteDatabase("witnessmark"),
      { onsuccess: resolve, onerror: reject }));
    await write_facts({ person: { person: "d".repeat(32) }, server: { server: "a".repeat(32) } });
    open_key({ ...await signer_of(await device_id(), "d".repeat(32)), by: "code" });
    const real = { name: "real", store: sync_store, keep: (make) => keep_entry(make), keepPhoto: keep_photo,
      everyEntry: () => all("entries"), everyPhoto: () => all("photo_state"), alarm: log_alarm };
    const memory = new MemoryStore("f".repeat(32));
    const other = { name: "other", store: memory, keep: (make) => memory.keep(make),
      keepPhoto: (photo) => memory.keepPhoto(photo), everyEntry: () => memory.everyEntry(),
      everyPhoto: () => memory.everyPhoto(), alarm: async () => memory.alarm };
    await simulate(seed, [real, other]).catch((error) => { throw new Error(`seed ${seed}: ${error.message}`); });
  }
  return seeds.length;
}"""


def test_seeded_days_with_broken_links_lose_nothing_in_a_real_database(phone):
    assert phone.page.evaluate(SIMULATION, list(range(201, 213))) == 12
