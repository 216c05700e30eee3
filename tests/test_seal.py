"""The seal: poppler's pdfsig accepts it; our own check refuses every file that is not the sealed one to the byte."""

import io
import random
import stat
import subprocess
from datetime import UTC, datetime

import pikepdf
import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import pkcs12
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import fields, signers
from pyhanko.sign.general import SigningError

from sample_card import walked_card
from witnessmark.pdf.paper import RECORD_NAME, paper_html, record_bytes
from witnessmark.pdf.renderer import Renderer
from witnessmark.pdf.seal import check_seal, make_seal_key, open_seal_key, seal, seal_certificate
from witnessmark.pdf.structure import attached_record

SEED = 20261125


@pytest.fixture(scope="module")
def facts():
    return walked_card(photos=False).facts()


@pytest.fixture(scope="module")
def paper(facts):
    renderer = Renderer()
    yield renderer.render(paper_html(facts), {}, RECORD_NAME, record_bytes(facts))
    renderer.close()


@pytest.fixture(scope="module")
def key():
    return make_seal_key("Lindqvist Rotor Works")


@pytest.fixture(scope="module")
def sealed(paper, key):
    return seal(paper, key)


def gap_of(pdf):
    """Start and end of the bytes that the seal does not cover."""
    (found,) = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    ranges = [int(number) for number in found.sig_object["/ByteRange"]]
    return ranges[1], ranges[2]


def changed(pdf, position, value):
    return pdf[:position] + bytes([value]) + pdf[position + 1:]


def test_pdfsig_says_valid_and_total_document(sealed, tmp_path):
    # poppler's own implementation (NSS), independent of the library that signs.
    path = tmp_path / "sealed.pdf"
    path.write_bytes(sealed)
    said = subprocess.run(["pdfsig", path], capture_output=True, text=True, check=True).stdout
    assert "Signature is Valid." in said and "Total document signed" in said
    assert "ETSI.CAdES.detached" in said and "Lindqvist Rotor Works seal" in said
    assert said.count("Signature #") == 1


def test_the_seal_holds_with_the_shops_certificate(sealed, key):
    assert check_seal(sealed, seal_certificate(key)) == {"holds": True, "findings": [], "sentence": "The seal holds."}


def test_without_a_certificate_it_says_what_was_not_compared(sealed):
    verdict = check_seal(sealed)
    assert verdict["holds"] and "No certificate was given" in verdict["findings"][0]


def test_it_certifies_and_forbids_every_change(sealed):
    document = pikepdf.open(io.BytesIO(sealed))
    signature = document.Root.Perms.DocMDP
    assert signature.Reference[0].TransformParams.P == 1  # ISO 32000-1, table 254: no changes permitted
    assert str(signature.SubFilter) == "/ETSI.CAdES.detached"


def test_the_seals_field_is_one_that_pdf_a_and_pdf_ua_allow(sealed):
    # ISO 19005-3, 6.3.2: print flag set, hidden flags clear; ISO 14289-1, 7.18.1: outside the crop box needs no tag.
    document = pikepdf.open(io.BytesIO(sealed))
    (widget,) = [note for page in document.pages for note in page.get("/Annots", [])]
    assert widget.F & 0b100 and not widget.F & 0b100011
    left, bottom, right, top = map(float, widget.Rect)
    assert (right - left, top - bottom) == (0, 0) and right < 0 and top < 0
    assert "/NeedAppearances" not in document.Root.AcroForm and len(document.trailer.ID) == 2
    assert document.check_pdf_syntax() == []


def test_sealing_leaves_the_paper_and_its_metadata_as_they_were(paper, sealed):
    assert sealed.startswith(paper)
    with pikepdf.open(io.BytesIO(paper)) as before, pikepdf.open(io.BytesIO(sealed)) as after:
        assert before.Root.Metadata.read_bytes() == after.Root.Metadata.read_bytes()


def test_the_record_comes_out_of_the_sealed_paper(sealed, facts):
    assert attached_record(PdfFileReader(io.BytesIO(sealed))) == record_bytes(facts)


def test_the_key_is_p256_self_signed_for_ten_years_and_for_signing_content(key):
    # RFC 5280, 4.2.1.3: digitalSignature and nonRepudiation (contentCommitment).
    made = make_seal_key("Lindqvist Rotor Works", datetime(2026, 11, 25, 8, tzinfo=UTC))
    loaded = pkcs12.load_pkcs12(made, None)
    certificate = loaded.cert.certificate
    assert isinstance(loaded.key.curve, ec.SECP256R1)
    assert certificate.issuer == certificate.subject
    certificate.verify_directly_issued_by(certificate)
    usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    assert usage.digital_signature and usage.content_commitment and not usage.key_cert_sign
    assert certificate.not_valid_after_utc.year == 2036
    assert make_seal_key("Lindqvist Rotor Works") != key


def test_a_long_shop_name_still_fits(paper):
    key = make_seal_key("Ärö Ünïon " * 20)
    assert check_seal(seal(paper, key), seal_certificate(key))["holds"]


def test_the_key_file_is_made_once_for_its_owner_alone(tmp_path):
    path = tmp_path / "seal.p12"
    first = open_seal_key(path, "Lindqvist Rotor Works")
    assert open_seal_key(path, "Another name") == first == path.read_bytes()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [found.name for found in tmp_path.iterdir()] == ["seal.p12"]


def test_an_unreadable_key_says_what_to_do(paper):
    with pytest.raises(ValueError, match="Restore it from a backup"):
        seal(paper, b"not a key")


@pytest.mark.parametrize("made", [
    lambda pdf: pdf + b"\n",
    lambda pdf: pdf + b"%%EOF\n",
    lambda pdf: pdf[:-1],
    lambda pdf: pdf[: len(pdf) // 2],
    lambda pdf: b"%PDF-1.7\n" + pdf,
    lambda pdf: b"",
    lambda pdf: b"not a pdf",
    lambda pdf: b"%PDF-1.7\n" + b"[" * 100_000,
])
def test_a_file_with_other_bytes_is_refused(sealed, key, made):
    verdict = check_seal(made(sealed), seal_certificate(key))
    assert not verdict["holds"] and verdict["findings"]


def test_an_unsealed_paper_is_refused(paper):
    assert check_seal(paper)["findings"] == ["The file carries 0 signatures; a sealed paper carries exactly one."]


def test_the_seal_of_another_key_is_refused(paper, key):
    verdict = check_seal(seal(paper, make_seal_key("Lindqvist Rotor Works")), seal_certificate(key))
    assert verdict["findings"] == ["The file was sealed with another certificate than the shop’s."]


@pytest.mark.parametrize("flips", [30, pytest.param(1000, marks=pytest.mark.faults)])
def test_flipped_bits_anywhere_are_refused(sealed, key, flips):
    chance = random.Random(SEED)
    certificate = seal_certificate(key)
    held = []
    for _ in range(flips):
        position = chance.randrange(len(sealed))
        flipped = changed(sealed, position, sealed[position] ^ 1 << chance.randrange(8))
        if check_seal(flipped, certificate)["holds"]:
            held.append(position)
    assert held == []


@pytest.mark.parametrize("step", [80, pytest.param(5, marks=pytest.mark.faults)])
def test_other_bytes_in_the_unsigned_gap_are_refused(sealed, key, step):
    # A PDF reader accepts most of these: the gap is outside the signed ranges.
    start, end = gap_of(sealed)
    certificate = seal_certificate(key)
    tries = [(end - 2, ord("1")), (end - 100, ord("a")), (end - 1, ord(" ")), (start, ord("(")), (end - 3, ord("\n"))]
    tries += [(position, sealed[position] | 0x20) for position in range(start + 1, end - 1)
              if sealed[position : position + 1].isupper()][::step]
    assert [position for position, value in tries
            if check_seal(changed(sealed, position, value), certificate)["holds"]] == []


def signed(pdf, key, name="Seal", **metadata):
    """`pdf` with an ordinary signature of the same library added."""
    out = io.BytesIO()
    signers.sign_pdf(IncrementalPdfFileWriter(io.BytesIO(pdf)),
                     signers.PdfSignatureMetadata(field_name=name, md_algorithm="sha256", **metadata),
                     signers.SimpleSigner.load_pkcs12_data(key, other_certs=[]), output=out, bytes_reserved=4096)
    return out.getvalue()


def test_a_certified_paper_takes_no_second_signature(sealed, key):
    with pytest.raises(SigningError):
        signed(sealed, key, "Other")


def test_a_second_signature_is_refused(paper, key):
    twice = signed(signed(paper, key), key, "Other")
    assert check_seal(twice, seal_certificate(key))["findings"] == [
        "The file carries 2 signatures; a sealed paper carries exactly one."]


def test_a_signature_that_certifies_nothing_is_refused(paper, key):
    findings = check_seal(signed(paper, key), seal_certificate(key))["findings"]
    assert "The seal does not forbid every later change; ours always does." in findings
    assert "The seal is of another kind than ours (ETSI.CAdES.detached)." in findings


def test_a_certification_that_allows_form_filling_is_refused(paper, key):
    loose = signed(paper, key, certify=True, docmdp_permissions=fields.MDPPerm.FILL_FORMS,
                            subfilter=fields.SigSeedSubFilter.PADES)
    assert check_seal(loose, seal_certificate(key))["findings"] == [
        "The seal does not forbid every later change; ours always does."]


def rewritten(paper, change):
    """The paper with `change(document)` made before sealing: what an attacker with a key could have sealed."""
    document = pikepdf.open(io.BytesIO(paper))
    change(document)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def _open_action(document):
    document.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")


def _second_attachment(document):
    document.attachments["other.json"] = b"{}"


def _no_attachment(document):
    del document.attachments[RECORD_NAME]


def _renamed_attachment(document):
    held = document.attachments[RECORD_NAME].get_file().read_bytes()
    del document.attachments[RECORD_NAME]
    document.attachments["record.json"] = held


def _annotation(document):
    note = document.make_indirect(pikepdf.Dictionary(
        Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.FreeText, Rect=[50, 50, 400, 90], Contents="Approved"))
    document.pages[0].Annots = document.make_indirect(pikepdf.Array([note]))


def _layers(document):
    document.Root.OCProperties = pikepdf.Dictionary(OCGs=[])


def _bare_font(document):
    for found in document.objects:
        if isinstance(found, pikepdf.Dictionary) and found.get("/Type") == "/FontDescriptor":
            del found["/FontFile3"]


@pytest.mark.parametrize(("change", "said"), [
    (_open_action, "OpenAction"), (_second_attachment, "2 attachments"), (_no_attachment, "0 attachments"),
    (_renamed_attachment, "not named"), (_annotation, "annotations"), (_layers, "OCProperties"),
    (_bare_font, "not embedded")])
def test_what_no_paper_of_ours_holds_is_refused_though_well_sealed(paper, key, change, said):
    verdict = check_seal(seal(rewritten(paper, change), key), seal_certificate(key))
    assert not verdict["holds"] and said in verdict["sentence"]
