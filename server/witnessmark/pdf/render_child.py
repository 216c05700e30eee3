"""The rendering child: one paper after another over its pipes.

Started by `renderer` with a scrubbed environment. It first cuts its own network and limits itself, and only then
loads the renderer, so that a hole in a parser of fonts, images or styles finds little to reach.
"""

import ctypes
import os
import sys
import traceback

from .frames import BrokenFrame, read_frame, write_frame

try:
    import resource
except ImportError:  # Windows has no such limits; the parent's time limit still holds there.
    resource = None

MEMORY = 1536 * 1024 * 1024
FILE = 16 * 1024 * 1024
OPEN_FILES = 64
PROCESSOR_SECONDS = 30
CLONE_NEWUSER = 0x10000000
CLONE_NEWNET = 0x40000000


def cut_network():
    """Leave the machine's network for an empty one. True when the kernel agreed (Linux; not in every container)."""
    if not sys.platform.startswith("linux"):
        return False
    unshare = getattr(ctypes.CDLL(None, use_errno=True), "unshare", None)
    if unshare is None:
        return False
    # Alone it needs privilege; together with a user namespace of its own, an ordinary user may.
    return unshare(CLONE_NEWNET) == 0 or unshare(CLONE_NEWUSER | CLONE_NEWNET) == 0


def limit_self():
    """Bound memory, written files and open files. True when the limits hold."""
    if resource is None:
        return False
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE, FILE))
    resource.setrlimit(resource.RLIMIT_NOFILE, (OPEN_FILES, OPEN_FILES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    return True


def allow_processor(seconds):
    """Let this process use `seconds` more of processor time; beyond, the kernel ends it."""
    if resource is not None:
        used = resource.getrusage(resource.RUSAGE_SELF)
        soft = int(used.ru_utime + used.ru_stime) + 1 + seconds
        resource.setrlimit(resource.RLIMIT_CPU, (soft, resource.getrlimit(resource.RLIMIT_CPU)[1]))


def serve(requests, answers):
    """Render until the parent closes the pipe."""
    network_cut, limited = cut_network(), limit_self()
    from .fetcher import OutsideTheRecord
    from .pdf_document import render

    write_frame(answers, {"ready": True, "network_cut": network_cut, "limited": limited})
    while True:
        try:
            head, blobs = read_frame(requests)
        except BrokenFrame:
            return
        allow_processor(head["processor_seconds"])
        html, attachment, *jpegs = blobs
        try:
            pdf, complaints = render(html.decode(), dict(zip(head["photos"], jpegs, strict=True)),
                                     head["attachment_name"], attachment)
        except OutsideTheRecord as refused:
            write_frame(answers, {"done": False, "why": str(refused)})
        else:
            write_frame(answers, {"done": True, "complaints": complaints}, [pdf])


def main():
    """Keep standard output for frames alone: anything else printed by a library goes to standard error."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    try:
        serve(sys.stdin.buffer, answers)
    except MemoryError:
        traceback.print_exc()
        os._exit(12)
    except BrokenPipeError:
        # The server was stopped in the middle of a paper, which it makes again at its next start.
        os._exit(0)
