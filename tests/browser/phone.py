"""A phone: Chromium at 360 x 740 on a profile of its own, that can be killed and cold-started."""

import contextlib
import os
import shutil
import signal
from pathlib import Path

from playwright.sync_api import Error

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]

# Locks of the running browser, and what it can make anew.
NOT_COPIED = shutil.ignore_patterns("Singleton*", "lockfile", "*Cache", "component_crx_cache")


def copy_profile(source, target):
    """Copy what a closed phone keeps."""
    return shutil.copytree(source, target, ignore=NOT_COPIED)


class Phone:
    """`page` is the open page; `violations` and `errors` collect what the page complained of."""

    def __init__(self, playwright, profile, url, scheme="light"):
        self.playwright, self.profile, self.url, self.scheme = playwright, profile, url, scheme
        self.errors = []

    def start(self, path=""):
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile), executable_path="/usr/bin/chromium", args=ARGUMENTS, headless=True,
            viewport={"width": 360, "height": 740}, device_scale_factor=2, has_touch=True, color_scheme=self.scheme)
        self.context.set_default_timeout(20000)
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(error.stack))
        self.page.on("console", lambda message: self.note(message))
        self.page.goto(self.url + path)
        return self.page

    def note(self, message):
        # A stopped server, no network, and a sync whose session a hand-over ends are part of the day: the app shows it.
        usual = ("ERR_CONNECTION_REFUSED", "ERR_INTERNET_DISCONNECTED", " 401 ")
        if message.type == "error" and not any(word in message.text for word in usual):
            self.errors.append(message.text)

    def kill(self):
        """The battery dies: SIGKILL to every process of this profile, then Playwright is told."""
        for pid in self.processes():
            os.kill(pid, signal.SIGKILL)
        with contextlib.suppress(Error):  # Playwright may have noticed the death before it is told
            self.context.close()

    def close(self):
        self.context.close()

    def processes(self):
        wanted = f"--user-data-dir={self.profile}".encode()
        for entry in Path("/proc").iterdir():
            if entry.name.isdigit():
                try:
                    words = (entry / "cmdline").read_bytes().split(b"\0")
                except OSError:
                    continue
                if wanted in words and not any(word.startswith(b"--type=") for word in words):
                    yield int(entry.name)
