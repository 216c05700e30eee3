"""The data folder on disk: which folders are ours, which may be thrown away."""

import os
import shutil

MARKER = "WITNESSMARK.txt"
UNFINISHED = "half-filled demo"
KINDS = {
    UNFINISHED: "An invented shop in the making. If this text stays, it was cut short; the next start begins anew.\n",
    "demo": "An invented shop, made by `witnessmark demo`. `witnessmark demo --fresh` deletes this whole folder.\n",
    "shop": "The records of a real shop, made by `witnessmark init`. Back this folder up. Nothing here deletes it.\n",
}


class WrongFolder(Exception):
    """This folder cannot be used for that. The message says what to do instead."""


def kind_of(folder):
    """A word of KINDS for a data folder of ours, None for a folder that is missing or empty.

    Raises WrongFolder for one that holds other files: it may be somebody's home.
    """
    if folder.exists() and not folder.is_dir():
        raise WrongFolder(f"{folder} is a file. Name a folder with --data.")
    if not folder.exists() or not any(folder.iterdir()):
        return None
    marker = folder / MARKER
    words = marker.read_text(encoding="utf-8") if marker.is_file() else ""
    for kind, text in KINDS.items():
        if words == text:
            return kind
    raise WrongFolder(
        f"{folder} holds files that are not Witnessmark's (no {MARKER} of its own). Name an empty folder with --data."
    )


def claim(folder, kind):
    """Make `folder` a data folder of this kind, readable by its owner only. Returns whether it is new."""
    has = kind_of(folder)
    if has == kind:
        return False
    if has:
        raise WrongFolder(f"{folder} is the data folder of a {has}. Name another folder with --data.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        os.chmod(folder, 0o700)
        (folder / MARKER).write_text(KINDS[kind], encoding="utf-8")
    except OSError as error:
        raise WrongFolder(f"Cannot write in {folder}: {error.strerror}. Name another folder with --data.") from error
    return True


def throw_away_demo(folder):
    """Delete the data folder of a demo. A shop's folder, or anybody else's, is left as it is."""
    kind = kind_of(folder)
    if kind == "shop":
        raise WrongFolder(f"{folder} holds a real shop's records, which --fresh never deletes. Name another folder.")
    if kind:
        shutil.rmtree(folder)


def begin_demo(folder, fresh):
    """Make `folder` ready to be filled with the demo. Returns False when it is filled already and kept."""
    if fresh or kind_of(folder) == UNFINISHED:
        throw_away_demo(folder)
    if kind_of(folder) == "demo":
        return False
    return claim(folder, UNFINISHED)


def finish_demo(folder):
    """Say that the demo is whole, so that the next start keeps it."""
    (folder / MARKER).write_text(KINDS["demo"], encoding="utf-8")


def need(folder):
    """Raises WrongFolder unless `folder` is a data folder already."""
    if kind_of(folder) is None:
        raise WrongFolder(f"There is no shop in {folder} yet. Run `witnessmark init`, or name its folder with --data.")
