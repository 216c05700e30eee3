"""A real server process for browser tests: started, stopped and started again on the same data and port."""

import json
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Shop:
    """The demo shop on a free port of this machine; `folder` keeps its data between starts."""

    def __init__(self, folder):
        self.folder, self.port, self.process = folder, free_port(), None
        self.url = f"http://localhost:{self.port}"

    def start(self):
        self.log = open(self.folder.with_suffix(".log"), "ab")  # noqa: SIM115  closed in stop()
        command = [sys.executable, "-m", "witnessmark", "demo", "--data", str(self.folder), "--port", str(self.port)]
        self.process = subprocess.Popen(command, stdout=self.log, stderr=self.log)
        for _ in range(600):
            if self.process.poll() is not None:
                raise AssertionError(self.folder.with_suffix(".log").read_text())
            try:
                return urllib.request.urlopen(f"{self.url}/api/health", timeout=2).close()
            except (urllib.error.URLError, TimeoutError, ConnectionError):
                time.sleep(0.1)
        raise AssertionError("the server did not come up")

    def stop(self):
        if self.process:
            self.process.terminate()
            self.process.wait(20)
            self.process = None
            self.log.close()


class Caller:
    """A signed-in person without a browser, for looking at what the server holds."""

    def __init__(self, shop, login, password, key="ee" * 32):
        self.shop, self.cookie = shop, None
        answer = self.open("/api/session", {"login": login, "password": password, "device_key": key})
        self.cookie = answer.headers["Set-Cookie"].split(";")[0]

    def open(self, path, body=None):
        return self.request(path, None if body is None else json.dumps(body).encode(), "application/json")

    def request(self, path, data, kind, method=None):
        headers = {"X-Witnessmark": "1", "Content-Type": kind, "Sec-Fetch-Site": "same-origin",
                   "Origin": self.shop.url}
        if self.cookie:
            headers["Cookie"] = self.cookie
        asked = urllib.request.Request(self.shop.url + path, data, headers, method=method)
        return urllib.request.urlopen(asked, timeout=60)

    def put(self, path, data):
        with self.request(path, data, "application/octet-stream", "PUT") as answer:
            return answer.status

    def json(self, path, body=None):
        with self.open(path, body) as answer:
            return json.load(answer)

    def bytes(self, path):
        with self.open(path) as answer:
            return answer.read()
