"""The only way out of a rendering: photos of this record, from memory. Everything else stops the rendering."""

from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "photo:"


class RecordFetcher(URLFetcher):
    """Answers `photo:<sha256>` from `photos` (sha256 -> JPEG bytes); no file, no network, no data URL."""

    def __init__(self, photos):
        super().__init__(allow_redirects=False, fail_on_errors=True)
        self._photos = photos

    def fetch(self, url, headers=None):
        """The photo as a response. Raises FatalURLFetchingError, which no rendering survives, for any other URL."""
        photo = self._photos.get(url.removeprefix(SCHEME)) if url.startswith(SCHEME) else None
        if photo is None:
            raise FatalURLFetchingError(f"The paper asked for {url[:200]!r}, which is not part of the record.")
        return URLFetcherResponse(url, photo, {"Content-Type": "image/jpeg"})
