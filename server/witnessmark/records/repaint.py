"""A photo's pixels on a fresh canvas: what nobody here has made is decoded within bounds, and never handed on.

The bounds are on pixels, passes and one picture at a time. The decoder runs in the server's own process: a hole in it
would reach the server, which the bounds do not prevent.
"""

import struct
from io import BytesIO

from PIL import Image, ImageOps

from ..rules.problems import Problem

LONG_EDGE = 1600
QUALITY = 82
JPEG_START = b"\xff\xd8\xff"
SCAN_START = b"\xff\xda"
# A camera writes one scan or about ten. Each costs a pass over all pixels, however few bytes it has, so a file of some
# megabytes could keep a processor busy for an hour. Compressed bytes that follow the picture count a few by accident.
MOST_SCANS = 500
# What the decoder raises on files that were made to break it.
UNREADABLE = (OSError, SyntaxError, ValueError, TypeError, LookupError, ArithmeticError, struct.error, Warning)
TOO_LARGE = (Image.DecompressionBombError, Image.DecompressionBombWarning)


def repainted(data, max_pixels):
    """JPEG bytes that hold the pixels of the JPEG `data`, upright, at most 1600 on the long edge, and nothing else.

    Raises Problem photo_not_jpeg, also for half a picture, or photo_too_many_pixels, before memory is taken for them.
    """
    if not data.startswith(JPEG_START) or data.count(SCAN_START) > MOST_SCANS:
        raise Problem("photo_not_jpeg")
    try:
        return _on_fresh_canvas(_read(data, max_pixels))
    except TOO_LARGE as error:
        raise Problem("photo_too_many_pixels", limit=max_pixels) from error
    except UNREADABLE as error:
        raise Problem("photo_not_jpeg") from error


def _read(data, max_pixels):
    with Image.open(BytesIO(data), formats=["JPEG"]) as image:
        if image.width * image.height > max_pixels:
            raise Problem("photo_too_many_pixels", limit=max_pixels)
        # The decoder itself makes it an eighth to a half, if that still has the size asked for: less time and memory.
        image.thumbnail((LONG_EDGE, LONG_EDGE), reducing_gap=1.0)
        return _upright(image).convert("RGB")


def _upright(picture):
    try:
        return ImageOps.exif_transpose(picture)
    except UNREADABLE:
        # The note about how the camera was held is broken; the picture is not.
        return picture


def _on_fresh_canvas(picture):
    canvas = Image.new("RGB", picture.size)
    canvas.paste(picture)
    out = BytesIO()
    canvas.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
