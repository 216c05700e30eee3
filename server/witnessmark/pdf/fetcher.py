"""The only way out of a rendering: photos of this record, from memory. Everything else stops the rendering."""

from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "photo:"


class OutsideTheRecord(Exception):
    """The paper asked for something that is not part of the record."""


class RecordFetcher(URLFetcher):
    """Answers `photo:<sha256>` from `photos` (sha256 -> JPEG bytes); no file, no network, no data URL.

    `refused` lists what else was asked for.
    """

    def __init__(self, photos):
        super().__init__(allow_redirects=False, fail_on_errors=True)
        self._photos = photos
        self.refused = []

    def fetch(self, url, headers=None):
        """The photo as a response. Raises FatalURLFetchingError, which stops the rendering, for any other URL."""
        photo = self._photos.get(url.removeprefix(SCHEME)) if url.startswith(SCHEME) else None
        if photo is None:
            self.refused.append(url[:200])
            raise FatalURLFetchingError(f"The paper asked for {url[:200]!r}")
        return URLFetcherResponse(url, photo, {"Content-Type": "image/jpeg"})
