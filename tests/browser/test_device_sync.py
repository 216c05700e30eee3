"""The phone's own sync modules against the real server: everything arrives, whatever breaks on the way.

A shop with the phones of Maria and Tom is set up once; each test works on copies of its data and of their profiles.
A backup that nobody speaks of is restored by default; one that the shop speaks of is behind the marker `faults`, since
all that differs is which side begins the new epoch.
"""

import base64
import shutil
import threading

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from phone import Phone, copy_profile
from playwright.sync_api import expect
from shop import free_port
from sqlalchemy import func, select
from werkzeug.serving import make_server

import cast
from witnessmark import create_app
from witnessmark.config import read_settings
from witnessmark.records import keys as keys_of_shop
from witnessmark.records import log, shop
from witnessmark.records.database import db
from witnessmark.records.stored import payload_of
from witnessmark.records.tables import Entry
from witnessmark.rules.problems import Problem

# A page of the server that starts no app of its own, so that the test alone calls the modules.
QUIET_PAGE = "/shell-manifest.json"
CODE = "48151623"
LOAD = """async () => {
  window.store = await import("/device/store.js");
  window.entry = await import("/rules/entry.js");
  window.photo = await import("/device/photo.js");
  window.api = await import("/device/api.js");
  window.keys = await import("/device/keys.js");
  ({ session: window.session } = await import("/device/session.js"));
  ({ syncer: window.syncer } = await import("/device/sync.js"));
  await session.open();
  window.passes = (card, item, photos = [], supersedes = []) => store.keep_entry((chain) => entry.make_entry({ ...chain,
    kind: "result", item, supersedes, server: session.server.server, card: card.card, revision: card.revision,
    aircraft: { registration: card.aircraft.registration, serial_number: card.aircraft.serial_number },
    author: { person: session.person.person, name: session.person.name, certificate: session.person.certificate },
    claimed_at: "2026-11-25T08:00:00Z",
    body: { result: "pass", readings: {}, note: "", photos, discrepancy: null } }));
  window.picture = async (body) => {
    const file = new File([Uint8Array.from(atob(body), (c) => c.charCodeAt(0))], "x");
    const { sha256, bytes, type } = await photo.take_photo(file);
    return { sha256, bytes, type, caption: "" };
  };
}"""
SYNC = """async () => {
  const { state, unsent, refused, photos_unsent, problem } = await syncer.now();
  return { state, unsent, refused, photos_unsent, problem: problem && [problem.code, problem.sentence] };
}"""
AGREED = {"state": "idle", "unsent": 0, "refused": 0, "photos_unsent": 0, "problem": None}
STATES = "async (card) => (await store.entries_of(card)).map(({ id, state }) => [id, state]).sort()"


class Server:
    """The app on a port of its own, that can go away and come back."""

    def __init__(self, app, port):
        self.app, self.port, self.serving = app, port, None
        self.url = f"http://localhost:{self.port}"
        self.start()

    def start(self):
        self.serving = make_server("127.0.0.1", self.port, self.app, threaded=True)
        threading.Thread(target=self.serving.serve_forever, daemon=True).start()

    def stop(self):
        if self.serving:
            self.serving.shutdown()
            self.serving.server_close()
            self.serving = None


class World:
    """The cast's shop and the phones of two people who have set up signing; a phone belongs to the shop's port."""

    def __init__(self, folder, chromium, filled):
        self.folder, self.port = folder, free_port()
        app = create_app(settings_of(shutil.copytree(filled[0], folder / "data")))
        server = Server(app, self.port)
        for login in ("maria", "tom"):
            phone = Phone(chromium, folder / login, server.url)
            set_up(phone.start(QUIET_PAGE), login)
            phone.close()
        server.stop()
        app.extensions["witnessmark_office"].close()
        with app.app_context():
            db.engine.dispose()


def settings_of(folder):
    return read_settings({"data": folder, "hosts": "shop.example"}, {})


def set_up(page, login):
    page.evaluate(LOAD)
    page.evaluate("([login, password]) => session.sign_in(login, password)", [login, cast.PASSWORD])
    page.evaluate("(code) => keys.enrol({ guard: 'code', code }, 'Test phone')", CODE)


@pytest.fixture(scope="module")
def world(chromium, filled, tmp_path_factory):
    return World(tmp_path_factory.mktemp("world"), chromium, filled)


@pytest.fixture
def settings(tmp_path, world):
    """Settings of a server on this test's own copy of the shop."""
    return settings_of(shutil.copytree(world.folder / "data", tmp_path / "data"))


@pytest.fixture
def server(app, world):
    server = Server(app, world.port)
    yield server
    server.stop()


@pytest.fixture
def phone(chromium, server, world, tmp_path):
    """Make a phone on which `login` is signed in with an open key, set up just now if `new`; returns its page."""
    phones = []

    def make(login="maria", new=False):
        profile = tmp_path / f"profile{len(phones)}"
        if not new:
            copy_profile(world.folder / login, profile)
        phone = Phone(chromium, profile, server.url)
        page = phone.start(QUIET_PAGE)
        phones.append(phone)
        page.phone = phone
        if new:
            set_up(page, login)
            return page
        page.evaluate(LOAD)
        page.evaluate("(code) => keys.unlock(session.person.person, { code })", CODE)
        return page

    yield make
    for phone in phones:
        phone.close()


def test_work_done_without_a_server_arrives_and_reaches_the_other_phone(phone, server, card):
    one, two = phone("maria"), phone("tom")
    assert one.evaluate(SYNC) == AGREED
    assert one.evaluate("async () => (await store.cards()).map(({ number }) => number)") == [card["number"]]
    template = one.evaluate("(revision) => store.template(revision)", card["revision"])
    assert template["title"] == cast.TEMPLATE["title"]
    server.stop()
    body, _ = cast.jpeg(3000, 2000)
    one.evaluate("""async ([card, body]) => {
      await passes(card, "surface");
      await passes(card, "boom", [await picture(body)]);
    }""", [card, base64.b64encode(body).decode()])
    offline = one.evaluate(SYNC)
    assert (offline["state"], offline["unsent"], offline["photos_unsent"]) == ("offline", 2, 1)
    assert offline["problem"][0] == "server_unreachable"
    server.start()
    assert one.evaluate(SYNC) == AGREED
    assert two.evaluate(SYNC) == AGREED
    assert two.evaluate(STATES, card["card"]) == one.evaluate(STATES, card["card"])
    sha256 = one.evaluate("""async () => {
      const [, second] = await store.entries_of((await store.cards())[0].card);
      return (await entry.read_entry(second.text)).payload.body.photos[0].sha256;
    }""")
    same = one.evaluate("""async (sha256) => {
      const theirs = new Uint8Array(await (await fetch(`/api/photos/${sha256}`)).arrayBuffer());
      const ours = new Uint8Array(await store.photo_bytes(sha256));
      return ours.length === theirs.length && ours.every((byte, at) => byte === theirs[at]);
    }""", sha256)
    assert same is True


def test_the_real_site_installs_whole_and_starts_without_its_server(chromium, server, tmp_path):
    phone = Phone(chromium, tmp_path / "profile", server.url)
    page = phone.start("/")
    page.wait_for_function("() => navigator.serviceWorker.controller")
    manifest = page.evaluate("async () => (await fetch('/shell-manifest.json', { cache: 'no-store' })).json()")
    name, paths = page.evaluate("""async () => {
      const [name, ...more] = await caches.keys();
      const found = (await (await caches.open(name)).keys()).map(({ url }) => new URL(url).pathname);
      return [[name, ...more].join(), found.sort()];
    }""")
    assert name == f"witnessmark-shell-{manifest['version']}"
    assert paths == sorted(file["url"].removeprefix(".") for file in manifest["files"])
    server.stop()
    phone.close()
    page = phone.start("/")
    page.get_by_role("button", name="Sign in").wait_for()
    assert phone.errors == []
    phone.close()


def test_an_agreed_phone_asks_one_question(phone, card):
    page = phone()
    page.evaluate("(card) => passes(card, 'surface')", card)
    page.evaluate(SYNC)
    asked = []
    page.on("request", lambda request: asked.append(request.url.split("/api/")[1]))
    assert page.evaluate(SYNC) == AGREED
    assert asked == ["sync"]


@pytest.mark.parametrize("said", [
    pytest.param(True, id="the shop says so", marks=pytest.mark.faults),
    pytest.param(False, id="nobody says so"),
])
def test_a_restored_backup_is_filled_again_from_the_phones(phone, server, app, card, settings, tmp_path, said):
    backup = copy_data(app, settings.data, tmp_path / "backup")
    one, two = phone("maria", new=True), phone("tom", new=True)
    one.evaluate("async (card) => { await passes(card, 'surface'); await passes(card, 'boom'); }", card)
    assert [one.evaluate(SYNC), two.evaluate(SYNC)] == [AGREED, AGREED]
    server.stop()
    copy_data(app, backup, settings.data)
    with app.app_context():
        assert db.session.scalar(select(func.count()).select_from(Entry)) == 0
        if said:
            shop.new_epoch()
    server.start()
    # The sessions went with the backup; the work did not.
    assert one.evaluate(SYNC)["state"] == "signed_out"
    for page, login in ((one, "maria"), (two, "tom")):
        page.evaluate("([login, password]) => session.sign_in(login, password)", [login, cast.PASSWORD])
    # Even when the phone that only holds copies comes first.
    two.evaluate(SYNC)
    assert one.evaluate(SYNC) == AGREED
    ids = [id_ for id_, _ in one.evaluate(STATES, card["card"])]
    on_server = one.evaluate("async (card) => (await api.card_on_server(card)).entries.map(({ id }) => id).sort()",
                             card["card"])
    assert on_server == ids and len(ids) == 2
    assert two.evaluate(SYNC) == AGREED
    assert two.evaluate(STATES, card["card"]) == [[id_, "sent"] for id_ in ids]


def copy_data(app, source, target):
    with app.app_context():
        db.session.remove()
        db.engine.dispose()
    shutil.rmtree(target, ignore_errors=True)
    return shutil.copytree(source, target)


def test_a_kept_entry_is_sent_by_itself_and_when_the_network_returns(phone, server, card):
    page = phone()
    page.evaluate("() => syncer.start()")
    settled = "([state, unsent]) => syncer.status.state === state && syncer.status.unsent === unsent"
    page.wait_for_function(settled, arg=["idle", 0])
    page.evaluate("(card) => passes(card, 'surface')", card)
    page.wait_for_function(f"async (card) => (await ({STATES})(card)).every(([, state]) => state === 'sent')",
                           arg=card["card"])
    assert len(page.evaluate(STATES, card["card"])) == 1
    page.wait_for_function(settled, arg=["idle", 0])
    server.stop()
    page.evaluate("(card) => passes(card, 'boom')", card)
    page.wait_for_function(settled, arg=["offline", 1])
    assert page.evaluate("() => syncer.status.oldest_unsent_at") == "2026-11-25T08:00:00Z"
    server.start()
    page.evaluate("() => dispatchEvent(new Event('online'))")
    page.wait_for_function(settled, arg=["idle", 0])


def test_a_photo_goes_on_from_what_the_server_has(phone, card):
    page = phone()
    sent = page.evaluate("""async ([card, body]) => {
      const taken = await picture(body);
      const buffer = await store.photo_bytes(taken.sha256);
      await api.put_photo(taken.sha256, 0, taken.bytes, buffer.slice(0, 1000));
      const wrong = await api.put_photo(taken.sha256, 5, taken.bytes, buffer.slice(5, 9)).catch((error) => error);
      await passes(card, "boom", [taken]);
      return [wrong.status, wrong.fields.received, taken.bytes];
    }""", [card, base64.b64encode(cast.jpeg(1600, 1200)[0]).decode()])
    assert sent[:2] == [409, 1000]
    parts = []
    page.on("request", lambda request: parts.append(request.url.split("?")[1]) if request.method == "PUT" else None)
    assert page.evaluate(SYNC) == AGREED
    assert parts == [f"offset=1000&bytes={sent[2]}"]


def test_two_windows_sync_at_once_and_agree(phone, card):
    page = phone()
    page.evaluate("(card) => passes(card, 'surface')", card)
    other = page.phone.context.new_page()
    other.goto(page.url)
    other.evaluate(LOAD)
    for window in (page, other):
        window.evaluate("() => { window.synced = syncer.now(); }")
    for window in (page, other):
        window.evaluate("() => synced")
    assert page.evaluate(SYNC) == other.evaluate(SYNC) == AGREED


def test_what_the_server_refuses_stays_on_the_phone_with_the_reason(phone, app, card):
    page = phone("maria")
    page.evaluate("""async (card) => {
      session.person = { ...session.person, name: "Nobody" };
      await passes(card, "surface");
    }""", card)
    status = page.evaluate(SYNC)
    assert (status["state"], status["unsent"], status["refused"]) == ("idle", 0, 1)
    [refused] = page.evaluate("() => store.refused_entries()")
    assert refused["problem"]["sentence"].endswith(".")
    assert payload_of(refused["text"])["author"]["name"] == "Nobody"


def test_signing_in_out_and_handing_over_lose_no_unsent_work(phone, server, card):
    page = phone("maria")
    page.evaluate(SYNC)
    server.stop()
    page.evaluate("(card) => passes(card, 'surface')", card)
    refused = page.evaluate("() => session.hand_over('tom', 'x').catch((error) => error.code)")
    assert (refused, page.evaluate("() => session.person.name")) == ("server_unreachable", "Maria Vance")
    page.evaluate("() => session.sign_out()")
    assert page.evaluate(SYNC)["state"] == "signed_out"
    server.start()
    wrong = page.evaluate("() => session.sign_in('tom', 'wrong').catch((error) => [error.status, error.sentence])")
    assert wrong[0] == 401 and wrong[1].endswith(".")
    page.evaluate("(password) => session.hand_over('tom', password)", cast.PASSWORD)
    assert page.evaluate(SYNC) == AGREED
    assert [state for _, state in page.evaluate(STATES, card["card"])] == ["sent"]
    page.reload()
    page.evaluate(LOAD)
    assert page.evaluate("() => session.person.name") == "Tom Adler"


def test_a_session_ended_on_the_server_keeps_the_phone_working(phone, card):
    page = phone("maria")
    page.evaluate(SYNC)
    page.phone.context.clear_cookies()
    page.evaluate("async (card) => { await passes(card, 'surface'); keys.lock(); }", card)
    status = page.evaluate(SYNC)
    assert (status["state"], status["unsent"]) == ("signed_out", 1)
    assert page.evaluate("() => session.person.name") == "Maria Vance"
    page.evaluate("(password) => session.sign_in('maria', password)", cast.PASSWORD)
    assert page.evaluate(SYNC) == AGREED


def test_who_has_opened_their_key_is_signed_in_again_without_a_password(phone, card):
    page = phone("maria")
    page.evaluate(SYNC)
    page.phone.context.clear_cookies()
    page.evaluate("(card) => passes(card, 'surface')", card)
    assert page.evaluate(SYNC) == AGREED
    page.evaluate("() => keys.lock()")
    page.phone.context.clear_cookies()
    assert page.evaluate(SYNC)["state"] == "signed_out"
    page.evaluate("(code) => keys.unlock(session.person.person, { code })", CODE)
    page.wait_for_function("() => syncer.status.state === 'idle'")


def test_a_phone_handed_over_without_a_network_syncs_as_the_new_person_once_their_key_is_open(phone, server, card):
    page = phone("maria")
    page.evaluate("([login, password]) => session.sign_in(login, password)", ["tom", cast.PASSWORD])
    page.evaluate("() => keys.enrol({ guard: 'code', code: '92614483' }, 'Test phone')")
    people = dict(page.evaluate("async () => (await keys.enrolled()).map(({ name, person }) => [name, person])"))
    assert sorted(people) == ["Maria Vance", "Tom Adler"]
    page.evaluate(SYNC)
    server.stop()
    hand_over = """([person, code]) => session.hand_over_to(person, { code })
      .then(() => session.person.name, (error) => error.code)"""
    assert page.evaluate(hand_over, [people["Maria Vance"], "92614483"]) == "code_wrong"
    assert page.evaluate("() => session.person.name") == "Tom Adler"
    assert page.evaluate(hand_over, [people["Maria Vance"], CODE]) == "Maria Vance"
    assert page.evaluate("() => session.person.roles") == ["mechanic"]
    page.evaluate("(card) => passes(card, 'surface')", card)
    assert page.evaluate("(tom) => keys.unlocked(tom)", people["Tom Adler"]) is False
    assert page.evaluate(SYNC)["state"] == "offline"
    page.evaluate("() => keys.lock()")
    server.start()
    told = page.evaluate(SYNC)
    assert (told["state"], told["unsent"]) == ("idle", 0), "what is signed goes in any session of this phone"
    refused = page.evaluate("() => api.ask('POST', '/api/cards', { json: {} }).catch((error) => error.code)")
    assert refused == "session_of_other", "but nobody acts in another's name"
    page.evaluate("([person, code]) => keys.unlock(person, { code })", [people["Maria Vance"], CODE])
    page.evaluate(SYNC)
    assert page.evaluate("async () => (await api.ask('GET', '/api/session')).person.name") == "Maria Vance"


def test_a_log_that_was_set_back_is_said_until_somebody_has_asked(phone, server, app, settings, card, tmp_path):
    page = phone("maria")
    assert page.evaluate(SYNC) == AGREED
    seen = page.evaluate("() => store.held_log()")
    assert seen["size"] >= 1 and page.evaluate("() => store.log_alarm()") is None
    backup = copy_data(app, settings.data, tmp_path / "backup")
    page.evaluate("async (card) => { await passes(card, 'surface'); await passes(card, 'boom'); }", card)
    assert page.evaluate(SYNC) == AGREED
    later = page.evaluate("() => store.held_log()")
    assert later["size"] == seen["size"] + 2, "each entry is a leaf"
    server.stop()
    copy_data(app, backup, settings.data)
    server.start()
    page.evaluate(SYNC)
    alarm = page.evaluate("() => store.log_alarm()")
    assert alarm["code"] in ("log_set_back", "log_rewritten") and alarm["sentence"].endswith(".")
    assert page.evaluate("() => store.held_log()") == later, "what was seen is held against the server"
    page.evaluate("() => store.accept_log()")
    page.evaluate(SYNC)
    assert page.evaluate("() => store.log_alarm()") is None
    assert page.evaluate(STATES, card["card"]) and page.evaluate("async () => (await store.unsent_facts()).unsent") == 0


def test_what_others_sent_must_be_in_the_log_that_everybody_is_shown(phone, app, card, monkeypatch):
    one, two = phone("maria"), phone("tom")
    asked = []
    one.on("request", lambda request: asked.append(request.url) if "/api/log/entries/" in request.url else None)
    assert one.evaluate(SYNC) == AGREED and asked == []
    two.evaluate("(card) => passes(card, 'surface')", card)
    assert two.evaluate(SYNC) == AGREED
    assert one.evaluate(SYNC) == AGREED
    size = one.evaluate("async () => (await store.held_log()).size")
    [[entry, _]] = one.evaluate(STATES, card["card"])
    assert [url.partition("/entries/")[2] for url in asked] == [f"{entry}?size={size}"]
    assert one.evaluate(SYNC) == AGREED and len(asked) == 1, "a quiet sync asks for no proof"
    assert one.evaluate("() => store.log_alarm()") is None
    two.evaluate("(card) => passes(card, 'boom')", card)
    assert two.evaluate(SYNC) == AGREED
    monkeypatch.setattr(log, "inclusion", hides_every_entry)
    assert one.evaluate(SYNC)["state"] == "idle"
    assert one.evaluate("async () => (await store.log_alarm()).code") == "log_rewritten"
    assert len(one.evaluate(STATES, card["card"])) == 2, "the alarm stops nothing"
    one.evaluate("() => store.accept_log()")
    assert one.evaluate(SYNC) == AGREED and one.evaluate("() => store.log_alarm()") is None


def hides_every_entry(entry, within=None):
    raise Problem("not_found", what="entry")


def test_a_checkpoint_that_the_key_of_the_log_has_not_signed_is_never_accepted(phone, app, card):
    page = phone("maria")
    assert page.evaluate(SYNC) == AGREED
    seen = page.evaluate("() => store.held_log()")
    real = app.extensions["witnessmark_log_key"]
    app.extensions["witnessmark_log_key"] = SignsWithAnother(real)
    page.evaluate("(card) => passes(card, 'surface')", card)
    page.evaluate(SYNC)
    assert page.evaluate("async () => (await store.log_alarm()).code") == "log_key_changed"
    refused = page.evaluate("() => store.accept_log().then(() => null, (error) => [error.code, error.sentence])")
    assert refused[0] == "note_malformed" and "Send now" in refused[1]
    assert page.evaluate("() => store.held_log()") == seen
    assert page.evaluate("() => store.log_alarm()") is not None
    app.extensions["witnessmark_log_key"] = real
    page.evaluate(SYNC)
    page.evaluate("() => store.accept_log()")
    assert page.evaluate("() => store.log_alarm()") is None
    assert page.evaluate("async () => (await store.held_log()).size") > seen["size"]


class SignsWithAnother:
    """Tells the public key of before, and signs with one of its own."""

    def __init__(self, before):
        self.public_key = before.public_key
        self.sign = Ed25519PrivateKey.generate().sign


def test_the_phone_unlock_does_not_open_a_key_that_a_code_guards(phone):
    page = phone("maria")
    page.evaluate("() => keys.lock()")
    unlock = """() => keys.unlock(session.person.person, { passkey: true })
      .then(() => null, (error) => [error.code ?? error.name, error.sentence])"""
    assert page.evaluate(unlock)[0] == "passkey_failed"
    page.evaluate("(code) => keys.unlock(session.person.person, { code })", CODE)


def test_a_key_of_mine_on_another_phone_is_shown_until_i_say_whose_it_is(phone, server, app, card):
    one = phone("maria")
    assert one.evaluate(SYNC) == AGREED
    assert one.evaluate("() => store.keys_elsewhere(session.person.person)") == []
    own = one.evaluate("async () => (await keys.enrolled())[0].kid")
    for answer in ("It is mine", "It is not mine: end that key"):
        two = phone("maria", new=True)
        two.evaluate(SYNC)
        kid = two.evaluate("async () => (await keys.enrolled())[0].kid")
        one.evaluate(SYNC)
        one.goto(f"{server.url}/#/")
        notice = one.locator("log-alarm a", has_text="Another phone signs as you: Test phone, since")
        expect(notice).to_be_visible()
        for theme in ("day", "night", "sun"):
            one.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
            assert notice.bounding_box()["height"] >= 48, theme
        notice.click()
        part = one.locator("phone-page .elsewhere")
        expect(part).to_have_count(1)
        expect(part).to_contain_text("Another phone signs as you: Test phone, since")
        for button in part.locator("button").all():
            assert button.bounding_box()["height"] >= 48
        part.get_by_role("button", name=answer, exact=True).click()
        expect(part).to_have_count(0)
        one.goto(f"{server.url}/#/")
        expect(one.locator("card-list h1")).to_be_visible()
        expect(one.locator("log-alarm a")).to_have_count(0)
        with app.app_context():
            ended = keys_of_shop.key_of(kid)["ended"]
            assert keys_of_shop.key_of(own)["ended"] is None
        assert (ended and ended["why"]) == (None if answer == "It is mine" else "Not set up by me.")
        one.reload()
        expect(one.locator("card-list h1")).to_be_visible()
        one.evaluate(LOAD)
        one.evaluate(SYNC)
        assert one.evaluate("() => store.keys_elsewhere(session.person.person)") == [], "and it is remembered"


def test_another_persons_key_elsewhere_is_none_of_mine(phone):
    one, two = phone("maria"), phone("tom")
    for page in (two, one):
        page.evaluate(SYNC)
    assert one.evaluate("() => store.keys_elsewhere(session.person.person)") == []
    tom = two.evaluate("() => session.person.person")
    assert one.evaluate("(tom) => store.keys_elsewhere(tom)", tom) == [], "Tom has no key here"


def test_another_server_gets_nothing_and_deletes_nothing_unsent(phone, app, card):
    page = phone("maria")
    page.evaluate(SYNC)
    page.evaluate("(card) => passes(card, 'surface')", card)
    page.evaluate("""async () => {
      const { write_facts } = await import("/device/drafts.js");
      await write_facts({ server: { server: "7".repeat(32), shop: { name: "Elsewhere" } } });
    }""")
    sign_in = """(password) => session.sign_in("maria", password)
      .then(() => "in", (error) => [error.code, error.sentence])"""
    code, sentence = page.evaluate(sign_in, cast.PASSWORD)
    assert code == "other_server" and "entries: 1" in sentence
    assert page.evaluate(SYNC)["state"] == "signed_out", "nothing is offered to the wrong shop"
    assert page.evaluate("async () => (await store.unsent_facts()).unsent") == 1
    page.evaluate("() => session.leave_server({ exported: true })")
    assert page.evaluate(sign_in, cast.PASSWORD) == "in"
    assert page.evaluate(SYNC) == AGREED
    assert page.evaluate("async () => (await store.cards()).length") == 1
