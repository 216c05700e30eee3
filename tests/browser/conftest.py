"""What the browser tests of several files start: Chromium, the demo shop, a site of the phone's files alone."""

import pytest
from device_site import DeviceSite
from phone import Phone
from playwright.sync_api import sync_playwright
from shop import Shop


@pytest.fixture(scope="module")
def chromium():
    """Playwright; `Phone` starts browsers by it."""
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The demo shop, running."""
    shop = Shop(tmp_path_factory.mktemp("shop") / "data")
    shop.start()
    yield shop
    shop.stop()


@pytest.fixture(scope="module")
def site():
    """The phone's files, served with the real content security policy."""
    site = DeviceSite()
    yield site
    site.close()


@pytest.fixture(scope="module")
def shared_phone(chromium, shop, tmp_path_factory):
    """The phone behind `phone`, started once."""
    phone = Phone(chromium, tmp_path_factory.mktemp("shared") / "profile", shop.url)
    phone.start("/")
    yield phone
    phone.close()


@pytest.fixture
def phone(shared_phone):
    """A phone of the demo shop that the tests of a file hand on, at its first page: see `people.have`."""
    page = shared_phone.page
    page.set_viewport_size({"width": 360, "height": 740})
    page.evaluate("() => { localStorage.removeItem('theme'); location.hash = '#/'; }")
    page.reload()
    shared_phone.errors.clear()
    yield shared_phone
    shared_phone.context.set_offline(False)
    assert shared_phone.errors == []
