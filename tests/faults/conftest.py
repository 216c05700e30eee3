"""How much of each fault is tried, and what the fault runs share.

`python3 server test --faults` uses the amounts below. Another amount, here every byte instead of every 97th:
`python3 server test --faults -- tests/faults --cut-every 1`.
"""

import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from real_server import RealServer  # noqa: E402

from witnessmark import data_folder  # noqa: E402

AMOUNTS = {
    "cut_every": (97, "cut the connection after every N-th byte"),
    "server_kills": (40, "kill the server N times"),
    "browser_kills": (40, "kill the phone's browser N times"),
    "orders": (60, "try N orders of delivery"),
    "seed": (417, "what the random choices start from"),
}


def pytest_addoption(parser):
    for name, (amount, words) in AMOUNTS.items():
        parser.addoption("--" + name.replace("_", "-"), type=int, default=amount, help=words)


@pytest.fixture(scope="session")
def amount(pytestconfig):
    """The amount of that name: of the command line when it names this folder, else of the table above."""
    return lambda name: pytestconfig.getoption(name, AMOUNTS[name][0])


@pytest.fixture
def tell(capsys):
    """Print although pytest keeps what tests print."""
    def say(words):
        with capsys.disabled():
            print(f"\n  {words}", flush=True)
    return say


@pytest.fixture
def opened(tmp_path, filled):
    """Make a running server on its own copy of the cast's shop; all are killed at the end."""
    servers = []

    def make():
        folder = tmp_path / f"shop{len(servers)}"
        data_folder.claim(folder, "shop")
        shutil.copytree(filled[0], folder, dirs_exist_ok=True)
        servers.append(RealServer(folder))
        servers[-1].start()
        return servers[-1]

    yield make
    for server in servers:
        server.kill()
