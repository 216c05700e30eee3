"""What a reader checks on a paper without the server: each signature as text, the keys, the log, the kind of record.

The attached record is read here by joserfc, cryptography and json alone, none of it by our own rules.
"""

import base64
import copy
import hashlib
import io
import json
import re
import subprocess

import pikepdf
import pytest
import segno
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from joserfc import jws
from joserfc.errors import BadSignatureError
from joserfc.jwk import ECKey
from PIL import Image

from sample_card import KEYS, LOG, ORLA, TEMPLATE, TEO, Walk, note_of, reading, walked_card
from witnessmark.config import bundled
from witnessmark.demo_phone import Key
from witnessmark.pdf.paper import RECORD_NAME, paper_html, record_bytes
from witnessmark.pdf.renderer import Renderer

ADA = {"person": "0c" * 16, "name": "Ada Wren", "certificate": {"kind": "Engineer (invented)", "number": "0417003"}}
LISTED = [{"item": "tube_seal", "what": "Seal weeps", "where": "lip, aft side"},
          {"item": "dampers", "what": "Left damper slack for 10 degrees", "where": "left damper"}]
# What each kind of signature means, as the paper states it in front of the name.
MEANS = {"result": "Recorded: ", "settlement": "Settled: ", "corrective_action": "Corrected: ",
         "countersignature": "Countersigned: ", "rejection": "Sent back: ", "admission": "Taken in by ",
         "release": "", "disapproval": ""}


def local_code(name):
    return json.loads((bundled("local_codes") / f"{name}.json").read_text(encoding="utf-8"))


def card_template(**changes):
    """A card of one zone, with the items that these papers need."""
    template = copy.deepcopy(TEMPLATE) | changes
    template["zones"] = [{**zone, "items": [item for item in zone["items"] if item["item"] in (
        "tube_seal", "tube_cap", "dampers", "boots", "scissors")]} for zone in template["zones"]]
    template["zones"] = [zone for zone in template["zones"] if zone["items"]]
    for zone in template["zones"]:
        for item in zone["items"]:
            item["countersign"] = {**item["countersign"], "controls": item["item"] == "scissors"}
    return template


def passed(walk, but=()):
    """Pass every item of the walk's card; returns {item: entry id}."""
    names = [item["item"] for zone in walk.template["zones"] for item in zone["items"]]
    return {name: walk.result(name) for name in names if name not in but}


def released(template, code="us", **more):
    walk = Walk(template, local_code(code))
    done = passed(walk)
    walk.countersign("scissors", [done["scissors"]])
    walk.approve(**more)
    return walk.facts()


def disapproved():
    walk = Walk(card_template())
    passed(walk, but=("tube_seal", "dampers"))
    for one in LISTED:
        walk.result(one["item"], "fail", discrepancy={"what": one["what"], "where": one["where"]})
    boots = [entry["id"] for entry in walk.entries if entry["payload"]["item"] == "boots"]
    walk.send_back("boots", boots, "The boot on the aft rod was not looked at.\nUse a mirror.")
    walk.approve("disapproval", listed=LISTED)
    return walk.facts()


def two_countersigners():
    """Canada asks two persons where controls were disturbed; one entry was refused first and taken in."""
    walk = Walk(card_template(), local_code("ca"))
    done = passed(walk)
    back = walk.send_back("boots", [done["boots"]], "Not all four were looked at.")
    again = walk.result("boots", supersedes=[back], note="All four, with a mirror.")
    walk.admit(again, "The phone was away for three weeks. I saw the work.")
    key = Key()
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(KEYS, ADA["person"], key)
        walk.countersign("scissors", [done["scissors"]])
        walk.countersign("scissors", [done["scissors"]], author=ADA)
    walk.approve()
    facts = walk.facts()
    facts["keys"].append({"kid": key.kid, "jwk": key.jwk, "person": ADA["person"], "name": ADA["name"]})
    return facts


def contested():
    """Released, then an entry that the release does not cover, a dispute about it, and its settlement."""
    walk = walked_card(photos=False)
    (seal,) = [item for item in walk.state()["items"] if item["item"] == "tube_seal"]
    first = walk.result("tube_seal", "fail", supersedes=seal["heads"], author=TEO,
                        discrepancy={"what": "Grease on the lip", "where": "upper seal"})
    second = walk.result("tube_seal", note="Dry.", supersedes=seal["heads"])
    walk.record("settlement", TEO, "tube_seal", {
        "result": "fail", "readings": {}, "note": "", "photos": [], "statement": walk.told("settlement", None, {}),
        "discrepancy": {"what": "Grease on the lip", "where": "upper seal"}}, [first, second])
    return walk.facts()


MADE = {
    "whole": lambda: walked_card().facts(),
    "part": lambda: released(card_template(whole=False)),
    "maintenance": lambda: released(card_template(record="maintenance", inspection=None),
                                    by=["Orla Quill", "Ben Aster"]),
    "confirm": lambda: released(card_template(), "uk"),
    "disapproved": disapproved,
    "two_countersigners": two_countersigners,
    "contested": contested,
}


class Paper:
    def __init__(self, renderer, facts):
        self.facts = facts
        self.pdf = renderer.render(paper_html(facts), facts["photos"], RECORD_NAME, record_bytes(facts))
        self.pages = run("pdftotext", "-enc", "UTF-8", "-raw", "-", "-", given=self.pdf).decode().split("\f")[:-1]
        self.text = " ".join(" ".join(self.pages).split())
        with pikepdf.open(io.BytesIO(self.pdf)) as document:
            self.record = json.loads(document.attachments[RECORD_NAME].get_file().read_bytes())


def run(*command, given):
    return subprocess.run(command, input=given, capture_output=True, check=True).stdout


def squeezed(text):
    return re.sub(r"\s", "", text)


@pytest.fixture(scope="module")
def papers():
    renderer = Renderer()
    yield {name: Paper(renderer, make()) for name, make in MADE.items()}
    renderer.close()


@pytest.fixture(params=MADE)
def paper(request, papers):
    return papers[request.param]


def read_entries(record):
    """[(id, payload, kid)] of the attached entries, each verified by joserfc with the keys of the record alone."""
    keys = {key["kid"]: ECKey.import_key(key["jwk"]) for key in record["keys"]}
    assert {kid: key.thumbprint() for kid, key in keys.items()} == {kid: kid for kid in keys}
    found = []
    for text in record["entries"]:
        header = json.loads(base64.urlsafe_b64decode(text.partition(".")[0] + "=="))
        read = jws.deserialize_compact(text, keys[header["kid"]], algorithms=["ES256"])
        found.append((hashlib.sha256(read.payload).hexdigest(), json.loads(read.payload), header["kid"]))
    return found


def test_an_independent_reader_verifies_every_entry_with_the_attached_keys(paper):
    found = read_entries(paper.record)
    assert {id for id, _, _ in found} == {entry["id"] for entry in paper.facts["entries"]}
    owners = {key["kid"]: (key["person"], key["name"]) for key in paper.record["keys"]}
    assert all(owners[kid] == (payload["author"]["person"], payload["author"]["name"]) for _, payload, kid in found)


def test_an_independent_reader_refuses_an_attached_entry_of_which_anything_was_changed(papers):
    record = copy.deepcopy(papers["whole"].record)
    header, payload, signature = record["entries"][0].split(".")
    said = base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4)).replace(b"Quill", b"Quell")
    said = said.replace(b"Marsh", b"Harsh")
    record["entries"][0] = ".".join([header, base64.urlsafe_b64encode(said).decode().rstrip("="), signature])
    with pytest.raises(BadSignatureError):
        read_entries(record)


def test_name_utc_time_meaning_id_and_key_of_every_entry_are_in_the_text(paper):
    text, missing, kinds = squeezed(paper.text), [], set()
    for id, payload, kid in read_entries(paper.record):
        author, kinds = payload["author"], kinds | {payload["kind"]}
        held = f"{author['certificate']['kind']} {author['certificate']['number']}"
        time = payload["claimed_at"].replace("T", " ").replace("Z", " UTC")
        line = f"{MEANS[payload['kind']]}{author['name']}, {held}, {time}, entry {id[:8]}, key {kid[:8]}"
        if squeezed(line) not in text:
            missing.append(line)
    assert missing == []
    assert all(squeezed(f"{key['name']} {key['kid']}") in text for key in paper.record["keys"])
    assert kinds & {"release", "disapproval"} and "result" in kinds


def test_every_kind_of_entry_is_on_one_of_these_papers(papers):
    kinds = {payload["kind"] for paper in papers.values() for _, payload, _ in read_entries(paper.record)}
    assert kinds == set(MEANS)


def test_the_log_of_the_record_is_signed_and_its_size_and_root_stand_in_every_foot(paper):
    """Signed note and its key id as C2SP tlog-checkpoint and signed-note define them, from memory."""
    note, public = paper.record["log"]["checkpoint"], bytes.fromhex(paper.record["log"]["key"])
    body, _, line = note.partition("\n\n")
    origin, size, root = body.split("\n")
    dash, name, signed = line.removesuffix("\n").split(" ")
    signature = base64.b64decode(signed)
    assert (dash, name, origin) == ("—", origin, f"witnessmark/{paper.record['server']}")
    assert signature[:4] == hashlib.sha256(name.encode() + b"\n\x01" + public).digest()[:4]
    Ed25519PublicKey.from_public_bytes(public).verify(signature[4:], f"{body}\n".encode())
    with pytest.raises(InvalidSignature):
        Ed25519PublicKey.from_public_bytes(public).verify(signature[4:], f"{body}\n\n".encode())
    told = base64.b64decode(root).hex()
    assert (int(size), told) == (LOG["size"], LOG["root"])
    assert squeezed(paper.text).count(told) >= 2
    assert all(f"log size {size}, root {told[:16]}" in " ".join(page.split()) for page in paper.pages)


def page_image(paper, number, dots=200):
    return Image.open(io.BytesIO(run("pdftoppm", "-r", str(dots), "-f", str(number), "-l", str(number), "-png", "-",
                                     given=paper.pdf))).convert("L")


def test_the_square_code_reads_as_the_checkpoint_on_the_first_and_on_the_last_page(paper):
    """Read from the printed page by zxing-cpp, which is none of ours."""
    zxingcpp = pytest.importorskip("zxingcpp", reason="no reader of square codes is installed")
    for number in (1, len(paper.pages)):
        (code,) = zxingcpp.read_barcodes(page_image(paper, number, 100))
        assert str(code.format) == "QR Code" or "QRCode" in str(code.format)
        assert code.text == paper.record["log"]["checkpoint"]


def test_the_square_code_is_drawn_square_by_square_as_its_maker_computed_it(papers):
    """Holds the drawing only: segno both computes the code and states what is expected."""
    code = segno.make(note_of(LOG)[0], mode="byte", encoding="utf-8", error="m", micro=False)
    expected = [[bool(dark) for dark in row] for row in code.matrix]
    page = page_image(papers["whole"], 1, 400)
    box = page.crop((page.width * 3 // 4, page.height // 12, page.width, page.height // 4))
    dark = box.point(lambda level: 255 if level < 128 else 0)
    side = len(expected)
    left, top, right, bottom = _square(dark)
    step_x, step_y = (right - left) / side, (bottom - top) / side
    drawn = [[dark.getpixel((int(left + (x + .5) * step_x), int(top + (y + .5) * step_y))) > 0 for x in range(side)]
             for y in range(side)]
    assert drawn == expected


def _square(dark):
    """The box of the code: the dark area between the white rows above and below it."""
    rows = [dark.crop((0, y, dark.width, y + 1)).getbbox() is not None for y in range(dark.height)]
    bands, start = [], None
    for y, inked in enumerate([*rows, False]):
        if inked and start is None:
            start = y
        elif not inked and start is not None:
            bands.append((start, y))
            start = None
    top, bottom = max(bands, key=lambda band: band[1] - band[0])
    left, _, right, _ = dark.crop((0, top, dark.width, bottom)).getbbox()
    return left, top, right, bottom


FIELDS = {
    # 14 CFR 43.11(a)(1) to (4): type, extent, date, aircraft total time, and the sentence word for word.
    "whole": ["Approved for return to service Inspection record: the whole inspection", "Type of inspection 100-hour",
              "Extent The mast from the gearbox to the hub", "Date 2026-11-25", "Aircraft total time 1234.5 h",
              "I certify that this aircraft has been inspected in accordance with 100-hour inspection and was "
              "determined to be in airworthy condition."],
    "part": ["Approved for return to service: this part only Inspection record: the part that this card holds",
             "Type of inspection 100-hour", "Date 2026-11-25", "Aircraft total time 1234.5 h",
             "in respect of this part only, the aircraft was determined to be in airworthy condition."],
    # 14 CFR 43.9(a)(1) to (4): description, date of completion, who else did the work, signature for that work only.
    "maintenance": ["Approved for return to service: the work described only "
                    "Maintenance record: the work described, and nothing else",
                    "Work done The mast from the gearbox to the hub", "Completed on 2026-11-25",
                    "Others who did the work Orla Quill, Ben Aster",
                    "approves it for return to service only for the work performed."],
    # 14 CFR 43.11(a)(5) word for word, and the signed and dated list of 43.11(b).
    "disapproved": ["Disapproved for return to service Inspection record: the whole inspection",
                    "I certify that this aircraft has been inspected in accordance with 100-hour inspection and a list "
                    "of discrepancies and unairworthy items dated 2026-11-25 has been provided for the aircraft owner "
                    "or operator.",
                    "List of discrepancies and unairworthy items, dated 2026-11-25: 1.1 Bearing seal: Seal weeps (lip, "
                    "aft side) 2.1 Dampers: Left damper slack for 10 degrees (left damper)",
                    "Sent back by the inspector", "The boot on the aft rod was not looked at. Use a mirror."],
    "confirm": ["This wording is not confirmed. Confirm it with your authority before use."],
    "two_countersigners": ["Countersigned by 2 persons", "Refused at first. Taken in by Teo Marsh",
                           "because: The phone was away for three weeks. I saw the work.",
                           "Sent back before, see the earlier entries.", "Not all four were looked at."],
    "contested": ["Contested: not approved as it stands".upper(), "This paper approves nothing.",
                  "This no longer covers the card.", "Settled: Teo Marsh"],
}


@pytest.mark.parametrize("name", FIELDS)
def test_each_kind_of_record_prints_its_fields(papers, name):
    text = squeezed(papers[name].text)
    assert [said for said in FIELDS[name] if squeezed(said) not in text] == []


def test_what_belongs_to_one_kind_of_record_is_on_no_other(papers):
    texts = {name: squeezed(paper.text) for name, paper in papers.items()}

    def on(said):
        return {name for name, text in texts.items() if squeezed(said) in text}
    assert on("Completed on 2026-11-25") == on("nothing else") == {"maintenance"}
    assert on("List of discrepancies") == {"disapproved"}
    assert on("this part only") == {"part"}
    assert on("Confirm it with your authority before use.") == {"confirm", "two_countersigners"}
    assert on("Refused at first.") == {"two_countersigners"}
    assert on("approves nothing") == {"contested"}
    assert all("CONTESTED" in page for page in papers["contested"].pages) and on("CONTESTED") == {"contested"}


def test_one_countersigner_of_two_is_not_called_countersigned():
    walk = Walk(card_template(), local_code("ca"))
    done = passed(walk)
    walk.countersign("scissors", [done["scissors"]])
    html = paper_html(walk.facts())
    assert "Countersigned by 1 of 2" in html and "passed, countersigned" not in html


def test_a_tool_is_printed_with_its_calibration_as_the_phone_knew_it():
    walk = Walk()
    taken = reading("240", unit="in-lbf", inputs={"wrench_length": "10", "extension": "0"})
    for until in ("2026-11-25", "2026-11-24", None):
        walk.result("nut_torque", readings={"nut_torque": {**taken, "tools": [
            {"serial": "TW-0815", "calibrated_until": until}]}})
    html = paper_html(walk.facts())
    assert "torque wrench TW-0815, calibrated until 2026-11-25" in html
    assert "<b>torque wrench TW-0815, calibrated only until 2026-11-24</b>" in html
    assert "torque wrench TW-0815, no calibration date recorded" in html


def test_a_key_that_signed_nothing_here_is_not_needed_to_read_the_record(papers):
    record = papers["part"].record
    assert {key["kid"] for key in record["keys"]} == {KEYS[one["person"]].kid for one in (ORLA, TEO)}
