"""What a sealed paper may consist of. A PDF can hold far more than a page can show; ours never does."""

import io

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.xref import ObjStreamRef

CATALOG = {"/Type", "/Pages", "/Lang", "/Names", "/AF", "/StructTreeRoot", "/ViewerPreferences", "/MarkInfo",
           "/OutputIntents", "/Metadata", "/Outlines", "/AcroForm", "/Perms", "/Version", "/Extensions"}
NAMES = {"/EmbeddedFiles", "/Dests"}
FORBIDDEN = {"/JavaScript", "/JS", "/Launch", "/OpenAction", "/AA", "/XFA", "/OCProperties", "/RichMedia", "/URI",
             "/Collection", "/GoToR", "/GoToE", "/SubmitForm", "/ImportData", "/Movie", "/Sound", "/3D", "/Encrypt"}
FONT_FILES = {"/FontFile", "/FontFile2", "/FontFile3"}
RECORD_NAME = "work-card.json"


def structure_findings(reader):
    """Sentences about what a paper of ours does not hold, from its pyHanko `reader`; empty for a genuine one."""
    root = reader.root
    dictionaries = list(_reachable(reader))
    names = root["/Names"] if "/Names" in root else {}
    odd = (set(root) - CATALOG) | (set(names) - NAMES)
    for found in dictionaries:
        odd |= FORBIDDEN & set(found)
        odd |= {value for key in ("/S", "/Subtype") if isinstance(value := _value(found, key), str)} & FORBIDDEN
    findings = [f"The file holds {name}, which no paper of ours holds." for name in sorted(odd)]
    return (findings + _attachment_findings(names, dictionaries) + _annotation_findings(dictionaries)
            + _font_findings(dictionaries))


def attached_record(reader):
    """The bytes of the one attached record of a paper. Raises LookupError when there is none."""
    files = reader.root["/Names"]["/EmbeddedFiles"]["/Names"]
    return files[1]["/EF"]["/F"].data


def _reachable(reader):
    """Every dictionary and stream that the catalog leads to, each once."""
    stack, seen, unpacked = [reader.root], set(), {}
    while stack:
        node = stack.pop()
        if isinstance(node, generic.IndirectObject):
            if node.reference in seen:
                continue
            seen.add(node.reference)
            node = _object(reader, node.reference, unpacked)
        if isinstance(node, generic.DictionaryObject):
            yield node
            stack.extend(node.raw_get(key) for key in node)
        elif isinstance(node, generic.ArrayObject):
            stack.extend(node.raw_get(index) for index in range(len(node)))


def _object(reader, reference, unpacked):
    # The library reads an object stream from its start for every object in it: seconds for a tagged paper.
    place = reader.xrefs[reference]
    if not isinstance(place, ObjStreamRef):
        return reference.get_object()
    if place.obj_stream_id not in unpacked:
        unpacked[place.obj_stream_id] = _unpack(reader, place.obj_stream_id)
    number, found = unpacked[place.obj_stream_id][place.ix_in_stream]
    if number != reference.idnum:
        raise ValueError("an object stream holds another object than its index says")
    return found


def _unpack(reader, stream_number):
    """[(object number, object)] of a whole object stream (ISO 32000-1, 7.5.7)."""
    packed = generic.Reference(stream_number, 0, reader).get_object()
    count, first, data = packed["/N"], packed["/First"], packed.data
    header = [int(number) for number in data[:first].split()]
    found = []
    for number, offset in zip(header[: 2 * count : 2], header[1 : 2 * count : 2], strict=True):
        stream = io.BytesIO(data)
        stream.seek(first + offset)
        found.append((number, generic.read_object(stream, generic.Reference(number, 0, reader))))
    return found


def _value(dictionary, key):
    # `get` of this library leaves a reference unresolved, behind which an annotation could hide.
    return dictionary[key] if key in dictionary else None


def _attachment_findings(names, dictionaries):
    files = names["/EmbeddedFiles"]["/Names"] if "/EmbeddedFiles" in names else []
    specifications = [found for found in dictionaries if "/EF" in found]
    if len(files) != 2 or len(specifications) != 1:
        return [f"The file carries {len(specifications)} attachments; a sealed paper carries exactly one."]
    if files[0] != RECORD_NAME or _value(specifications[0], "/UF") != RECORD_NAME:
        return [f"The attachment is not named {RECORD_NAME}."]
    return []


def _annotation_findings(dictionaries):
    notes = [note.get_object() for found in dictionaries if "/Annots" in found for note in found["/Annots"]]
    strange = [note for note in notes if _value(note, "/Subtype") != "/Widget" or _value(note, "/FT") != "/Sig"]
    if strange or len(notes) != 1:
        return ["The pages carry annotations beside the seal."]
    return []


def _font_findings(dictionaries):
    descriptors = [found for found in dictionaries if _value(found, "/Type") == "/FontDescriptor"]
    if any(not FONT_FILES & set(found) for found in descriptors):
        return ["A typeface is not embedded, so the paper could look different elsewhere."]
    return []
