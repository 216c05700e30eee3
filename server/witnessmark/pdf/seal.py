"""The seal: the server's own signature over a whole paper (PAdES, certified, no change allowed), made offline.

A seal proves that this server printed this file and that nothing in it changed since. Whether a person stands
behind an entry is proved by that person's entry in the attached record, not by the seal.
"""

import io
import os
from datetime import UTC, datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, pkcs12
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers

from .check_seal import check_seal

__all__ = ["check_seal", "make_seal_key", "open_seal_key", "seal", "seal_certificate"]

FIELD = "Seal"
YEARS = 10
# A common name holds at most 64 characters (RFC 5280, ub-common-name); the library counts bytes.
LONGEST_SHOP = 64 - len(" seal")
# Room for the signature with the longest shop name (four copies of it); a larger gap would only be unsigned room.
CONTENTS_BYTES = 2048


class _Unretouched(IncrementalPdfFileWriter):
    """Adds the seal and nothing else.

    The library would also rewrite the document's metadata, and its XMP writer turns the declaration of PDF/UA into a
    form that a PDF/A checker need not accept.
    """

    def _update_meta(self):
        pass


def make_seal_key(shop, now=None):
    """A new seal key as PKCS#12 bytes without password: keep them in a file that only the server can read (0600).

    ECDSA P-256, self-signed, ten years, for the signing of content only. `now` is an aware datetime.
    """
    start = (now or datetime.now(UTC)) - timedelta(minutes=5)
    key = ec.generate_private_key(ec.SECP256R1())
    short = shop.encode()[:LONGEST_SHOP].decode(errors="ignore").strip()
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{short} seal")])
    usage = x509.KeyUsage(digital_signature=True, content_commitment=True, key_encipherment=False,
                          data_encipherment=False, key_agreement=False, key_cert_sign=False, crl_sign=False,
                          encipher_only=False, decipher_only=False)
    certificate = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start).not_valid_after(start + timedelta(days=365 * YEARS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256()))
    return pkcs12.serialize_key_and_certificates(b"seal", key, certificate, None, NoEncryption())


def open_seal_key(path, shop):
    """The seal key in the file `path`; made there, for its owner alone, when there is none yet."""
    if not path.exists():
        fresh = path.with_name(path.name + ".new")
        with open(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(make_seal_key(shop))
            file.flush()
            os.fsync(file.fileno())
        # Half a key, or a second one beside papers that the first one sealed, would be worse than none.
        os.link(fresh, path)
        os.unlink(fresh)
    return path.read_bytes()


def seal_certificate(key):
    """The certificate of a PKCS#12 seal `key`, as DER bytes: what `check_seal` is given to compare with."""
    return pkcs12.load_pkcs12(key, None).cert.certificate.public_bytes(Encoding.DER)


def seal(pdf, key):
    """`pdf` (bytes) with the seal of `key` (PKCS#12 bytes) added; whatever changes afterwards breaks it.

    Uses no network and no time stamp. Raises ValueError for a key that cannot be read.
    """
    try:
        signer = signers.SimpleSigner.load_pkcs12_data(key, other_certs=[])
    except ValueError as error:
        raise ValueError("The seal key cannot be read. Restore it from a backup, or make a new one.") from error
    metadata = signers.PdfSignatureMetadata(
        field_name=FIELD, md_algorithm="sha256", subfilter=fields.SigSeedSubFilter.PADES, certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES, reason="Printed by the server; nothing changed since")
    # The field lies outside the page: PDF/A and PDF/UA both accept an untagged invisible one only there.
    field = fields.SigFieldSpec(FIELD, readable_field_name="The seal of the shop’s server",
                                invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True))
    out = io.BytesIO()
    signers.PdfSigner(metadata, signer, new_field_spec=field).sign_pdf(
        _Unretouched(io.BytesIO(pdf)), output=out, bytes_reserved=2 * CONTENTS_BYTES)
    return out.getvalue()
