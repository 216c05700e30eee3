"""`python3 server demo` and `python3 server test` from a fresh clone; needs nothing but Python 3.11.

It makes `.venv` beside this folder, installs Witnessmark into it, sees to the system packages and starts the job.
"""

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import run_tests
import system_packages

ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "witnessmark-stamp.json"

HELP = """\
Witnessmark: work cards walked offline on a phone, countersigned, released on sealed paper.

  python3 server demo            start an invented shop on this machine and print who can sign in
  python3 server demo --fresh    the same, from the beginning
  python3 server test            run every check that CI runs
  python3 server test -- -k due  only the tests whose name has "due" (what follows -- goes to pytest)
  python3 server test --bench    the measurements (times and sizes); --faults: the kill and disk-full tests
  python3 server COMMAND ...     any other command of the program; `python3 server --help` lists them

The first start makes .venv and installs into it; later starts use it as it is.
"""


def main(arguments):
    if sys.version_info < (3, 11):  # noqa: UP036  pip checks this too, but only after a .venv made in vain
        stop(f"Witnessmark needs Python 3.11 or newer; this is {sys.version.split()[0]}. Run it with a newer one.")
    if not arguments:
        print(HELP)
        return 0
    testing = arguments[0] == "test"
    system_packages.see_to(testing)
    prepare(testing)
    if testing:
        return run_tests.run(ROOT, PYTHON, arguments[1:])
    os.environ.setdefault("WITNESSMARK_DATA", str(ROOT / ".witnessmark"))
    return start([str(PYTHON), "-m", "witnessmark", *arguments])


def start(command):
    if os.name == "nt":
        return subprocess.call(command)
    sys.stdout.flush()
    os.execv(command[0], command)


def prepare(testing):
    """Make or refresh .venv when pyproject.toml, the Python version or the folder changed since the last time."""
    wanted = fingerprint()
    has = read_stamp()
    if has.get("fingerprint") == wanted and (has.get("test") or not testing):
        return
    testing = testing or bool(has.get("test"))
    if not usable():
        say(f"Making {VENV} with Python {sys.version.split()[0]} ...")
        if subprocess.call([sys.executable, "-m", "venv", "--clear", str(VENV)]):
            stop(f"Python could not make {VENV}: see its words above. Is the disk full or the folder read-only?")
    install(testing)
    STAMP.write_text(json.dumps({"fingerprint": wanted, "test": testing}))


def fingerprint():
    facts = [sys.version, str(ROOT), (ROOT / "pyproject.toml").read_text(encoding="utf-8")]
    return hashlib.sha256("\n".join(facts).encode()).hexdigest()


def read_stamp():
    try:
        return json.loads(STAMP.read_text())
    except (OSError, ValueError):
        return {}


def usable():
    """Whether .venv has pip and the Python we run on: an upgraded Python leaves one that starts but cannot import."""
    question = "import pip, sys; print(sys.version)"
    try:
        answer = subprocess.run([str(PYTHON), "-c", question], capture_output=True, text=True)
    except OSError:
        return False
    return answer.returncode == 0 and answer.stdout.strip() == sys.version.strip()


def install(testing):
    what = f"{ROOT}[test]" if testing else str(ROOT)
    say("Installing Witnessmark and its packages into .venv (a minute or two the first time) ...")
    command = [str(PYTHON), "-m", "pip", "install", "--disable-pip-version-check", "--no-input", "-e", what]
    lines, found = [], []
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:
        for line in pip.stdout:
            lines.append(line.rstrip())
            show_progress(lines[-1], found)
    if pip.returncode:
        STAMP.unlink(missing_ok=True)
        stop("\n".join(lines[-15:]) + "\n\n" + why_failed("\n".join(lines)))
    say("  installed.")


def show_progress(line, found):
    """pip's own lines, thinned out: every tenth package, and the steps that take long."""
    if line.startswith("Collecting "):
        found.append(line)
        if len(found) % 10 == 0:
            say(f"  {len(found)} packages found ...")
    elif line.startswith("Building wheel for "):
        say(f"  building {line.split()[3]} ...")
    elif line.startswith("Installing collected"):
        say("  putting them in place ...")


def why_failed(output):
    if "pysqlite3" in output and ("Building wheel" in output or "gcc" in output):
        return (
            "There is no ready-made pysqlite3 for this machine, so pip tried to compile it. "
            "Install a compiler and its headers, then run the same command again:\n  "
            + system_packages.command(["gcc", "python3-dev", "libsqlite3-dev"])
        )
    if "No space left" in output:
        return "The disk is full. Free about 400 MB, then run the same command again."
    return (
        "pip could not install the packages: its last words are above. The first start needs a network connection "
        "to the Python package index; once it is there, run the same command again."
    )


def say(sentence):
    print(sentence, flush=True)


def stop(sentence):
    raise SystemExit(sentence)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
