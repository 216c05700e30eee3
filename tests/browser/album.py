"""Pictures of a page, made small: for the README and for looking at every screen in every theme."""

import io

from PIL import Image

WIDTH, COLOURS = 480, 128


class Album:
    """Takes pictures into `folder`: of `wanted` names only, and in one theme, or of everything in every theme."""

    def __init__(self, folder, wanted=None):
        self.folder, self.wanted = folder, wanted

    def take(self, page, name):
        if self.wanted is None:
            for theme in ("night", "sun", "day"):
                look(page, theme)
                save(shot(page), self.folder / f"{name}-{theme}.png")
            self.take_below(page, name)
        elif name in self.wanted:
            theme, file = self.wanted[name]
            look(page, theme)
            save(shot(page), self.folder / f"{file}.png")
            look(page, "day")

    def take_below(self, page, name):
        for turn in range(2, 7):
            if page.evaluate("() => scrollY + innerHeight >= document.documentElement.scrollHeight - 2"):
                break
            page.evaluate("() => scrollBy(0, innerHeight - 240)")
            save(shot(page), self.folder / f"{name}-day-{turn}.png")
        page.evaluate("() => scrollTo(0, 0)")


def look(page, theme):
    page.evaluate("(theme) => { localStorage.theme = theme; dispatchEvent(new Event('theme')); }", theme)


def shot(page):
    page.evaluate("() => { document.activeElement.blur(); document.getElementById('said').textContent = ''; }")
    page.wait_for_timeout(300)
    taken = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    return taken.resize((WIDTH, WIDTH * taken.height // taken.width), Image.Resampling.LANCZOS)


def save(image, path):
    image.quantize(COLOURS, kmeans=1, dither=Image.Dither.NONE).save(path, optimize=True)
