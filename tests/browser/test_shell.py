"""The app's own files on the phone: started without a network, replaced only whole and only on the person's tap.

The site has the files behind the screens alone; `test_device_sync` installs the real one whole.
"""

import json

import pytest
from device_site import PROBE, DeviceSite, client_files
from phone import Phone

START = 'async () => { window.updates = (await import("/device/update.js")).updates; await updates.start(); }'
READY = "async () => { await navigator.serviceWorker.ready; }"
CACHES = """async () => {
  const found = {};
  for (const name of await caches.keys()) {
    found[name] = (await (await caches.open(name)).keys()).map(({ url }) => new URL(url).pathname).sort();
  }
  return found;
}"""
TAPPED = "() => updates.apply().then(() => 'applied', (error) => error.sentence)"


@pytest.fixture
def site():
    # The page itself does nothing, so that each test starts and updates by its own hand.
    files = {path: body for path, body in client_files().items() if not path.startswith(("/screens/", "/parts/"))}
    site = DeviceSite({**files, "/index.html": PROBE})
    yield site
    site.close()


@pytest.fixture
def phone(chromium, site, tmp_path):
    phone = Phone(chromium, tmp_path / "profile", site.address)
    phone.start("/")
    yield phone
    phone.close()


def install(page):
    page.evaluate(START)
    page.evaluate(READY)
    page.wait_for_function("() => navigator.serviceWorker.controller")


def release(site, text="second"):
    """The shop's server now has another version."""
    site.files = {**site.files, "/index.html": PROBE.replace(b"probe", text.encode())}
    return f"witnessmark-shell-{site.version}"


def look_for_version(page):
    return page.evaluate("""async () => {
      const registration = await navigator.serviceWorker.getRegistration();
      await registration.update().catch(() => {});
      const { installing } = registration;
      if (installing) await new Promise((resolve) => { installing.onstatechange = () => {
        if (installing.state === "installed" || installing.state === "redundant") resolve(); }; });
      return Boolean(registration.waiting);
    }""")


def test_the_cache_holds_exactly_the_manifest_and_no_answer_of_the_api(phone, site):
    install(phone.page)
    phone.page.evaluate("async () => { await fetch('/api/health'); await fetch('/nothing.json'); }")
    phone.page.reload()
    promised = sorted(file["url"] for file in json.loads(site.shell_manifest())["files"])
    assert phone.page.evaluate(CACHES) == {f"witnessmark-shell-{site.version}": promised}
    assert "/service_worker.js" not in promised and "/device/sync.js" in promised


def test_it_cold_starts_while_the_server_accepts_and_never_answers(phone, site):
    install(phone.page)
    phone.close()
    site.hanging.set()
    page = phone.start("/")
    assert page.inner_text("h1") == "probe"
    # SHA-256 of nothing: FIPS 180-4 example values of NIST's test vectors; from memory.
    digest = page.evaluate("async () => (await import('/device/hash.js')).sha256_hex(new Uint8Array())")
    assert digest == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    assert page.goto(f"{site.address}/cards").status == 200


def test_the_offline_page_keeps_its_content_policy(phone, site):
    install(phone.page)
    assert "require-trusted-types-for 'script'" in phone.page.reload().headers["content-security-policy"]
    assert "Refused" in phone.page.evaluate("() => { try { document.body.innerHTML = '<b>x</b>'; return 'taken'; } "
                                            "catch (error) { return 'Refused: ' + error.name; } }")


def test_only_our_two_workers_may_be_started(phone):
    outcome = phone.page.evaluate("""async () => {
      const { worker_url } = await import("/device/trusted.js");
      const tries = [() => worker_url("/api/photos/x"), () => new Worker("/device/photo_worker.js"),
        () => trustedTypes.createPolicy("sw", {}), () => trustedTypes.createPolicy("evil", {}),
        () => worker_url("/device/photo_worker.js")];
      return tries.map((attempt) => { try { return String(attempt()); } catch (error) { return error.name; } });
    }""")
    assert outcome == ["TypeError"] * 4 + ["/device/photo_worker.js"]


def test_one_wrong_byte_and_the_version_at_hand_stays(phone, site):
    install(phone.page)
    before = phone.page.evaluate(CACHES)
    release(site)
    body = site.files["/device/photo_store.js"]
    for damaged in (body[:-1], body[:-2] + b" \n", body + b" "):
        site.tampered["/device/photo_store.js"] = damaged
        assert look_for_version(phone.page) is False
        assert phone.page.evaluate(CACHES) == before
    site.tampered.clear()
    assert look_for_version(phone.page) is True


def test_a_tampered_first_visit_installs_nothing(phone, site):
    site.tampered["/vendor/idb.js"] = b"export {};"
    phone.page.evaluate("""async () => {
      const { worker_url } = await import("/device/trusted.js");
      const registration = await navigator.serviceWorker.register(worker_url("/service_worker.js"));
      const worker = registration.installing;
      await new Promise((resolve) => { worker.onstatechange = () => worker.state === "redundant" && resolve(); });
    }""")
    assert phone.page.evaluate(CACHES) == {}
    assert phone.page.inner_text("h1") == "probe"


def test_a_new_version_waits_for_the_tap_and_reloads_once(phone, site):
    page = phone.page
    install(page)
    first = f"witnessmark-shell-{site.version}"
    page.evaluate("() => { window.told = 0; updates.addEventListener('ready', () => { told += 1; }); }")
    second = release(site)
    assert look_for_version(page) is True
    assert page.evaluate("() => [told, updates.waiting]") == [1, True]
    assert page.reload() and page.inner_text("h1") == "probe", "a reload alone takes nothing new"
    page.evaluate(START)
    loads = []
    page.on("load", lambda _: loads.append(1))
    page.evaluate("() => { updates.apply(); }")
    page.wait_for_function("() => document.querySelector('h1')?.innerText === 'second'")
    page.wait_for_timeout(500)
    assert len(loads) == 1
    assert sorted(page.evaluate(CACHES)) == sorted([first, second])
    page.evaluate(START)
    third = release(site, "third")
    assert look_for_version(page) is True
    page.evaluate("() => { updates.apply(); }")
    page.wait_for_function("() => document.querySelector('h1')?.innerText === 'third'")
    assert sorted(page.evaluate(CACHES)) == sorted([second, third]), "the version before the last is gone"


def test_an_open_item_in_this_or_another_window_keeps_the_update_away(phone, site):
    page = phone.page
    install(page)
    other = phone.context.new_page()
    other.goto(site.address)
    other.evaluate(START)
    release(site)
    assert look_for_version(page) is True
    page.evaluate("() => { window.free = updates.hold('an item is open'); }")
    assert page.evaluate(TAPPED) == "The update waits: an item is open. Finish that first, then tap again."
    page.evaluate("() => free()")
    other.evaluate("() => { window.free = updates.hold('an item is open'); }")
    other.wait_for_timeout(100)
    assert "another window has an item open" in page.evaluate(TAPPED)
    other.evaluate("() => { window.taken = 0; updates.addEventListener('taken', () => { taken += 1; }); free(); }")
    other.wait_for_timeout(100)
    page.evaluate("() => { updates.apply(); }")
    page.wait_for_function("() => document.querySelector('h1')?.innerText === 'second'")
    assert other.evaluate("() => taken") == 1, "the other window is told, not reloaded"
    assert other.inner_text("h1") == "probe"


def test_the_way_out_removes_the_shell_and_leaves_the_entries(phone):
    page = phone.page
    install(page)
    page.evaluate("async () => (await import('/device/store.js')).save_draft('c', 'i', { note: 'stays' })")
    with page.expect_navigation():
        page.evaluate("() => { updates.remove(); }")
    assert page.evaluate(CACHES) == {}
    assert page.evaluate("async () => (await navigator.serviceWorker.getRegistrations()).length") == 0
    draft = page.evaluate("async () => (await import('/device/store.js')).read_draft('c', 'i')")
    assert draft == {"note": "stays"}
