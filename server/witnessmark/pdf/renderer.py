"""Renders papers in a warm, limited child process and survives whatever happens to that child."""

import logging
import os
import subprocess
import sys
import threading
from pathlib import Path
from xml.sax.saxutils import escape

from .frames import BrokenFrame, read_frame, write_frame
from .glyphs import FONTS
from .scratch import Scratch, remove_abandoned

LOG = logging.getLogger(__name__)
PAPERS_PER_CHILD = 40
SECONDS = 60
PROCESSOR_SECONDS = 30
SECONDS_TO_START = 60
# A tenth of what was measured: a card with very many photos must get its paper on a slow machine too.
PHOTOS_A_SECOND = 4
# The package's own __init__ wires the whole server. The child, which may be taken over by what it parses, gets an empty
# package of that name instead: no database, no web, no seal in its memory, and it starts in half the time.
START = """
import sys, types
package = types.ModuleType("witnessmark")
package.__path__ = [sys.argv[1]]
sys.modules["witnessmark"] = package
from witnessmark.pdf.render_child import main
main()
"""
COMMAND = [sys.executable, "-P", "-c", START, str(Path(__file__).parent.parent)]
FONT_CONFIGURATION = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd">
<fontconfig><dir>{fonts}</dir><cachedir>{cache}</cachedir></fontconfig>
"""


class RenderFailed(Exception):
    """No PDF came out; the text says why. The next paper gets a fresh child."""


class Renderer:
    """One child, one paper at a time; any thread may call `render`."""

    def __init__(self, seconds=SECONDS, processor_seconds=PROCESSOR_SECONDS, papers_per_child=PAPERS_PER_CHILD):
        remove_abandoned()
        self._seconds = seconds
        self._processor_seconds = processor_seconds
        self._papers_per_child = papers_per_child
        self._lock = threading.Lock()
        self._child = None

    def render(self, html, photos, attachment_name, attachment):
        """PDF bytes of `html` (text), `photos` ({sha256: JPEG bytes}) and the attached record (UTF-8 bytes).

        Raises RenderFailed when the child refuses, dies or takes too long. Never touches the network.
        """
        names = sorted(photos)
        more = len(names) // PHOTOS_A_SECOND
        head = {"photos": names, "attachment_name": attachment_name,
                "processor_seconds": self._processor_seconds + more}
        blobs = [html.encode(), attachment, *(photos[name] for name in names)]
        with self._lock:
            answer, parts = self._ask(head, blobs, self._seconds + more)
        if not answer["done"]:
            raise RenderFailed(answer["why"])
        for complaint in answer["complaints"]:
            LOG.warning("rendering: %s", complaint)
        return parts[0]

    def close(self):
        """End the child, if there is one."""
        with self._lock:
            self._end_child()

    @property
    def pid(self):
        """Process id of the warm child, or None."""
        return self._child.process.pid if self._child else None

    @property
    def confinement(self):
        """What the warm child said of itself: {"network_cut", "limited", "files_given_up"}, or None."""
        return self._child.confinement if self._child else None

    def _ask(self, head, blobs, seconds):
        child = self._child = self._child or _Child()
        try:
            answer, parts = child.ask(head, blobs, seconds)
        except (BrokenFrame, OSError) as error:
            late, code = child.late, child.end()
            self._child = None
            why = f"took longer than {seconds} s" if late else f"ended unexpectedly (exit {code}: {error})"
            raise RenderFailed(f"The rendering process {why}. Nothing is lost; the paper is made again.") from error
        if child.papers >= self._papers_per_child:
            self._end_child()
        return answer, parts

    def _end_child(self):
        if self._child:
            self._child.end()
            self._child = None


class _Child:
    def __init__(self):
        self.papers = 0
        self.late = False
        self._scratch = Scratch()
        self.process = subprocess.Popen(COMMAND, env=_environment(self._scratch.path), cwd=self._scratch.path,
                                        stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.confinement = None

    def ask(self, head, blobs, seconds):
        if self.confinement is None:
            self.confinement, _ = self._within(SECONDS_TO_START, lambda: read_frame(self.process.stdout))
            LOG.info("rendering child started: %s", self.confinement)
        self.papers += 1
        return self._within(seconds, lambda: self._exchange(head, blobs))

    def _exchange(self, head, blobs):
        write_frame(self.process.stdin, head, blobs)
        return read_frame(self.process.stdout)

    def _within(self, seconds, work):
        # Killing the child ends the blocked read or write, on every system, without non-blocking pipes.
        watch = threading.Timer(seconds, self._too_late)
        watch.daemon = True
        watch.start()
        try:
            return work()
        finally:
            watch.cancel()

    def _too_late(self):
        self.late = True
        self.process.kill()

    def end(self):
        self.process.kill()
        code = self.process.wait()
        self.process.stdout.close()
        try:
            self.process.stdin.close()
        except OSError:
            pass  # Bytes that a dead child never read; nothing else is buffered here.
        self._scratch.remove()
        return code


def _environment(folder):
    """Nothing of the server's own environment but where to find Python's modules and the system's libraries."""
    configuration = folder / "fonts.conf"
    configuration.write_text(FONT_CONFIGURATION.format(fonts=escape(str(FONTS)), cache=escape(str(folder))), "utf-8")
    home = str(folder)
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "LD_LIBRARY_PATH", "DYLD_FALLBACK_LIBRARY_PATH")
            if name in os.environ}
    return {**kept, "PATH": os.defpath, "LANG": "C.UTF-8", "HOME": home, "TMPDIR": home, "TEMP": home,
            "PYTHONPATH": os.pathsep.join(part for part in sys.path if part), "PYTHONUTF8": "1",
            "PYTHONDONTWRITEBYTECODE": "1", "FONTCONFIG_FILE": str(configuration)}
