"""Page feet as artifacts: what repeats on every page is not read aloud between two lines of the record.

The renderer tags the feet but leaves their tags outside the structure tree, where PDF/UA allows no content
(ISO 14289-1, 7.1: content is either tagged in the tree or an artifact).
"""


def mark_page_feet(pdf):
    """Turn each marked content whose tag is not in the structure tree of `pdf` (pydyf) into an artifact."""
    root = _object(pdf, pdf.catalog["StructTreeRoot"])
    linked = _linked(pdf, root["K"])
    parents = _object(pdf, root["ParentTree"])["Nums"]
    for reference, tags in zip(pdf.page_references, parents[1::2], strict=False):
        content = _object(pdf, _object(pdf, reference)["Contents"]).stream
        for number, tag in enumerate(tags):
            if tag not in linked:
                tags[number] = "null"
                _as_artifact(content, number)


def _as_artifact(content, number):
    at = next(index for index, piece in enumerate(content) if isinstance(piece, dict) and piece.get("MCID") == number)
    content[at - 1 : at + 2] = [b"/Artifact", b"BMC"]


def _linked(pdf, kids):
    found, stack = set(), list(kids)
    while stack:
        kid = stack.pop()
        if not isinstance(kid, int):
            found.add(kid)
            stack.extend(_object(pdf, kid).get("K", ()))
    return found


def _object(pdf, reference):
    return pdf.objects[int(reference.split()[0])]
