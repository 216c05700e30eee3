"""In WebKit, the engine of every iPhone: the rules hold, and a card is walked, cut off from its server, caught up."""

import io
import json
import urllib.error
from pathlib import Path

import pytest
from people import CODES
from picture import camera_picture
from PIL import Image
from shop import Caller, Shop
from webkit import WebKit, until
from webkit_hands import check_width, choose, kept_photos, open_item, photograph, record, sign_in

from witnessmark.records.stored import payload_of

VECTORS = sorted((Path(__file__).parents[1] / "vectors").glob("*.json"))
MECHANIC, READER = "maria", ("rowan", "only here to read it")
ALL_THERE = "Everything is on the server"
# As vectors.test.js: a ratio {n, d} of BigInts stands in JSON as its lowest terms.
RUN_VECTORS = """
const rules = await import(`./rules/${given[0]}.js`);
const { Problem } = await import("./rules/problems.js");
const common = (a, b) => (b === 0n ? a : common(b, a % b));
const each = (value, turn) => {
  if (Array.isArray(value)) return value.map(turn);
  if (Object.getPrototypeOf(value) !== Object.prototype) return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, turn(one)]));
};
const unpacked = (value) => {
  if (value === null || typeof value !== "object") return value;
  if (Object.keys(value).join() !== "ratio") return each(value, unpacked);
  const [n, d] = value.ratio.split("/").map(BigInt);
  return { n, d };
};
const packed = (value) => {
  if (value === null || typeof value !== "object") return value ?? null;
  if (typeof value.n !== "bigint") return each(value, packed);
  const divisor = common(value.n < 0n ? -value.n : value.n, value.d);
  return { ratio: `${value.n / divisor}/${value.d / divisor}` };
};
const answers = [];
for (const one of JSON.parse(given[1]).cases) {
  try {
    answers.push({ out: packed(await rules[one.function](...one.in.map(unpacked))) });
  } catch (error) {
    answers.push(error instanceof Problem ? { problem: error.code } : { broke: String(error) });
  }
}
return JSON.stringify(answers);
"""
# Keeps every writer of entries waiting, and notes in `order` what the page says and when it lets the writers go.
HOLD_ENTRIES = """
window.order = [];
const said = document.getElementById("said");
new MutationObserver(() => order.push(said.textContent)).observe(said, { childList: true, characterData: true });
const asked = indexedDB.open("witnessmark");
const database = await new Promise((resolve) => { asked.onsuccess = () => resolve(asked.result); });
let looks = 0;
const counting = setInterval(() => { looks += document.querySelector("button.verdict.pass")?.disabled ? 1 : 0; }, 20);
const entries = database.transaction("entries", "readwrite").objectStore("entries");
const hold = () => {
  if (looks < 15) { entries.get("nothing").onsuccess = hold; return; }
  clearInterval(counting);
  order.push("let go");
  database.close();
};
hold();
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    shop = Shop(tmp_path_factory.mktemp("shop") / "data")
    try:
        shop.start()
        yield shop
    finally:
        shop.stop()


@pytest.fixture
def webkit(tmp_path):
    with WebKit(tmp_path) as webkit:
        yield webkit


def said_of(case):
    """A case's answer as text, where Python's 1, 1.0 and True differ."""
    return json.dumps({"problem": case["problem"]} if "problem" in case else {"out": case["out"]}, sort_keys=True)


def test_the_rules_hold_every_vector(shop, webkit):
    webkit.go(shop.url)
    wrong, right = [], 0
    for path in VECTORS:
        text = path.read_text(encoding="utf-8")
        vectors = json.loads(text)
        answers = json.loads(webkit.script(RUN_VECTORS, path.stem, text))
        for case, answer in zip(vectors["cases"], answers, strict=True):
            same = json.dumps(answer, sort_keys=True) == said_of(case)
            right += same
            wrong += [] if same else [(path.stem, case["why"], answer)]
    assert wrong == []
    assert right == sum(json.loads(path.read_text(encoding="utf-8"))["count"] for path in VECTORS) > 0


# A key is made, wrapped, kept, read back through a new connection and signs, as in Chromium; the page plays the
# server's part, because only the engine is looked at here.
ROUND_TRIP = """
const [keys, drafts, store, entry, signature] = await Promise.all(["device/keys", "device/drafts", "device/store",
  "rules/entry", "rules/signature"].map((path) => import(`/${path}.js`)));
const person = "d".repeat(32), sent = [];
window.fetch = async (path, { body }) => {
  sent.push(JSON.parse(new TextDecoder().decode(body)));
  return new Response('{"kid":"x"}', { status: 201 });
};
const author = { person, name: "Ann", certificate: { kind: "mechanic", number: "1" } };
await drafts.write_facts({ person: author, server: { server: "a".repeat(32) } });
const trouble = await keys.can_keep_keys();
if (trouble) return [trouble.code, trouble.sentence];
await keys.enrol({ guard: "code", code: "48151623" }, "iPhone");
keys.lock();
const wrong = await keys.unlock(person, { code: "48151624" }).catch(({ code }) => code);
await keys.unlock(person, { code: "48151623" });
const kept = await store.keep_entry((chain) => entry.make_entry({ ...chain, kind: "result", server: "a".repeat(32),
  card: "b".repeat(32), revision: "c".repeat(64), aircraft: { registration: "N0417W", serial_number: "0042" },
  item: "tube_surface", supersedes: [], author, claimed_at: "2026-11-25T08:00:00Z",
  body: { result: "pass", readings: {}, note: "", photos: [], discrepancy: null } }));
const read = signature.read_jws(kept.text, signature.ENTRY_TYP);
const [{ iterations }] = await keys.enrolled();
return [await signature.verify(read, sent[0].jwk), wrong, iterations >= 600000, kept.payload.unlocked.use];
"""


def test_a_signing_key_is_kept_wrapped_and_signs(shop, webkit):
    webkit.go(f"{shop.url}/shell-manifest.json")
    assert webkit.script(ROUND_TRIP) == [True, "code_wrong", True, 1]


def check_saved_waits_for_the_disk(webkit, card):
    open_item(webkit, card, "tools_in")
    webkit.type("#count_in-0", "4 tools, 2 rags")
    webkit.script(HOLD_ENTRIES)
    record(webkit, "pass")
    order = webkit.script("return order.filter(Boolean)")
    assert order[0] == "let go" and order[1].startswith("Saved on this phone: 1.1"), order


def walk_with_the_server(webkit, card, tmp_path):
    check_saved_waits_for_the_disk(webkit, card)
    open_item(webkit, card, "bonding")
    webkit.tap("button.verdict.fail")
    webkit.wait("document.activeElement.id === 'found-what'")
    webkit.type("#found-what", "Clamp bites paint.")
    webkit.type("#found-where", "Left skid")
    record(webkit, "fail")
    open_item(webkit, card, "sample_clean")
    webkit.type("#quantity-0", "0.75")
    for found in ("clear and bright", "no water", "no sediment"):
        choose(webkit, found)
    photograph(webkit, camera_picture(tmp_path / "one.jpg", "SAMPLE", orientation=6))
    record(webkit, "pass")


def walk_without_the_server(webkit, card, tmp_path):
    open_item(webkit, card, "sample_grade")
    choose(webkit, "blue (AVGAS 100LL)")
    photograph(webkit, camera_picture(tmp_path / "two.jpg", "GRADE", orientation=8))
    record(webkit, "pass", CODES[MECHANIC])  # the page was loaded anew, so the key is locked
    open_item(webkit, card, "bowl_torque")
    webkit.type("#torque-0", "27.5")
    webkit.type("#torque-tool", "TW-11")  # a wrench of that range: the shop's large one cannot tell 27.5 in-lbf
    record(webkit, "pass")


def on_the_server(reader, card, count):
    """The payloads by item, as soon as the server shows `count` entries."""
    told = until(lambda: [told for told in [reader.json(f"/api/cards/{card}")] if len(told["entries"]) == count],
                 lambda: f"{len(reader.json(f'/api/cards/{card}')['entries'])} of {count} entries arrived", wait=40)[0]
    payloads = [payload_of(entry["text"]) for entry in told["entries"]]
    return {payload["item"]: payload["body"] for payload in payloads}


def arrived(reader, name):
    try:
        return reader.bytes(f"/api/photos/{name}")
    except urllib.error.HTTPError as missing:
        with missing:
            assert missing.code == 404
        return None


def check_photos(webkit, reader, count):
    kept = kept_photos(webkit)
    assert len(kept) == count
    for name, held in kept.items():
        sent = until(lambda name=name: arrived(reader, name), lambda name=name: f"photo {name} did not arrive", wait=40)
        assert sent == held
        with Image.open(io.BytesIO(sent)) as upright:
            assert (upright.format, upright.size, dict(upright.getexif())) == ("JPEG", (1200, 1600), {})
            red, green, blue = upright.convert("RGB").getpixel((600, 60))  # the upper edge is red in picture.py
            assert red > 150 and green < 80 and blue < 80


def check_promises(webkit):
    """The window forgets everything when it closes, and WebKit promises nothing: the app says so."""
    webkit.wait("document.querySelector('unsent-line').innerText.includes('Browser may clear storage')")
    webkit.script("location.hash = '#/phone'")
    webkit.wait("document.querySelector('phone-page')?.innerText.includes('may clear its storage by itself')")
    assert "7 days" in webkit.text("phone-page")
    check_width(webkit)


def test_a_card_is_walked_cut_off_and_caught_up(shop, webkit, tmp_path):
    webkit.go(shop.url)
    sign_in(webkit, MECHANIC)
    webkit.wait("document.querySelectorAll('card-list a .marks, card-list a witness-mark').length > 10")
    card = webkit.script("""return [...document.querySelectorAll("card-list a")]
        .find((link) => /N0417W/.test(link.innerText) && /Fuel strainer/.test(link.innerText)).hash.split("/")[2]""")
    reader = Caller(shop, *READER)

    walk_with_the_server(webkit, card, tmp_path)
    bodies = on_the_server(reader, card, 3)
    assert {item: body["result"] for item, body in bodies.items()} == {
        "tools_in": "pass", "bonding": "fail", "sample_clean": "pass"}
    assert bodies["sample_clean"]["readings"]["quantity"]["values"] == ["0.75"]
    assert bodies["bonding"]["discrepancy"] == {"what": "Clamp bites paint.", "where": "Left skid"}
    check_photos(webkit, reader, 1)
    webkit.wait("document.querySelector('unsent-line').innerText.includes(given[0])", ALL_THERE)
    webkit.wait("(await navigator.serviceWorker.getRegistration())?.active?.state === 'activated'")
    assert webkit.script("return faults") == []

    shop.stop()
    webkit.go(shop.url)
    webkit.wait("!!document.querySelector('card-list a')")
    walk_without_the_server(webkit, card, tmp_path)
    webkit.wait("/2 entries, 1 photo unsent/.test(document.querySelector('unsent-line').innerText)")
    webkit.wait("document.querySelector('unsent-line').innerText.includes('No connection')")
    check_promises(webkit)

    shop.start()
    webkit.wait("!document.querySelector('phone-page .ways button').disabled")
    webkit.tap("phone-page .ways button")
    bodies = on_the_server(reader, card, 5)
    assert bodies["bowl_torque"]["readings"]["torque"]["values"] == ["27.5"]
    assert bodies["sample_grade"]["photos"][0]["sha256"] in kept_photos(webkit)
    check_photos(webkit, reader, 2)
    webkit.wait("document.querySelector('unsent-line').innerText.includes(given[0])", ALL_THERE)
    assert webkit.script("return faults") == []
