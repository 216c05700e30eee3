"""What the operating system must have: checked by looking, installed by apt when that is possible and we may."""

import ctypes.util
import importlib.util
import os
import re
import shutil
import subprocess
import sys

NODE_AT_LEAST = (18, 19)


def library(name):
    return lambda: ctypes.util.find_library(name) is not None


def program(*names):
    return lambda: any(shutil.which(name) for name in names)


def node_version():
    """(major, minor) of the node on the path, or None."""
    if not shutil.which("node"):
        return None
    said = subprocess.run(["node", "--version"], capture_output=True, text=True).stdout
    found = re.match(r"v(\d+)\.(\d+)", said)
    return (int(found[1]), int(found[2])) if found else None


def node_flags():
    """What Node 18 must be told so that it has WebCrypto and CustomEvent, as every browser of the phone has."""
    old = (node_version() or (99, 0)) < (19, 0)
    return ["--experimental-global-webcrypto", "--experimental-global-customevent"] if old else []


def node_new_enough():
    return (node_version() or (0, 0)) >= NODE_AT_LEAST


RUNNING = [
    ("python3-venv", "Python's own tool for making .venv", lambda: importlib.util.find_spec("ensurepip")),
    ("libpango-1.0-0", "draws the text on the paper", library("pango-1.0")),
    ("libpangoft2-1.0-0", "finds the fonts for the paper", library("pangoft2-1.0")),
    ("libharfbuzz0b", "shapes the letters on the paper", library("harfbuzz")),
    ("libharfbuzz-subset0", "puts only the used letters into the PDF", library("harfbuzz-subset")),
]
TESTING = [
    ("chromium", "the browser that plays the phone", program("chromium", "chromium-browser", "google-chrome")),
    ("webkit2gtk-driver", "the engine of every iPhone, with what drives it", program("WebKitWebDriver")),
    ("xvfb", "the screen that engine wants", program("Xvfb")),
    ("poppler-utils", "an outside judge of the PDF", lambda: all(map(shutil.which, POPPLER))),
    ("nodejs", "runs the phone's rules, version 18.19 or newer", node_new_enough),
]
POPPLER = ("pdfsig", "pdftotext", "pdftoppm")


def see_to(testing):
    """Return when everything is there. Installs what is missing on Debian as root; otherwise says how, and exits 2."""
    wanted = RUNNING + (TESTING if testing else [])
    missing = lacking(wanted)
    if not missing:
        return
    print("This machine lacks:", flush=True)
    for package, reason, _ in missing:
        print(f"  {package}: {reason}", flush=True)
    packages = [package for package, _, _ in missing]
    if not shutil.which("apt-get"):
        stop("Install them with this system's own package manager, then run the same command again.")
    if os.geteuid() != 0:
        stop(f"Run this, then the same command again:\n  {command(packages)}")
    install(packages)
    still = lacking(wanted)
    if still:
        stop(f"apt installed them, but {still[0][0]} ({still[0][1]}) still cannot be used: it may be too old here.")


def lacking(wanted):
    importlib.invalidate_caches()
    return [need for need in wanted if not need[2]()]


def install(packages):
    print("Installing them with apt ...", flush=True)
    quiet = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    subprocess.call(["apt-get", "update", "-q"], env=quiet, stdout=subprocess.DEVNULL)
    line = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *packages]
    done = subprocess.run(line, env=quiet, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        last = "\n".join(done.stdout.splitlines()[-12:])
        stop(f"{last}\n\napt could not install them: its last words are above. By hand:\n  {command(packages)}")
    print("  installed.", flush=True)


def command(packages):
    """The one line a person can paste into a terminal."""
    sudo = "" if os.name != "nt" and os.geteuid() == 0 else "sudo "
    names = " ".join(packages)
    return f"{sudo}apt-get update && {sudo}apt-get install -y --no-install-recommends {names}"


def stop(sentence):
    print(sentence, file=sys.stderr, flush=True)
    raise SystemExit(2)
