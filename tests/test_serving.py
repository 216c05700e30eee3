"""The server as a process: started by the command, ended as a terminal, a service manager or a crash ends it."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest
from click.testing import CliRunner

from witnessmark.cli import main

COMMAND = [sys.executable, "-m", "witnessmark"]


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The data folder of a new shop."""
    folder = tmp_path_factory.mktemp("shop") / "data"
    done = CliRunner().invoke(main, ["init", "--data", str(folder), "--shop", "Serving test"])
    assert done.exit_code == 0, done.output
    return folder


@pytest.fixture
def served(shop):
    """(process, port) of a server that answers, in a process group of its own like a job of a terminal."""
    port = free_port()
    command = [*COMMAND, "serve", "--data", str(shop), "--port", str(port)]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    process = subprocess.Popen(command, start_new_session=True, **pipes)
    wait_until(lambda: process.poll() is not None or answers(port))
    yield process, port
    try:
        os.killpg(process.pid, signal.SIGKILL)
    except ProcessLookupError:
        pass
    process.communicate()


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def answers(port):
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/api/health", timeout=10) as answer:
            return answer.status == 200
    except urllib.error.URLError:
        return False


def wait_until(true):
    deadline = time.monotonic() + 60
    while not true():
        assert time.monotonic() < deadline, "it never came to pass"
        time.sleep(0.05)


@pytest.mark.parametrize(
    ("send", "number"), [(os.killpg, signal.SIGINT), (os.killpg, signal.SIGHUP), (os.kill, signal.SIGTERM)],
    ids=["ctrl_c_in_its_terminal", "its_terminal_closed", "the_service_manager"],
)
def test_it_ends_cleanly_on(send, number, served):
    process, port = served
    send(process.pid, number)
    _, complaints = process.communicate(timeout=60)
    assert process.returncode == 0
    assert "Traceback" not in complaints
    assert not answers(port)


def test_nothing_keeps_the_port_when_the_command_is_killed(served):
    process, port = served
    process.kill()
    wait_until(lambda: not answers(port))


def test_a_second_server_on_the_port_is_refused_with_a_sentence(served, shop):
    _, port = served
    words = ["serve", "--data", str(shop), "--port", str(port)]
    done = CliRunner().invoke(main, words)
    assert (done.exit_code, done.stdout) == (1, "")
    assert f"Port {port} is taken" in done.stderr


def test_a_shop_is_made_once_and_a_demo_never_takes_it(shop):
    again = CliRunner().invoke(main, ["init", "--data", str(shop)])
    assert again.exit_code == 1 and "witnessmark serve" in again.stderr
    demo = CliRunner().invoke(main, ["demo", "--fresh", "--data", str(shop), "--port", str(free_port())])
    assert demo.exit_code == 1 and "never deletes" in demo.stderr
    assert (shop / "witnessmark.sqlite3").exists()


def test_the_key_that_seals_is_its_owners_alone(shop):
    assert (shop / "seal.p12").stat().st_mode & 0o077 == 0


def test_a_card_nobody_knows_is_told_with_those_that_are_there(shop):
    done = CliRunner().invoke(main, ["show", "WC-9999", "--data", str(shop)])
    assert done.exit_code == 1
    assert "WC-9999" in done.stderr


def test_a_new_epoch_is_another_one_each_time(shop):
    said = [CliRunner().invoke(main, ["new-epoch", "--yes", "--data", str(shop)]).stdout for _ in range(2)]
    assert said[0].startswith("New epoch ") and said[0] != said[1]
