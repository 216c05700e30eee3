"""HTML of a work card to PDF/A-3u with PDF/UA tags. Runs in the rendering child only."""

import logging
from datetime import UTC, datetime

from weasyprint import HTML, Attachment
from weasyprint.urls import FatalURLFetchingError

from .fetcher import OutsideTheRecord, RecordFetcher
from .page_feet import mark_page_feet

UA_SCHEMA = b"""<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">\
<pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" \
xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">\
<pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>\
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix><pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">\
<pdfaProperty:name>part</pdfaProperty:name><pdfaProperty:valueType>Integer</pdfaProperty:valueType>\
<pdfaProperty:category>internal</pdfaProperty:category>\
<pdfaProperty:description>Part of ISO 14289 to which this file conforms</pdfaProperty:description>\
</rdf:li></rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""
RDF_END = b"</rdf:RDF>"


class Complaints(logging.Handler):
    """Collects what the renderer has to say from warnings up; a good paper is rendered in silence."""

    def __init__(self):
        super().__init__(logging.WARNING)
        self.said = []

    def emit(self, record):
        self.said.append(record.getMessage())


def render(html, photos, attachment_name, attachment):
    """(PDF bytes, list of the renderer's complaints).

    Raises OutsideTheRecord when the HTML asks for anything but the `photos` given.
    """
    complaints, fetcher = Complaints(), RecordFetcher(photos)
    logger = logging.getLogger("weasyprint")
    logger.addHandler(complaints)
    try:
        pdf = _written(html, fetcher, attachment_name, attachment)
    except FatalURLFetchingError:
        pdf = None
    finally:
        logger.removeHandler(complaints)
    # Looked at apart from the exception: the renderer of drawings swallows even fatal ones.
    if fetcher.refused:
        raise OutsideTheRecord(f"The paper asked for {fetcher.refused[0]!r}, which is not part of the record.")
    return pdf, complaints.said


def _written(html, fetcher, attachment_name, attachment):
    now = datetime.now(UTC)
    record = Attachment(string=attachment.decode(), name=attachment_name, relationship="Source", created=now,
                        modified=now, description="The entries this paper was printed from")
    # Without a base URL a relative address cannot become a file or network address.
    document = HTML(string=html, url_fetcher=fetcher).render(
        pdf_variant="pdf/a-3u", pdf_tags=True, presentational_hints=False)
    document.metadata.created = document.metadata.modified = now.strftime("%Y-%m-%dT%H:%M:%SZ")
    return document.write_pdf(finisher=_finish, pdf_variant="pdf/a-3u", pdf_tags=True, attachments=[record])


def _finish(document, pdf):
    """Say PDF/UA beside PDF/A in the metadata (the library states one of the two); list the attachment once; feet."""
    mark_page_feet(pdf)
    metadata = pdf.objects[int(pdf.catalog["Metadata"].split()[0])]
    (packet,) = metadata.stream
    metadata.stream = [packet.replace(RDF_END, UA_SCHEMA + RDF_END)]
    pdf.catalog["AF"][:] = list(dict.fromkeys(pdf.catalog["AF"]))
