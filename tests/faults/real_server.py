"""The server as it runs in a shop, its death, and a phone that talks to it over real connections."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time

from cast import Browser
from witnessmark.rules.entry import read_entry
from witnessmark.rules.merkle import EMPTY_ROOT, verify_consistency
from witnessmark.rules.signed_note import read_checkpoint

START_S = 60


class RealServer:
    """`witnessmark serve` on `folder`, in a process group of its own; always on the same port."""

    def __init__(self, folder):
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.folder, self.process = folder, None

    def start(self):
        """Start and wait until it answers. Returns the seconds that took."""
        began = time.monotonic()
        with open(self.folder.with_suffix(".log"), "ab") as log:
            command = [sys.executable, "-m", "witnessmark", "serve", "--data", str(self.folder), "--port",
                       str(self.port)]
            self.process = subprocess.Popen(command, start_new_session=True, stdout=log, stderr=log)
        while time.monotonic() < began + START_S:
            assert self.process.poll() is None, self.folder.with_suffix(".log").read_text()
            try:
                if request(self.port, "GET", "/api/health").status == 200:
                    return time.monotonic() - began
            except (OSError, http.client.HTTPException):
                time.sleep(0.02)
        raise AssertionError("the server did not start")

    def kill(self):
        """SIGKILL to the whole group: no process of it gets to finish anything."""
        if self.process:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None


def request(port, method, path, data=None, headers=None):
    """The whole answer, its body as `data`. Raises OSError or HTTPException when it does not arrive whole."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        connection.request(method, path, data, headers or {})
        answer = connection.getresponse()
        answer.data = answer.read()
        return answer
    finally:
        connection.close()


class Caller(Browser):
    """The cast's browser, over a real connection to `port`. It holds the log to what it was shown before."""

    def __init__(self, app, port):
        super().__init__(app)
        self.port, self.cookie = port, ""
        self.log = {"size": 0, "root": EMPTY_ROOT}

    def ask(self, method, path, body=None, **headers):
        kind = "application/octet-stream" if isinstance(body, bytes) else "application/json"
        told = {"X-Witnessmark": "1", "Sec-Fetch-Site": "same-origin", "Content-Type": kind, "Cookie": self.cookie}
        data = body if body is None or isinstance(body, bytes) else json.dumps(body)
        answer = request(self.port, method, path, data, {**told, **headers})
        answer.status_code = answer.status
        answer.json = json.loads(answer.data) if "json" in answer.getheader("Content-Type", "") else None
        self.cookie = answer.getheader("Set-Cookie", self.cookie).split(";")[0]
        return answer

    def exchange(self, texts=(), check=(), **changed):
        answer = super().exchange(texts, check, **{"size": self.log["size"], **changed})
        before, shown = self.log, answer["checkpoint"]
        self.log = read_checkpoint(shown["note"])
        assert verify_consistency(before["size"], before["root"], self.log["size"], self.log["root"],
                                  shown["proof"]), "the log does not continue what this phone was shown"
        return answer

    def all_news(self):
        """Every entry the server tells a phone that knows nothing, in its order."""
        self.epoch, self.after, entries, more = None, 0, [], True
        while more:
            answer = self.exchange()
            entries += [read_entry(news["text"]) for news in answer["news"] if news["kind"] == "entry"]
            more = answer["more"]
        return entries
