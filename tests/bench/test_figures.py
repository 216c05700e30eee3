"""The figures of the main job: printed, never asserted. `python3 server test --bench` runs them.

Times are of this machine in this run. The signing key is opened before an entry's clock starts; signing is inside it.
Playwright's debugger is attached while photos are uploaded, which makes each of them slower than on a phone without it.
"""

import base64
import gzip
import statistics
import sys
import time
from pathlib import Path

import pytest
from playwright.sync_api import expect, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from people import CODES, sign_in  # noqa: E402
from phone import Phone  # noqa: E402
from picture import camera_picture  # noqa: E402
from shop import Shop  # noqa: E402

from witnessmark import create_app, demo  # noqa: E402
from witnessmark.config import bundled, read_settings  # noqa: E402
from witnessmark.pdf.seal import seal  # noqa: E402
from witnessmark.records import cards, papers  # noqa: E402
from witnessmark.records.database import db  # noqa: E402

pytestmark = pytest.mark.bench
MECHANIC = "maria"
CARDS = len(demo.FACTS["issued"])
UNLOCK = """async (code) => {
  const { unlock } = await import('./device/keys.js');
  const { session } = await import('./device/session.js');
  await unlock(session.person.person, { code });
}"""
RECORD = """async ([card, count]) => {
  const { open_card } = await import('./screens/open_card.js');
  const { record } = await import('./screens/record.js');
  const body = { result: 'fail', readings: {}, note: '', photos: [],
    discrepancy: { what: 'Grey dust.', where: 'Aft.' } };
  const took = [];
  const view = await open_card(card);
  const items = view.template.zones.flatMap((zone) => zone.items.map(({ item }) => item));
  for (let turn = 0; turn < count; turn += 1) {
    const from = performance.now();
    await record(view, { kind: 'result', item: items[turn % items.length], supersedes: [], body });
    took.push(performance.now() - from);
  }
  return took;
}"""
PHOTOGRAPH = """async (pictures) => {
  const { take_photo } = await import('./device/photo.js');
  const { open_card } = await import('./screens/open_card.js');
  const { record } = await import('./screens/record.js');
  const view = await open_card(location.hash.split('/')[2]);
  const took = [];
  for (const picture of pictures) {
    const bytes = Uint8Array.from(atob(picture), (letter) => letter.charCodeAt(0));
    const from = performance.now();
    const { sha256, bytes: size, type } = await take_photo(new File([bytes], 'camera.jpg', { type: 'image/jpeg' }));
    took.push(performance.now() - from);
    await record(view, { kind: 'result', item: view.template.zones[0].items[0].item, supersedes: [], body: {
      result: 'fail', readings: {}, note: '', photos: [{ sha256, bytes: size, type, caption: '' }],
      discrepancy: { what: 'See the photo.', where: 'Aft.' } } });
  }
  return took;
}"""


def figure(name, value):
    print(f"  {name:<58} {value}")


def spread(times):
    ordered = sorted(times)
    return f"p50 {statistics.median(ordered):.1f} ms, p95 {ordered[int(len(ordered) * 0.95)]:.1f} ms, n {len(ordered)}"


def pictures(folder, count):
    made = []
    for number in range(count):
        path = camera_picture(folder / f"{number}.jpg", f"PHOTO {number}", size=(4032, 3024))
        made.append(base64.b64encode(path.read_bytes()).decode())
    return made


@pytest.fixture
def shop(tmp_path):
    shop = Shop(tmp_path / "data")
    shop.start()
    yield shop
    shop.stop()


def test_tap_to_saved_and_sync_of_a_hundred_results_and_twenty_photos(shop, tmp_path):
    with sync_playwright() as playwright:
        phone = Phone(playwright, tmp_path / "profile", shop.url)
        page = phone.start()
        sign_in(page, MECHANIC)
        expect(page.locator("card-list a", has_text="Open.")).to_have_count(CARDS)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.locator("card-list a", has_text="Open.").first.click()
        expect(page.locator(".ways a.primary").first).to_be_visible()
        card = page.url.rsplit("/", 1)[1]
        shop.stop()
        page.evaluate(UNLOCK, CODES[MECHANIC])
        print()
        figure("an entry made, signed, kept (strict commit) and read back", spread(page.evaluate(RECORD, [card, 100])))
        figure("12-megapixel photo to kept", spread(page.evaluate(PHOTOGRAPH, pictures(tmp_path, 20))))
        requests = []
        page.on("requestfinished", lambda request: "/api/" in request.url and requests.append(request))
        shop.start()
        began = time.perf_counter()
        page.evaluate("import('./device/sync.js').then(({ syncer }) => syncer.now())")
        expect(page.locator("unsent-line")).to_contain_text("Everything is on the server", timeout=60000)
        took = time.perf_counter() - began
        sizes = [request.sizes() for request in requests]
        up = sum(size["requestBodySize"] + size["requestHeadersSize"] for size in sizes)
        down = sum(size["responseBodySize"] + size["responseHeadersSize"] for size in sizes)
        figure("sync of 120 entries and 20 photos: time", f"{took:.2f} s")
        figure("  requests, bytes up, bytes down", f"{len(requests)}, {up}, {down}")
        requests.clear()
        told = page.evaluate("import('./device/sync.js').then(({ syncer }) => syncer.now())")
        left = [told[name] for name in ("unsent", "refused", "photos_unsent", "problem")]
        assert left == [0, 0, 0, None], "the figures are of entries that the server has kept"
        idle = [request.sizes() for request in requests]
        figure("sync with nothing to say: requests, bytes up and down",
               f"{len(idle)}, {sum(s['requestBodySize'] + s['requestHeadersSize'] for s in idle)}, "
               f"{sum(s['responseBodySize'] + s['responseHeadersSize'] for s in idle)}")
        phone.close()


def test_paper_of_the_biggest_card(tmp_path, monkeypatch):
    biggest = max(bundled("checklists").glob("*.yaml"), key=lambda path: path.read_text().count("- item:")).stem
    told = demo.FACTS["released"]
    monkeypatch.setitem(demo.FACTS, "released", {**told, "card": biggest, "failed": {**told["failed"],
                                                                                     "item": "tools_out"}})
    app = create_app(read_settings({"data": tmp_path / "data"}, {}))
    demo.fill(app)
    office = app.extensions["witnessmark_office"]
    with app.app_context():
        (card,) = papers.due()
    took = [seconds(office.make_paper, card)]
    with app.app_context():
        facts = cards.card_facts(card)
        took.append(seconds(lambda: seal(office._rendered(facts), office._seal_key)))
        size = papers.find(card)["bytes"]
        db.engine.dispose()
    office.close()
    print()
    figure(f"sealed paper of {biggest} ({facts['state']['counts']['items']} items): first, again, bytes",
           f"{took[0]:.2f} s, {took[1]:.2f} s, {size}")


def seconds(work, *given):
    began = time.perf_counter()
    work(*given)
    return time.perf_counter() - began


def test_size_of_the_shell():
    client = bundled("client")
    shell = [path for path in client.rglob("*") if path.suffix in (".js", ".css", ".html", ".woff2", ".webmanifest",
                                                                   ".svg", ".png")]
    packed = {path: len(path.read_bytes() if path.suffix in (".woff2", ".png") else
                        gzip.compress(path.read_bytes(), 6)) for path in shell}
    scripts = {path: size for path, size in packed.items() if path.suffix == ".js"}
    fonts = sum(size for path, size in packed.items() if path.suffix == ".woff2")
    print()
    figure("shell, gzipped: files, bytes", f"{len(packed)}, {sum(packed.values())}")
    figure("  of it scripts: files, bytes", f"{len(scripts)}, {sum(scripts.values())}")
    figure("  of it vendored scripts, fonts", f"{sum(s for p, s in scripts.items() if 'vendor' in p.parts)}, {fonts}")
