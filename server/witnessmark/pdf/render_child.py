"""The rendering child: one paper after another over its pipes.

Started by `renderer` with a scrubbed environment. It cuts its own network and limits itself before it loads the
renderer, and gives up all other files before it reads the first request, so that a hole in a parser of fonts, images
or styles finds little to reach.
"""

import os
import sys
import sysconfig

from .confinement import allow_processor, cut_network, keep_only_files, limit_self
from .frames import BrokenFrame, read_frame, write_frame

LIBRARIES = ("/usr/lib", "/usr/lib64", "/usr/local/lib", "/lib", "/lib64")


def serve(requests, answers):
    """Render until the parent closes the pipe."""
    confined = {"network_cut": cut_network(), "limited": limit_self()}
    from .fetcher import OutsideTheRecord
    from .pdf_document import render

    confined["files_given_up"] = keep_only_files(_own_folders(), [os.getcwd()])
    write_frame(answers, confined)
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


def _own_folders():
    """Where code and fonts are: Python's own folders, this package, the system's libraries."""
    paths = sysconfig.get_paths()
    python = (paths[name] for name in ("stdlib", "platstdlib", "purelib", "platlib"))
    return {os.path.dirname(__file__), *LIBRARIES, *python}


def main():
    """Keep standard output for frames alone: anything else printed by a library goes to standard error."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    try:
        serve(sys.stdin.buffer, answers)
    except BrokenPipeError:
        # The server ended before its paper was ready. An ordinary exit would write to the pipe once more and complain.
        os._exit(0)
