"""What many tests need."""

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def node():
    """Run a line of JavaScript in Node at the repository root; returns what it printed."""
    def run(script, given=""):
        done = subprocess.run(["node", "--input-type=module", "-e", script], input=given, cwd=ROOT,
                              capture_output=True, text=True, timeout=120, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout
    return run


@pytest.fixture(scope="session")
def root():
    """The repository root."""
    return ROOT
