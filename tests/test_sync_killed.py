"""What the server has answered as kept is there after it was killed, whatever it was doing."""

import http.client
import json
import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request

import pytest

from cast import Browser
from witnessmark import data_folder

SEED = 417
KILLS = 4


class Answer:
    def __init__(self, answer, port):
        self.status_code, self.data = answer.status, answer.read()
        self.json = json.loads(self.data) if self.data else None
        self.cookie = answer.getheader("Set-Cookie")


class Caller(Browser):
    """The cast's browser, over a real connection."""

    def __init__(self, app, port):
        super().__init__(app)
        self.port, self.cookie = port, ""

    def ask(self, method, path, body=None, **headers):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        told = {"X-Witnessmark": "1", "Sec-Fetch-Site": "same-origin", "Content-Type": "application/json",
                "Cookie": self.cookie, **headers}
        try:
            connection.request(method, path, json.dumps(body), told)
            answer = Answer(connection.getresponse(), self.port)
        finally:
            connection.close()
        if answer.cookie:
            self.cookie = answer.cookie.split(";")[0]
        return answer


@pytest.fixture
def folder(tmp_path, filled):
    """The cast's shop as a data folder that the command takes."""
    data_folder.claim(tmp_path / "killed", "shop")
    return shutil.copytree(filled[0], tmp_path / "killed", dirs_exist_ok=True)


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def start():
    """Start a server on a folder and a port; none outlives the test, however it ends."""
    started = []

    def make(folder, port):
        started.append(started_server(folder, port))
        return started[-1]

    yield make
    for process in started:
        if process.poll() is None:
            kill(process)


def started_server(folder, port):
    command = [sys.executable, "-m", "witnessmark", "serve", "--data", str(folder), "--port", str(port)]
    process = subprocess.Popen(command, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            # An answer, not a connection: the start-up itself binds the port for a moment to see whether it is free.
            urllib.request.urlopen(f"http://127.0.0.1:{port}/api/health", timeout=5).close()
            return process
        except (OSError, http.client.HTTPException):
            assert process.poll() is None
            time.sleep(0.05)
    raise AssertionError("the server did not start")


def kill(process):
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def send_until_it_dies(caller, card, made, acknowledged, rng):
    """Send deliveries of one to twenty entries until the server is gone."""
    while True:
        entries = [caller.passes(card, "surface", note=str(len(made) + n)) for n in range(rng.choice([1, 1, 3, 20]))]
        made += entries
        try:
            answers = caller.exchange([entry["text"] for entry in entries])["answers"]
        except (OSError, http.client.HTTPException):
            return
        acknowledged.update(answer["id"] for answer in answers if answer["verdict"] != "refused")


def test_nothing_acknowledged_is_lost_when_the_server_is_killed(app, card, folder, start):
    rng, port = random.Random(SEED), free_port()
    process = start(folder, port)
    caller, made, acknowledged = Caller(app, port).sign_in("maria"), [], set()
    for _ in range(KILLS):
        timer = threading.Timer(rng.uniform(0.05, 0.6), kill, [process])
        timer.start()
        send_until_it_dies(caller, card, made, acknowledged, rng)
        timer.join()
        process = start(folder, port)
        answer = caller.ask("POST", f"/api/cards/{card['card']}/reconcile", {"ids": sorted(acknowledged)})
        assert answer.json["lack"] == [], f"seed {SEED}"
    assert len(acknowledged) > KILLS
    for at in range(0, len(made), 500):
        verdicts = {verdict for verdict, _ in caller.send(*made[at:at + 500])}
        assert verdicts <= {"kept", "already_here"}, f"seed {SEED}"
    answer = caller.ask("POST", f"/api/cards/{card['card']}/reconcile", {"ids": [entry["id"] for entry in made]})
    assert answer.json == {"lack": [], "entries": []}, f"seed {SEED}"
