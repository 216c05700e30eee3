"""What the browser tests of several files start: Chromium, the demo shop, a site of the phone's files alone."""

import pytest
from device_site import DeviceSite
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
