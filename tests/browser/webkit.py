"""WebKitGTK, the nearest thing to an iPhone's browser that runs here, driven by plain W3C WebDriver over HTTP.

Commands and error names: W3C WebDriver, https://www.w3.org/TR/webdriver2/. Under automation it is always a private
window: nothing outlives it, and IndexedDB refuses Blobs, as on an iPhone.
"""

import contextlib
import json
import os
import signal
import subprocess
import time
import urllib.error
import urllib.request

from shop import free_port

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the key that W3C WebDriver gives to elements
WAIT = 20
# A thrown error comes back as words, because a rejected promise would tell the driver nothing but its kind.
WRAPPED = """const given = [...arguments], done = given.pop();
const told = (error) => done({ error: `${error?.name}: ${error?.message}` });
(async () => { %s })().then((value) => done({ value }), told);"""


def until(look, told, wait=WAIT):
    """The first true answer of `look()`. AssertionError with the words of `told()` after `wait` seconds without one."""
    end = time.monotonic() + wait
    while time.monotonic() < end:
        found = look()
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError(told())


class WebKit:
    """One window on a screen of its own. Use as a context: leaving it ends every process that it started."""

    def __init__(self, folder):
        self.folder, self.started, self.session = folder, [], None

    def __enter__(self):
        with contextlib.ExitStack() as undo:
            undo.callback(self.close)
            self.log = undo.enter_context(open(self.folder / "webkit.log", "ab"))
            self.start()
            self.undo = undo.pop_all()
        return self

    def __exit__(self, *error):
        self.undo.close()

    def start(self):
        read, write = os.pipe()
        command = ["Xvfb", "-displayfd", str(write), "-screen", "0", "1000x1400x24", "-nolisten", "tcp"]
        self.run(command, pass_fds=[write])
        os.close(write)
        with os.fdopen(read) as told:
            screen = told.readline().strip()
        assert screen, "Xvfb did not start"
        port = free_port()
        self.driver = f"http://127.0.0.1:{port}"
        homes = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")
        own = {name: str(self.folder) for name in homes} | {"DISPLAY": f":{screen}", "GDK_BACKEND": "x11"}
        self.run(["WebKitWebDriver", f"--port={port}"], env=os.environ | own)
        until(self.ready, lambda: "the driver does not answer")
        asked = {"alwaysMatch": {"timeouts": {"script": 60000, "pageLoad": 60000}}}
        self.session = self.call("POST", "/session", {"capabilities": asked})["sessionId"]
        self.ask("window/rect", {"x": 0, "y": 0, "width": 390, "height": 844})  # it will not go below some 450

    def run(self, command, **options):
        started = subprocess.Popen(command, stdout=self.log, stderr=self.log, start_new_session=True, **options)
        self.started.append(started)

    def close(self):
        try:
            if self.session:
                self.call("DELETE", f"/session/{self.session}")
        finally:
            for process in reversed(self.started):
                os.killpg(process.pid, signal.SIGTERM)
                process.wait(20)

    def ready(self):
        try:
            return self.call("GET", "/status")["ready"]
        except urllib.error.URLError:
            return False

    def call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.driver + path, data, {"Content-Type": "application/json"}, method=method)
        try:
            with urllib.request.urlopen(request, timeout=90) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as refusal:
            with refusal:
                value = json.load(refusal)["value"]
            raise AssertionError(f"WebDriver: {value['error']}: {value['message']}") from None

    def ask(self, command, body):
        return self.call("POST", f"/session/{self.session}/{command}", body)

    def go(self, url):
        """Load a page, and collect from then on in `faults` what goes wrong in it."""
        self.ask("url", {"url": url})
        self.script("""window.faults = [];
            addEventListener("error", (event) => faults.push(event.message ?? String(event.target)));
            addEventListener("unhandledrejection", (event) => faults.push(String(event.reason)));
            addEventListener("securitypolicyviolation", (event) => faults.push(event.violatedDirective));""")

    def script(self, body, *given):
        """What the function body returns; it may await, and has the arguments as the list `given`."""
        answer = self.ask("execute/async", {"script": WRAPPED % body, "args": list(given)})
        assert "error" not in answer, answer["error"]
        return answer.get("value")

    def wait(self, expression, *given):
        """The first true value of a JavaScript expression."""
        return until(lambda: self.script(f"return {expression}", *given),
                     lambda: f"never true: {expression} {given}. The page says: {self.text('body')}")

    def text(self, selector):
        return self.script("return document.querySelector(given[0])?.innerText ?? ''", selector)

    def find(self, selector):
        self.wait("document.querySelector(given[0]) !== null", selector)
        # In the middle of the page nothing that sticks to an edge lies over it.
        self.script("document.querySelector(given[0]).scrollIntoView({ block: 'center' })", selector)
        return self.ask("element", {"using": "css selector", "value": selector})[ELEMENT]

    def tap(self, selector):
        self.ask(f"element/{self.find(selector)}/click", {})

    def type(self, selector, text):
        """Type into a field, or hand a file to it by its path."""
        self.ask(f"element/{self.find(selector)}/value", {"text": text})
