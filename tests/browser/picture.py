"""JPEG photos as a phone's camera makes them: turned by EXIF orientation, with a position in them."""

from PIL import Image, ImageDraw

ORIENTATION, GPS = 0x0112, 0x8825


def camera_picture(path, words, size=(2016, 1512), orientation=6):
    """Write a picture whose upright view has `words` and a red top edge; stored turned, with EXIF to turn it back."""
    upright = Image.new("RGB", (size[1], size[0]) if orientation in (6, 8) else size, "#8a8f86")
    draw = ImageDraw.Draw(upright)
    draw.rectangle((0, 0, upright.width, upright.height // 8), fill="#c01818")
    for row in range(6):
        draw.text((60, upright.height // 4 + row * 180), words, fill="white", font_size=96)
    stored = upright.rotate({1: 0, 3: 180, 6: 90, 8: 270}[orientation], expand=True)
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif.get_ifd(GPS).update({1: "N", 2: (47.0, 22.0, 11.0), 3: "E", 4: (8.0, 32.0, 30.0)})
    stored.save(path, "JPEG", quality=90, exif=exif)
    return path
