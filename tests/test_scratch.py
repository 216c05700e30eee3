"""Scratch folders of rendering children: a killed server's are taken away at the next start, and no others."""

import os
import signal
import subprocess
import sys
import tempfile
import time

import pytest

from witnessmark.pdf.renderer import Renderer
from witnessmark.pdf.scratch import PREFIX, Scratch, remove_abandoned

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="nothing is taken away there")
RENDERING = """
from witnessmark.pdf.renderer import Renderer
renderer = Renderer()
renderer.render('<!DOCTYPE html><html lang="en"><title>t</title><p>t</p>', {}, "record.json", b"{}")
print("rendered", flush=True)
input()
"""
TWO_DAYS = 2 * 24 * 3600


@pytest.fixture
def temp(tmp_path, monkeypatch):
    """This test's own temp folder."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def aged(path):
    then = time.time() - TWO_DAYS
    os.utime(path, (then, then))
    return path


def test_the_folder_of_a_killed_server_is_gone_after_the_next_start(temp):
    environment = {**os.environ, "TMPDIR": str(temp), "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    with subprocess.Popen([sys.executable, "-c", RENDERING], env=environment, **pipes) as server:
        assert server.stdout.readline() == "rendered\n"
        (left,) = temp.iterdir()
        remove_abandoned()
        assert (left / "fonts.conf").is_file()
        server.send_signal(signal.SIGKILL)
    assert left.is_dir()
    Renderer().close()
    assert names(temp) == []


def test_a_folder_in_use_stays_however_old_and_goes_when_it_is_done_with(temp):
    scratch = Scratch()
    aged(scratch.path)
    remove_abandoned()
    assert scratch.path.is_dir()
    scratch.remove()
    assert names(temp) == []


def test_only_an_old_folder_goes_when_nothing_tells_whose_it_is(temp):
    for name in ("young", "old"):
        (temp / (PREFIX + name)).mkdir()
    aged(temp / (PREFIX + "old"))
    remove_abandoned()
    assert names(temp) == [PREFIX + "young"]


def test_what_only_looks_like_a_scratch_folder_stays(temp):
    (temp / "mine").mkdir()
    (temp / "mine" / "work").write_text("of a week")
    (temp / (PREFIX + "link")).symlink_to(temp / "mine")
    aged(temp / "mine")
    (temp / (PREFIX + "file")).write_text("")
    aged(temp / (PREFIX + "file"))
    aged_other = temp / "witnessmark-other"
    aged_other.mkdir()
    aged(aged_other)
    before = names(temp)
    remove_abandoned()
    assert names(temp) == before and (temp / "mine" / "work").read_text() == "of a week"


def test_links_inside_are_not_followed_and_a_pipe_does_not_hold_up_the_start(temp):
    (temp / "kept").mkdir()
    (temp / "kept" / "work").write_text("of a week")
    for name, plant in (("a", lambda at: at.symlink_to(temp / "kept" / "work")), ("b", os.mkfifo)):
        folder = temp / (PREFIX + name)
        folder.mkdir()
        plant(folder / "owner")
        (folder / "in").symlink_to(temp / "kept")
        aged(folder)
    remove_abandoned()
    assert names(temp) == ["kept"] and (temp / "kept" / "work").read_text() == "of a week"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can make another user's folder")
def test_another_users_folder_stays(temp):
    other = temp / (PREFIX + "other")
    other.mkdir()
    os.chown(other, 4711, 4711)
    aged(other)
    remove_abandoned()
    assert names(temp) == [other.name]
