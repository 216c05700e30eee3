"""Everything CI runs, in one go: ruff, the phone's rules in Node, then pytest; closes with one plain count."""

import re
import subprocess
import tempfile
import time
from pathlib import Path
from xml.etree import ElementTree

import system_packages

# Most tests wait for a server or a browser; whoever is done first takes over from the other.
SIDE_BY_SIDE = ["-n", "2", "--dist", "worksteal"]
SELECTIONS = {"--bench": ["-m", "bench", "-s"], "--faults": ["-m", "faults"]}


def run(root, python, arguments):
    """Run the checks in `root` with the interpreter `python`. Returns the exit code: 0 only when all passed."""
    chosen, to_pytest = split(arguments)
    began = time.monotonic()
    counts = {"passed": 0, "failed": 0, "skipped": 0}
    if not chosen and not to_pytest:
        add(counts, lint(root, python))
        add(counts, node(root))
    add(counts, pytest(root, python, [*chosen, *to_pytest] or SIDE_BY_SIDE))
    if not counts["passed"]:
        counts["failed"] += 1
        print("No test ran, and a run without tests proves nothing.")
    print(f"Whole run: {time.monotonic() - began:.0f} s")
    print(", ".join(f"{counts[word]} {word}" for word in counts if counts[word] or word != "skipped"), flush=True)
    return 1 if counts["failed"] else 0


def split(arguments):
    ours, theirs = arguments, []
    if "--" in arguments:
        at = arguments.index("--")
        ours, theirs = arguments[:at], arguments[at + 1 :]
    unknown = [word for word in ours if word not in SELECTIONS]
    if unknown:
        raise SystemExit(f"`test` does not know {unknown[0]!r}: write --bench, --faults, or -- before pytest's words.")
    return [word for name in ours for word in SELECTIONS[name]], theirs


def add(counts, more):
    for word, number in more.items():
        counts[word] += number


def heading(words):
    print(f"\n== {words}", flush=True)


def lint(root, python):
    heading("ruff check")
    bad = subprocess.call([str(python), "-m", "ruff", "check", "."], cwd=root) != 0
    return {"passed": int(not bad), "failed": int(bad)}


def node(root):
    heading("node --test")
    files = sorted(str(path) for pattern in ("*.test.js", "*.test.mjs") for path in (root / "tests").rglob(pattern))
    if not files:
        print("There is no tests/*.test.js: the phone's rules are unchecked.")
        return {"failed": 1}
    command = ["node", *system_packages.node_flags(), "--test", *files]
    ran = subprocess.run(command, cwd=root, stdout=subprocess.PIPE, encoding="utf-8")
    shown = ran.stdout if ran.returncode else "\n".join(ran.stdout.splitlines()[-8:]) + "\n"
    print(shown, end="", flush=True)
    said = {word: int(number) for word, number in re.findall(r"^(?:#|ℹ) (\w+) (\d+)$", ran.stdout, re.MULTILINE)}
    failed = said.get("fail", 0) + said.get("cancelled", 0)
    if ran.returncode and not failed:
        failed = 1
    return {"passed": said.get("pass", 0), "failed": failed, "skipped": said.get("skipped", 0)}


def pytest(root, python, words):
    heading("pytest " + " ".join(words))
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        command = [str(python), "-m", "pytest", "--continue-on-collection-errors", f"--junitxml={report}", *words]
        code = subprocess.call(command, cwd=root)
        said = read_report(report)
    if code and not said["failed"]:
        said["failed"] = 1
    return said


def read_report(path):
    if not path.exists():
        return {"passed": 0, "failed": 1, "skipped": 0}
    suites = list(ElementTree.parse(path).iter("testsuite"))
    total, failures, errors, skipped = (
        sum(int(suite.get(word, 0)) for suite in suites) for word in ("tests", "failures", "errors", "skipped")
    )
    failed = failures + errors
    return {"passed": max(total - failed - skipped, 0), "failed": failed, "skipped": skipped}
