"""Is a sealed paper exactly what the server sealed? Stricter than a PDF reader's own verdict.

A reader calls a seal valid when bytes were appended, when a second signature was added, or when the unsigned gap
holds other bytes. Here each of these is a finding, and one finding is enough: the seal does not hold.
"""

import io
import re
import zlib

from asn1crypto import cms, x509
from pyhanko.pdf_utils.misc import PdfError
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import MDPPerm
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko.sign.validation.errors import SignatureValidationError
from pyhanko_certvalidator import ValidationContext

from .structure import structure_findings

# What the PDF and certificate libraries raise on files that were made to break them.
UNREADABLE = (PdfError, SignatureValidationError, ValueError, TypeError, LookupError, AttributeError, ArithmeticError,
              RecursionError, AssertionError, NotImplementedError, MemoryError, zlib.error)
CONTENTS = re.compile(rb"<[0-9A-F]+>")
NOT_PINNED = ("Nothing changed since it was sealed. No certificate was given to compare with: compare it with the"
              " shop’s before you trust who sealed.")


def check_seal(pdf, certificate=None):
    """{"holds": bool, "findings": [sentences], "sentence": all in one} for a paper's bytes; no file makes it raise.

    `certificate`: DER bytes the seal must have been made with. Without it the seal can hold, with a finding that says
    what was not compared. No network is used.
    """
    try:
        findings = _findings(pdf, certificate)
    except UNREADABLE as error:
        findings = [f"The file cannot be read as a sealed paper ({type(error).__name__}). Ask the shop for it again."]
    holds = not findings
    if holds and certificate is None:
        findings = [NOT_PINNED]
    verdict = "The seal holds." if holds else "The seal does not hold."
    return {"holds": holds, "findings": findings, "sentence": " ".join([verdict, *findings])}


def _findings(pdf, certificate):
    reader = PdfFileReader(io.BytesIO(pdf), strict=True)
    seals = reader.embedded_signatures
    if len(seals) != 1:
        return [f"The file carries {len(seals)} signatures; a sealed paper carries exactly one."]
    (found,) = seals
    return (_gap_findings(pdf, found) or _signature_findings(found)) + _kind_findings(reader, found, certificate) \
        + structure_findings(reader)


def _signature_findings(found):
    context = ValidationContext(trust_roots=[found.signer_cert], allow_fetching=False)
    status = validate_pdf_signature(found, signer_validation_context=context)
    if not (status.intact and status.valid):
        return ["The content was changed after sealing."]
    if status.coverage != SignatureCoverageLevel.ENTIRE_FILE:
        return ["The seal does not cover the whole file: something was added after sealing."]
    return [] if status.bottom_line else ["The seal is not valid."]


def _kind_findings(reader, found, certificate):
    findings = []
    if certificate is not None and found.signer_cert.dump() != certificate:
        findings.append("The file was sealed with another certificate than the shop’s.")
    if found.sig_object.get("/SubFilter") != "/ETSI.CAdES.detached":
        findings.append("The seal is of another kind than ours (ETSI.CAdES.detached).")
    certifying = reader.root["/Perms"]["/DocMDP"] if "/Perms" in reader.root else None
    if certifying != found.sig_object or found.docmdp_level != MDPPerm.NO_CHANGES:
        findings.append("The seal does not forbid every later change; ours always does.")
    return findings


def _gap_findings(pdf, found):
    """The bytes between the two signed ranges are signed by nobody: they must hold the signature and nothing else."""
    ranges = [int(number) for number in found.sig_object["/ByteRange"]]
    if len(ranges) != 4 or ranges[0] != 0 or ranges[2] + ranges[3] != len(pdf):
        return ["The seal does not cover the whole file: something was added after sealing."]
    gap = pdf[ranges[1]:ranges[2]]
    if not CONTENTS.fullmatch(gap) or len(gap) % 2:
        return ["The unsigned gap of the file does not hold the seal alone."]
    contents = bytes.fromhex(gap[1:-1].decode())
    content_info = cms.ContentInfo.load(contents)
    length = len(content_info.dump())
    if any(contents[length:]):
        return ["The padding after the seal is not empty."]
    if _rebuilt(content_info) != contents[:length]:
        return ["The seal is not written in the one way in which ours is written."]
    return []


def _rebuilt(content_info):
    """The seal written anew from its parts: parts that no signature protects must be exactly the usual ones."""
    given = content_info["content"]
    (signer,) = given["signer_infos"]
    (only,) = given["certificates"]
    if signer["unsigned_attrs"].native or given["crls"].native:
        return b""
    certificate = x509.Certificate.load(only.chosen.dump(force=True))
    rebuilt = cms.ContentInfo({"content_type": "signed_data", "content": cms.SignedData({
        "version": "v1",
        "digest_algorithms": [{"algorithm": "sha256"}],
        "encap_content_info": {"content_type": "data"},
        "certificates": [certificate],
        "signer_infos": [cms.SignerInfo({
            "version": "v1",
            "sid": cms.SignerIdentifier("issuer_and_serial_number", cms.IssuerAndSerialNumber({
                "issuer": certificate.issuer, "serial_number": certificate.serial_number})),
            "digest_algorithm": {"algorithm": "sha256"},
            "signed_attrs": signer["signed_attrs"],
            "signature_algorithm": {"algorithm": "sha256_ecdsa"},
            "signature": signer["signature"].native,
        })],
    })})
    return rebuilt.dump()
