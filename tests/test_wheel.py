"""The wheel alone is enough: built, installed into an environment of its own, started in an empty folder.

By default the libraries are copied from the environment that runs the tests; behind the marker `faults` they are
installed with it, which needs the network.
"""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import sysconfig
import time
import urllib.error
import urllib.request
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
OF_TESTS = shutil.ignore_patterns("*witnessmark*", "*.pth", "playwright*", "numpy*", "scipy*", "ruff*", "pip*")
CARRIED = ("client", "checklists", "demo_data")


def bare_environment():
    return {name: value for name, value in os.environ.items() if not name.startswith(("WITNESSMARK_", "PYTHON"))}


def run(*command, folder):
    done = subprocess.run(command, cwd=folder, env=bare_environment(), capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--outdir", str(folder), str(ROOT), folder=folder)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module", params=["copied", pytest.param("bare", marks=pytest.mark.faults)])
def command(request, wheel, tmp_path_factory):
    folder = tmp_path_factory.mktemp(request.param) / "venv"
    python, copied = str(folder / "bin" / "python"), request.param == "copied"
    run(sys.executable, "-m", "venv", "--without-pip", str(folder), folder=folder.parent)
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--disable-pip-version-check", "--quiet")
    run(*pip, *(["--no-deps"] if copied else []), str(wheel), folder=folder.parent)
    if copied:
        (there,) = (folder / "lib").glob("python*/site-packages")
        # A path to them would not do: the child that renders papers reads nothing outside its own environment.
        shutil.copytree(sysconfig.get_path("purelib"), there, ignore=OF_TESTS, dirs_exist_ok=True)
    return str(folder / "bin" / "witnessmark")


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def get(url, process):
    """The answer to GET, as soon as the server gives one; fails when the process ended instead."""
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline:
        assert process.poll() is None, process.communicate()
        try:
            with urllib.request.urlopen(url, timeout=10) as answer:
                return answer.headers.get_content_type(), answer.read().decode()
        except urllib.error.URLError as error:
            if not isinstance(error.reason, ConnectionRefusedError):
                raise
            time.sleep(0.1)
    raise AssertionError(f"nothing answered at {url}")


@pytest.mark.parametrize("folder", CARRIED)
def test_the_wheel_carries_every_file_of(folder, wheel):
    listed = subprocess.run(["git", "ls-files", folder], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    carried = set(zipfile.ZipFile(wheel).namelist())
    assert listed.split()
    assert {f"witnessmark/{name}" for name in listed.splitlines()} <= carried


def test_the_wheel_carries_nothing_else_of_the_repository(wheel):
    tops = {name.split("/")[0] for name in zipfile.ZipFile(wheel).namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"witnessmark"}


def test_the_demo_starts_from_the_wheel_in_an_empty_folder_and_stops_cleanly(command, tmp_path):
    port = free_port()
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    process = subprocess.Popen([command, "demo", "--port", str(port)], cwd=tmp_path, env=bare_environment(), **pipes)
    try:
        kind, health = get(f"http://localhost:{port}/api/health", process)
        assert kind == "application/json" and isinstance(json.loads(health), dict)
        kind, page = get(f"http://localhost:{port}/", process)
        assert kind == "text/html" and "app.js" in page
    finally:
        process.send_signal(signal.SIGINT)
        printed, complaints = process.communicate(timeout=60)
    assert process.returncode == 0
    assert "Traceback" not in complaints
    assert f"http://localhost:{port}/" in printed and "password" in printed
    assert [path.name for path in tmp_path.iterdir()] == [".witnessmark"]
