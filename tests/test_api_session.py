"""Signing in and out: what a session is worth, when it ends, what guessing costs."""

import threading

import pytest
from sqlalchemy import event

from cast import PASSWORD, Browser
from witnessmark.records import clock, passwords, sessions
from witnessmark.records.database import DiskFull, db, writing
from witnessmark.records.tables import Person, Session

COOKIE = "sid"


@pytest.fixture
def now(monkeypatch):
    """Move the clock: `now(seconds)`."""
    def move(seconds):
        monkeypatch.setattr(sessions, "unix_now", lambda: clock.unix_now() + seconds)
    return move


def attempt(browser, login="maria", password="not the password"):
    body = {"login": login, "password": password, "device_key": browser.key}
    return browser.ask("POST", "/api/session", body)


def code(answer):
    return answer.json["problem"]["code"] if answer.status_code >= 400 else None


def test_who_is_signed_in(browser):
    maria = browser("maria")
    told = maria.ask("GET", "/api/session").json
    assert told["person"]["name"] == "Maria Vance" and told["person"]["roles"] == ["mechanic"]
    assert told["person"]["certificate"] == {"kind": "mechanic", "number": "M-1"}
    assert told["server"]["shop"] == {"name": "Test shop (invented)", "demo": True}
    assert len(told["server"]["server"]) == 32


def test_the_sign_in_name_may_be_typed_in_any_case(browser):
    assert attempt(browser(None), " MARIA ", PASSWORD).status_code == 201


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(browser):
    wrong, unknown = attempt(browser(None)), attempt(browser(None), "nobody")
    assert wrong.status_code == unknown.status_code == 401
    assert wrong.json == unknown.json
    assert "Set-Cookie" not in wrong.headers


def test_an_unknown_name_costs_the_same_work(browser, monkeypatch):
    tried = []
    real = passwords.HASHER
    monkeypatch.setattr(passwords, "HASHER", type("Counted", (), {
        "verify": lambda self, kept, password: tried.append(kept) or real.verify(kept, password),
        "hash": real.hash, "check_needs_rehash": real.check_needs_rehash})())
    attempt(browser(None), "nobody"), attempt(browser(None), "maria")
    assert len(tried) == 2


def test_a_sign_in_name_that_must_wait_asks_the_database_the_same(app, browser):
    """Behind the password's work a question more is not heard; in a refusal for haste, which has none, it is."""
    asked = {"maria": [], "nobody": []}
    with app.app_context():
        for login, heard in asked.items():
            stranger = browser(None)
            for _ in range(sessions.FREE_ATTEMPTS):
                attempt(stranger, login)

            def listener(*told, heard=heard):
                heard.append(told[2])

            event.listen(db.engine, "before_cursor_execute", listener)
            assert code(attempt(stranger, login)) == "sign_in_slow"
            event.remove(db.engine, "before_cursor_execute", listener)
    assert asked["maria"] == asked["nobody"] != []


def test_passwords_are_kept_as_argon2id_of_64_mib(app, cheap_passwords):
    """argon2-cffi's defaults; OWASP ASVS 5.0, appendix C: argon2id with at least 46 MiB."""
    assert cheap_passwords.hash(PASSWORD).startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    with app.app_context():
        assert PASSWORD not in " ".join(db.session.scalars(db.select(Person.password)))


def test_an_old_hash_is_made_anew_at_sign_in(app, browser):
    with app.app_context():
        weak = type(passwords.HASHER)(time_cost=2, memory_cost=8, parallelism=1).hash(PASSWORD)
        with writing() as session:
            session.execute(db.update(Person).where(Person.login == "maria").values(password=weak))
        browser("maria")
        assert not passwords.outdated(db.session.scalar(db.select(Person.password).where(Person.login == "maria")))


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(browser):
    answer = attempt(browser(None), password=PASSWORD)
    told = answer.headers["Set-Cookie"]
    assert "HttpOnly" in told and "SameSite=Strict" in told and "Path=/" in told


@pytest.mark.parametrize(("base", "name"), [
    ("http://localhost", "sid"), ("http://127.0.0.1:8417", "sid"), ("https://localhost", "__Host-sid"),
    ("http://shop.example", "__Host-sid"), ("https://shop.example", "__Host-sid")])
def test_the_plain_cookie_is_only_for_http_on_this_machine(app, card, base, name):
    answer = app.test_client().post(
        "/api/session", base_url=base, json={"login": "maria", "password": PASSWORD, "device_key": "d" * 64},
        headers={"X-Witnessmark": "1", "Origin": base})
    told = answer.headers["Set-Cookie"]
    assert told.startswith(f"{name}=")
    assert ("Secure" in told) == (name == "__Host-sid")


def test_only_the_hash_of_a_token_is_kept(app, browser):
    maria = browser("maria")
    token = maria.client.get_cookie(COOKIE).value
    with app.app_context():
        assert token not in list(db.session.scalars(db.select(Session.token_hash)))
    assert len(token) >= 43


def test_signing_in_again_changes_the_token_and_ends_the_old_one(app, browser):
    maria = browser("maria")
    old = maria.client.get_cookie(COOKIE).value
    maria.sign_in("maria")
    assert maria.client.get_cookie(COOKIE).value != old
    thief = Browser(app)
    thief.client.set_cookie(COOKIE, old)
    assert thief.ask("GET", "/api/session").status_code == 401


def test_a_token_chosen_by_somebody_else_is_never_taken_over(app, card):
    victim = Browser(app)
    victim.client.set_cookie(COOKIE, "chosen by an attacker")
    victim.sign_in("maria")
    assert victim.client.get_cookie(COOKIE).value != "chosen by an attacker"


def test_signing_out_ends_the_session_on_the_server(app, browser):
    maria = browser("maria")
    token = maria.client.get_cookie(COOKIE).value
    assert maria.ask("DELETE", "/api/session").status_code == 204
    maria.client.set_cookie(COOKIE, token)
    assert maria.ask("GET", "/api/session").status_code == 401


@pytest.mark.parametrize(("base", "name"), [("http://localhost", "sid"), ("http://shop.example", "__Host-sid")])
def test_signing_out_takes_the_cookie_away(browser, base, name):
    """A browser drops a `__Host-` cookie only by one that is Secure too (RFC 6265bis, cookie name prefixes)."""
    maria = browser("maria")
    maria.client.set_cookie("__Host-sid", maria.client.get_cookie(COOKIE).value, domain="shop.example")
    told = maria.client.delete("/api/session", base_url=base, headers={"X-Witnessmark": "1", "Origin": base})
    assert told.status_code == 204
    cookie = told.headers["Set-Cookie"]
    assert cookie.startswith(f"{name}=;") and "Max-Age=0" in cookie and ("Secure" in cookie) == (name != "sid")


def test_signing_out_never_clears_what_the_phone_keeps(browser):
    told = browser("maria").ask("DELETE", "/api/session").headers["Clear-Site-Data"]
    assert "storage" not in told and "*" not in told


def test_a_session_ends_when_it_is_not_used(browser, settings, now):
    maria = browser("maria")
    now(settings.session_idle_minutes * 60 - 10)
    assert maria.ask("GET", "/api/session").status_code == 200
    now(settings.session_idle_minutes * 60 * 2 - 30)
    assert maria.ask("GET", "/api/session").status_code == 200
    now(settings.session_idle_minutes * 60 * 3 + 60)
    assert maria.ask("GET", "/api/session").status_code == 401


def test_a_session_ends_after_its_longest_time_though_used(browser, settings, now):
    maria = browser("maria")
    step = settings.session_idle_minutes * 60 - 10
    for at in range(step, settings.session_hours * 3600, step):
        now(at)
        assert maria.ask("GET", "/api/session").status_code == 200
    now(settings.session_hours * 3600 + 1)
    assert maria.ask("GET", "/api/session").status_code == 401


def test_a_person_who_left_is_out_at_once(app, browser):
    maria = browser("maria")
    with app.app_context(), writing() as session:
        session.get(Person, maria.person["person"]).active = 0
    assert maria.ask("GET", "/api/session").status_code == 401
    assert code(attempt(browser(None), password=PASSWORD)) == "sign_in_wrong"


def test_ending_every_session_of_a_person(app, browser):
    phones = [browser("maria"), browser("maria")]
    with app.app_context(), writing() as session:
        sessions.end_sessions_of(session, phones[0].person["person"])
    assert [phone.ask("GET", "/api/session").status_code for phone in phones] == [401, 401]


def test_five_wrong_passwords_are_free_then_each_costs_time(browser, now):
    stranger = browser(None)
    assert [code(attempt(stranger)) for _ in range(7)] == ["sign_in_wrong"] * 5 + ["sign_in_slow"] * 2
    slow = attempt(stranger, password=PASSWORD)
    assert slow.status_code == 429 and int(slow.headers["Retry-After"]) >= 1
    now(sessions.FIRST_WAIT_S + 1)
    assert code(attempt(stranger)) == "sign_in_wrong"
    now(2 * sessions.FIRST_WAIT_S)
    assert code(attempt(stranger)) == "sign_in_slow"
    now(3600)
    assert attempt(stranger, password=PASSWORD).status_code == 201
    assert code(attempt(stranger)) == "sign_in_wrong"


def test_guesses_at_one_name_are_few_in_a_quarter_of_an_hour(browser, now):
    stranger, tried = browser(None), 0
    for second in range(0, 900, 5):
        now(second)
        tried += code(attempt(stranger)) == "sign_in_wrong"
    assert tried <= 10


def test_a_stranger_cannot_lock_a_person_out_of_their_own_phone(browser):
    own, stranger = browser("maria"), browser(None)
    for _ in range(8):
        attempt(stranger)
    assert code(attempt(stranger, password=PASSWORD)) == "sign_in_slow"
    assert attempt(own, password=PASSWORD).status_code == 201


def test_a_flood_of_sign_ins_leaves_the_others_their_threads(browser, monkeypatch):
    """Each sign-in waits for its hash on a thread of the server; two hundred at once would take them all."""
    maria, waiting = browser("maria"), []
    real = passwords.HASHER.verify

    def crowded(kept, password):
        waiting.append(attempt(browser(None), f"flood{len(waiting)}") if len(waiting) < 9 else None)
        return real(kept, password)

    monkeypatch.setattr(passwords, "_two_at_once", threading.BoundedSemaphore(20))
    monkeypatch.setattr(passwords, "HASHER", type("Crowded", (), {"verify": staticmethod(crowded)})())
    assert code(attempt(maria)) == "sign_in_wrong"
    refused = [answer for answer in waiting if answer and code(answer) == "sign_in_busy"]
    assert refused and all((answer.status_code, answer.headers["Retry-After"]) == (503, "2") for answer in refused)
    monkeypatch.undo()
    assert attempt(maria, password=PASSWORD).status_code == 201
    assert attempt(browser(None), "flood3").status_code == 401


def test_the_cookie_outlives_the_death_of_the_browser(browser):
    """A killed browser drops a cookie without an age, and unsent entries would wait for a password."""
    answer = attempt(browser(None), password=PASSWORD)
    assert "Max-Age=604800" in answer.headers["Set-Cookie"]


def test_a_phone_on_a_slow_line_holds_no_connection_while_its_photo_arrives(app, browser, monkeypatch):
    """A read transaction left open would keep the write-ahead log from shrinking and show the database as it was."""
    held = []
    monkeypatch.setattr("witnessmark.web.photos.raw_bytes", lambda limit: held.append(db.engine.pool.checkedout()))
    maria = browser("maria")
    with pytest.raises(TypeError):
        app.config["PROPAGATE_EXCEPTIONS"] = True
        maria.ask("PUT", f"/api/photos/{'a' * 64}?offset=0&bytes=9", b"123456789")
    assert held == [0]


def test_on_a_full_disk_people_can_still_read(browser, monkeypatch, now):
    maria = browser("maria")

    def no_room(session):
        raise DiskFull("the disk is full")

    monkeypatch.setattr("sqlalchemy.orm.scoping.scoped_session.commit", no_room)
    now(sessions.SEEN_EVERY_S + 1)
    assert maria.ask("GET", "/api/aircraft").status_code == 200
    refused = maria.ask("DELETE", "/api/session")
    assert (refused.status_code, refused.json["problem"]["code"]) == (507, "disk_full")


def test_a_phone_learns_whose_server_this_is_before_anybody_signs_in(browser):
    told = browser(None).ask("GET", "/api/shop").json
    assert told["shop"] == {"name": "Test shop (invented)", "demo": True}


def test_nobody_acts_in_the_session_of_who_held_the_phone_before(browser, card):
    noor, ines = browser("noor"), browser("ines")
    wanted = {"revision": card["revision"], "registration": card["aircraft"]["registration"], "times": card["times"]}
    named = {"X-Witnessmark-Person": ines.person["person"]}
    answer = noor.ask("POST", "/api/cards", wanted, **named)
    assert (answer.status_code, answer.json["problem"]["code"]) == (409, "session_of_other")
    assert noor.ask("POST", "/api/cards", wanted, **{"X-Witnessmark-Person": noor.person["person"]}).status_code == 201
