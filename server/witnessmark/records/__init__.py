"""Records: the only code that touches the database and the photo files. Imports `rules`, never `web` or `pdf`."""
