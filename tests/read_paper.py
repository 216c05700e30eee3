"""How tests print a paper and read it back."""

import re
import subprocess

import pikepdf

from witnessmark.pdf.paper import RECORD_NAME, paper_html, record_bytes


def printed(renderer, facts):
    return renderer.render(paper_html(facts), facts["photos"], RECORD_NAME, record_bytes(facts))


def text_of(pdf, *options):
    """The text layer as poppler reads it, white space and line breaks as single blanks."""
    done = subprocess.run(["pdftotext", "-enc", "UTF-8", *options, "-", "-"], input=pdf, capture_output=True,
                          check=True)
    return " ".join(done.stdout.decode().split())


def squeezed(text):
    return re.sub(r"\s", "", text)


def structure(document):
    """(tag, element) of the structure tree in reading order."""
    stack = [document.Root.StructTreeRoot.K]
    while stack:
        node = stack.pop()
        if isinstance(node, pikepdf.Array):
            stack.extend(reversed(list(node)))
        elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
            yield str(node.S), node
            if "/K" in node:
                stack.append(node.K)
