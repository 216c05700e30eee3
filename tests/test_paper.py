"""The printed work card: it says what the record says, stands as PDF/A-3u and PDF/UA, and no typed text can act."""

import copy
import hashlib
import io
import json
import re
import subprocess
from xml.etree import ElementTree
from xml.sax.saxutils import escape

import pikepdf
import pytest

from read_paper import printed, squeezed, structure, text_of
from sample_card import AIRCRAFT, CODE, ORLA, READINGS, TEMPLATE, TEO, Walk, walked_card
from sample_kinds import kinds_card
from witnessmark.pdf.glyphs import FONTS, drawn, printable
from witnessmark.pdf.paper import RECORD_NAME, page_style, paper_html, record_bytes
from witnessmark.pdf.renderer import Renderer
from witnessmark.pdf.witness_mark import WORDS, witness_mark
from witnessmark.rules.canonical import read_canonical
from witnessmark.rules.entry import content_id
from witnessmark.rules.signature import ENTRY_TYP, read_jws


@pytest.fixture(scope="module")
def renderer():
    made = Renderer()
    yield made
    made.close()


@pytest.fixture(scope="module")
def facts():
    return walked_card().facts()


@pytest.fixture(scope="module")
def pdf(renderer, facts):
    return printed(renderer, facts)


def typed_texts(entry):
    """Every text of an entry that a person typed or chose, as it must appear on paper."""
    payload, body = entry["payload"], entry["payload"]["body"]
    yield payload["author"]["name"]
    yield payload["author"]["certificate"]["number"]
    yield payload["author"]["certificate"]["kind"]
    yield payload["claimed_at"].replace("T", " ").replace("Z", " UTC")
    yield entry["id"][:8]
    for reading in body.get("readings", {}).values():
        yield from reading["values"]
        for tool in reading["tools"]:
            yield f"{tool['serial']}, calibrated until {tool['calibrated_until']}"
        yield from reading["inputs"].values()
        yield from reading["derived"].values()
    for photo in body.get("photos", []):
        yield photo["caption"]
        yield photo["sha256"]
    for name in ("note", "action", "statement"):
        yield body.get(name, "")
    yield from (body.get("discrepancy") or {}).values()
    for time in body.get("times", {}).values():
        yield f"{time['value']} {time['unit']}"


def test_the_text_layer_says_everything_the_record_says(facts, pdf):
    paper = squeezed(text_of(pdf))
    missing = [text for entry in facts["entries"] for text in typed_texts(entry) if squeezed(text) not in paper]
    assert missing == []
    card = [facts["card"]["number"], facts["card"]["title"], facts["card"]["revision"], facts["shop"]["name"],
            *AIRCRAFT.values(), *TEMPLATE["references"], TEMPLATE["scope"], TEMPLATE["inspection"],
            "2026-11-25 07:30:00 UTC", "1234.5 h"]
    assert [text for text in card if squeezed(text) not in paper] == []
    for zone in TEMPLATE["zones"]:
        assert all(squeezed(item["title"] + item["do"]) in paper for item in zone["items"])


def test_readings_stand_beside_their_limits_source_and_tool(pdf):
    text = text_of(pdf)
    assert ("Mast nut torque 231.50 in-lbf · extension 1.5 · wrench length 10 · Applied torque 266.23 in-lbf · "
            "240 to 280 in-lbf (invented for the demo) · within limits · torque wrench TW-0815") in text
    assert ("Run-out at mid span · Total indicator reading 0.0040 in · at most 0.005 in (invented for the demo) · "
            "within limits · dial indicator DI-2207") in text
    assert "Colour of the grease grey · acceptable: clean, grey · acceptable" in text


def test_verdict_caution_and_demonstration_notice_are_on_the_paper(pdf):
    text = text_of(pdf)
    assert "Approved for return to service" in text
    assert ("The manufacturer’s current instructions and the local authority’s rules govern. This program records and "
            "computes; a licensed person decides.") in text
    pages = len(pikepdf.open(io.BytesIO(pdf)).pages)
    for page in range(1, pages + 1):
        one = text_of(pdf, "-f", str(page), "-l", str(page))
        assert f"Page {page} of {pages}" in one
        assert "Work card WC-0001 · revision " in one
        assert "Invented aircraft, limits and history: demonstration only" in one


def test_a_shop_of_flesh_and_blood_carries_no_demonstration_notice():
    html = paper_html(walked_card(photos=False).facts(demo=False))
    assert "demonstration" not in html.lower().replace("invented two-place demo helicopter", "")


def test_twenty_items_without_photos_fit_on_four_pages(renderer):
    made = printed(renderer, walked_card(photos=False).facts())
    assert len(pikepdf.open(io.BytesIO(made)).pages) <= 4


def test_the_attached_record_is_the_record_to_the_byte(facts, pdf):
    document = pikepdf.open(io.BytesIO(pdf))
    assert list(document.attachments) == [RECORD_NAME]
    attached = document.attachments[RECORD_NAME].get_file()
    assert attached.mime_type == "application/json"
    assert attached.read_bytes() == record_bytes(facts)
    record = json.loads(attached.read_bytes())
    assert record["format"] == "witnessmark-record-2"
    ids = {content_id(read_jws(text, ENTRY_TYP)["payload_text"]) for text in record["entries"]}
    assert ids == {entry["id"] for entry in facts["entries"]}
    assert read_canonical(attached.read_bytes().decode()) == record
    assert len(document.Root.AF) == 1 and str(document.Root.AF[0].AFRelationship) == "/Source"


def test_the_metadata_declares_pdf_a_3u_and_pdf_ua_1(pdf):
    # ISO 19005-3, 6.6.4 (pdfaid) and ISO 14289-1, clause 5 (pdfuaid); the latter needs an extension schema in PDF/A.
    document = pikepdf.open(io.BytesIO(pdf))
    packet = document.Root.Metadata.read_bytes()
    ElementTree.fromstring(packet.decode())
    metadata = document.open_metadata()
    assert (metadata["pdfaid:part"], metadata["pdfaid:conformance"]) == ("3", "U")
    assert metadata["{http://www.aiim.org/pdfua/ns/id/}part"] == "1"
    assert b"http://www.aiim.org/pdfa/ns/extension/" in packet
    assert metadata["dc:title"] == str(document.docinfo.Title)
    assert document.Root.OutputIntents[0].S == "/GTS_PDFA1"
    assert document.check_pdf_syntax() == []
    assert document.trailer.ID is not None and "/Encrypt" not in document.trailer


def test_the_paper_is_tagged_with_language_title_headings_and_table_headers(pdf):
    document = pikepdf.open(io.BytesIO(pdf))
    assert str(document.Root.Lang) == "en" and document.Root.MarkInfo.Marked
    assert document.Root.ViewerPreferences.DisplayDocTitle
    assert str(document.docinfo.Title) == "Work card WC-0001: Mast, hub and stabilizer bar, N0417W"
    tags = list(structure(document))
    levels = [int(tag[2]) for tag, _ in tags if re.fullmatch("/H[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))
    cells = [node for tag, node in tags if tag == "/TD"]
    assert cells and all(len(node.A.Headers) >= 1 for node in cells)
    # A value of the head is announced under its own name alone.
    assert sum(len(node.A.Headers) == 1 for node in cells[:8]) == 8


def test_every_figure_has_an_alternative_text(facts, pdf):
    document = pikepdf.open(io.BytesIO(pdf))
    figures = [node for tag, node in structure(document) if tag == "/Figure"]
    alternatives = [str(node.Alt) for node in figures]
    # A witness mark for each item, and the square code of the log's checkpoint on the first and on the last page.
    assert len(figures) == len(facts["photos"]) + 20 + 2
    assert alternatives.count("Square code that holds the checkpoint of the log as text") == 2
    assert "Photo 1, item 1.1: Tube, left side" in alternatives
    assert "Witness mark: passed, countersigned" in alternatives


@pytest.fixture(scope="module")
def kinds_pdf(renderer):
    return printed(renderer, kinds_card())


@pytest.mark.parametrize("made", ["pdf", "kinds_pdf"])
def test_page_feet_are_artifacts_and_all_other_content_is_tagged(made, request):
    # ISO 14289-1, 7.1: all content is either an artifact or in the structure tree.
    document = pikepdf.open(io.BytesIO(request.getfixturevalue(made)))
    tagged = {(node.Pg.objgen, int(kid)) for _, node in structure(document)
              for kid in ([node.K] if isinstance(node.get("/K"), int) else node.get("/K", [])) if isinstance(kid, int)}
    for page in document.pages:
        inside = []
        for operands, operator in pikepdf.parse_content_stream(page):
            if str(operator) == "BDC":
                inside.append((page.objgen, int(operands[1].MCID)) in tagged)
            elif str(operator) == "BMC":
                inside.append(str(operands[0]) == "/Artifact")
            elif str(operator) == "EMC":
                inside.pop()
            elif str(operator) in ("TJ", "Tj", "Do", "S", "f", "f*", "B"):
                assert inside and all(inside), (operator, inside)


def typefaces(pdf):
    """Names of the typefaces in the file; each must be embedded, cut to what is used, and mapped to Unicode."""
    done = subprocess.run(["pdffonts", "-"], input=pdf, capture_output=True, check=True)
    rows = done.stdout.decode().splitlines()[2:]
    assert all(re.search(r"yes yes yes +\d+ +0$", row) for row in rows)
    return {re.match(r"[A-Z]{6}\+(\S+) ", row)[1] for row in rows}


def test_a_paper_that_the_house_typeface_can_print_uses_no_other(pdf):
    assert typefaces(pdf) == {"B612", "B612-Bold", "B612-Mono"}


NAME = "Łukasz Żółć"
NOTES = ["Стяжная гайка: 12 Н·м, зазор в норме.", "Ο κοχλίας είναι σφιχτός, δεν βρέθηκε ρωγμή.",
         "Şaft ve yağ: iyi; šroub č. 5 → 2.5 ≤ x ≤ 3 ⌀ 8 ✓", "Đã kiểm tra kỹ trục chính"]


def test_names_and_notes_of_other_alphabets_stand_on_the_paper(renderer, caplog):
    walk = Walk()
    for item, note in zip(("tube_seal", "tube_cap", "witness", "dampers"), NOTES, strict=True):
        walk.result(item, note=note, author={**ORLA, "name": NAME})
    made = printed(renderer, walk.facts())
    text = text_of(made)
    # As an item's author in regular weight, in the table of signatures in bold.
    assert text.count(NAME) >= 5 and "[U+" not in text
    assert [note for note in NOTES if squeezed(note) not in squeezed(text)] == []
    assert typefaces(made) == {"B612", "B612-Bold", "B612-Mono", "DejaVu-Sans", "DejaVu-Sans-Bold"}
    assert caplog.records == []


@pytest.mark.parametrize("tag", ["span", "b"])
def test_every_character_that_is_printed_as_itself_has_a_glyph_and_is_read_back_exactly(renderer, caplog, tag):
    itself = [character for character in map(chr, sorted(drawn())) if printable(character) == character != " "]
    lines = [" ".join(itself[start : start + 20]) for start in range(0, len(itself), 20)]
    body = "".join(f"<p><{tag}>{escape(line)}</{tag}></p>" for line in lines)
    html = f'<!DOCTYPE html><html lang="en"><title>t</title><style>{page_style()}</style>{body}'
    text = text_of(renderer.render(html, {}, RECORD_NAME, b"{}"), "-raw")
    assert len(itself) > 2000 and set(text) - {" "} == set(itself)
    assert [line for line in lines if line not in text] == []
    assert caplog.records == []


def test_each_typeface_is_the_file_that_its_list_names():
    listed = dict(re.findall(r"^\| `(\S+)` \|.*`([0-9a-f]{64})` \|$", (FONTS / "VERSIONS.md").read_text(), re.M))
    found = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in FONTS.glob("*.[ot]t[fc]")}
    assert listed == found and len(found) == 5


def test_a_failure_is_printed_with_its_correction_and_its_second_look(pdf):
    text = text_of(pdf, "-layout")
    assert "Discrepancies and corrective actions" in text
    for said in ("One tab cracked through", "Plate replaced with a new one", "Passed after a corrective action"):
        assert said in text
    assert "Earlier entries, superseded or no longer standing" in text and "Looked at three only." in text


def test_every_entry_is_printed_in_every_state_of_a_card():
    walk = walked_card(photos=False)
    standing = [item for item in walk.state()["items"] if item["item"] == "boots"][0]["heads"]
    walk.result("boots", "fail", discrepancy={"what": "Torn", "where": "left"}, author=TEO)
    walk.result("boots", note="late", supersedes=standing, readings={"unknown_field": READINGS["spline_wear"]["wear"]})
    facts = walk.facts()
    assert facts["state"]["status"] == "contested"
    html = paper_html(facts)
    assert [entry["id"] for entry in facts["entries"] if entry["id"][:8] not in html] == []
    assert "Contested" in html and "Disputed" in html and "Witness mark: disputed" in html


def test_a_disapproval_prints_its_list_of_discrepancies():
    walk = Walk()
    walk.result("tube_seal", "fail", discrepancy={"what": "Seal weeps", "where": "lip"})
    walk.approve("disapproval", listed=[{"item": "tube_seal", "what": "Seal weeps", "where": "lip"}])
    html = paper_html(walk.facts())
    assert "Disapproved for return to service" in html
    assert "1.4 Bearing seal: Seal weeps (lip)" in html
    assert "Not corrected" in html and "Not inspected again" in html


def test_the_paper_shows_where_the_phone_computed_something_else():
    walk = Walk()
    wrong = {"nut_torque": {**READINGS["nut_torque"]["nut_torque"], "derived": {"applied": "999.00"}}}
    walk.result("nut_torque", readings=wrong)
    html = paper_html(walk.facts())
    assert "(the phone had computed 999.00 in-lbf)" in html
    assert "Attention: the phone had computed another value" in html


def test_a_photo_that_two_entries_name_is_printed_once_with_both_captions():
    walk = Walk()
    photo = walk.photo(20, "before")
    first = walk.result("tube_surface", photos=[photo])
    walk.result("tube_surface", photos=[{**photo, "caption": "after"}], supersedes=[first], author=TEO)
    html = paper_html(walk.facts())
    assert html.count("<img") == 1
    assert "item 1.1: before<br>Orla Quill" in html and "item 1.1: after<br>Teo Marsh" in html


def test_a_photo_that_has_not_arrived_is_told():
    walk = Walk()
    walk.result("tube_surface", photos=[walk.photo(20, "left")])
    walk.photos.clear()
    html = paper_html(walk.facts())
    assert "had not arrived" in html and "<img" not in html


def test_a_reading_outside_its_limits_says_so():
    walk = Walk()
    walk.result("spline_wear", "fail", readings={"wear": {**READINGS["spline_wear"]["wear"], "values": ["0.0101"]}},
                discrepancy={"what": "Worn", "where": "lower splines"})
    assert "outside limits" in paper_html(walk.facts())


@pytest.mark.parametrize("status", WORDS)
def test_each_status_has_a_mark_of_its_own_shape(status):
    others = {str(witness_mark(other)).partition("</title>")[2] for other in WORDS if other != status}
    drawn = str(witness_mark(status))
    assert drawn.partition("</title>")[2] not in others
    ElementTree.fromstring(drawn)


HOSTILE = [
    '<img src="file:///etc/passwd"><script>alert(1)</script>',
    "<style>@import url(http://127.0.0.1:9/x);body{background:url(file:///etc/hostname)}</style>",
    '"><svg><image href="http://127.0.0.1:9/"/></svg><link rel=attachment href=file:///etc/passwd>',
    "url(photo:0000) &lt;b&gt; &amp;amp; {{ 7*7 }} {% raw %} --> ]]> \\ ' \"",
    "W" * 400,
    "שלום العربية \u202egnp.exe\u202c \u200b\u00ad 🚁👩‍🔧 Łukasz Žižka 漢字 \ufffd",
    "line one\nline two\u00a0and a hard space",
    "</td></tr></table></body></html>",
    "file:///etc/passwd http://[::1]/ data:text/html,x javascript:alert(1)",
]


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_in_every_field_stays_text(renderer, hostile, caplog):
    one_line = hostile.replace("\n", " ")
    author = {**ORLA, "name": one_line[:120], "certificate": {"kind": one_line[:120], "number": one_line[:60]}}
    walk = Walk(copy.deepcopy(TEMPLATE), {**CODE, "title": one_line[:120], "confirm": True})
    walk.template["title"] = walk.template["scope"] = walk.template["zones"][0]["title"] = hostile
    walk.template["zones"][0]["items"][0] |= {"title": hostile, "do": hostile}
    walk.template["zones"][0]["items"][1]["fields"][0] |= {
        "title": hostile, "source": hostile, "tool": hostile, "stations": [hostile[:40]] * 8}
    reading = {**READINGS["tube_run_out"]["run_out"], "tools": [{"serial": one_line[:120], "calibrated_until": None}]}
    walk.result("tube_run_out", readings={"run_out": reading}, note=hostile, author=author,
                photos=[walk.photo(30, one_line[:200])])
    walk.result("tube_seal", "fail", note=hostile, author=author,
                discrepancy={"what": hostile, "where": one_line[:400]})
    again = walk.result("tube_cap", supersedes=[walk.send_back("tube_cap", [walk.result("tube_cap")], hostile)])
    walk.admit(again, hostile, author={**TEO, "name": one_line[:120]})
    walk.approve("disapproval", listed=[{"item": "tube_seal", "what": hostile, "where": one_line[:400]}])
    facts = walk.facts(shop=hostile)
    facts["card"]["title"] = hostile
    made = printed(renderer, facts)
    assert squeezed(printable(hostile)) in squeezed(text_of(made))
    document = pikepdf.open(io.BytesIO(made))
    assert list(document.attachments) == [RECORD_NAME]
    assert [page for page in document.pages if "/Annots" in page] == []
    assert caplog.records == []


def test_a_character_without_a_glyph_is_printed_as_its_number():
    assert printable("Łuk \u202eexe 🚁漢\n°µΩ−±≤é") == "Łuk [U+202E]exe [U+1F681][U+6F22]\n°µΩ−±≤é"


def test_marks_that_strike_through_other_characters_and_hidden_line_ends_are_printed_as_numbers():
    assert printable("pass\u0336 a\u0301\u20dd\u2028\u2029\u200b") == (
        "pass[U+0336] a[U+0301][U+20DD][U+2028][U+2029][U+200B]")


def test_rendering_is_silent(renderer, facts, caplog, capfd):
    printed(renderer, facts)
    assert [record.getMessage() for record in caplog.records if record.levelname == "WARNING"] == []
    assert capfd.readouterr().err == ""


def test_a_glyph_that_is_missing_after_all_is_complained_about(renderer, caplog):
    # PDF/A forbids it (ISO 19005-3, 6.2.11.8) and `printable` leaves none: silence above means something.
    renderer.render('<!DOCTYPE html><html lang="en"><title>t</title><p>\U0001f681</p>', {}, RECORD_NAME, b"{}")
    assert [".notdef" in record.getMessage() for record in caplog.records] == [True]
