"""Pictures of the screens, from the real demo shop with a card half walked. Run by hand, with the project's Python:

    python tests/browser/take_pictures.py            the pictures of the README, into .pictures/
    python tests/browser/take_pictures.py FOLDER     every screen at 360 x 740 in day, night and sun, into FOLDER
"""

import io
import subprocess
import sys
import tempfile
from pathlib import Path

from album import Album, save
from arithmetic_tour import items_by_name, show, take_arithmetic
from people import FACTS, LOCK, Colleague, give_code, items_of, join, sign_in, take_over, type_password
from phone import Phone
from picture import camera_picture
from PIL import Image
from playwright.sync_api import expect, sync_playwright
from shop import Caller, Shop
from walker import Walker

from witnessmark.config import bundled
from witnessmark.records import template_files

MARIA, TOM, INES, ROWAN = "maria", "tom", "ines", "rowan"
README = Path(__file__).resolve().parents[2] / ".pictures"
WANTED = {
    "cards": ("day", "cards"), "item-measured": ("day", "item"), "countersign-sign": ("day", "sign"),
    "card-zone": ("night", "night"), "item-torque": ("day", "torque"), "item-run-out-shape": ("day", "run-out"),
    "item-compression": ("day", "compression"), "trend": ("day", "trend"),
}  # fmt: skip
PAPER_DPI, TALL = 70, 1180


def go(page, path):
    page.evaluate("(hash) => { location.hash = hash; }", f"#/{path}")
    page.wait_for_function("(hash) => location.hash === hash && document.querySelector('main h1')", arg=f"#/{path}")
    page.wait_for_timeout(300)


def sent(page):
    expect(page.locator("unsent-line")).to_contain_text("Everything is on the server", timeout=60000)


class Tour:
    """Through the app as three people on two phones, with a picture at each stop."""

    def __init__(self, shop, playwright, folder, album):
        self.shop, self.album, self.folder = shop, album, folder
        self.phones = [Phone(playwright, folder / name, shop.url) for name in ("maria", "tom")]
        self.templates = {name: template_files.read(bundled("checklists") / f"{name}.yaml")
                          for name in ("mast", "oil", "engine", "rigging", "wear")}
        self.items, self.title = items_by_name(self.templates["mast"]), self.templates["mast"]["title"]
        self.oil = self.templates["oil"]

    def whole(self):
        self.maria, self.tom = (phone.start() for phone in self.phones)
        try:
            self.arrive()
            take_arithmetic(self.maria, self.album, self.templates, go)
            self.walk()
            self.disagree()
            self.inspect()
            return self.released()
        finally:
            for phone in self.phones:
                phone.close()

    def arrive(self):
        self.album.take(self.maria, "sign-in")
        type_password(self.maria, MARIA)
        self.maria.locator("#code").wait_for()
        self.album.take(self.maria, "enrol")
        go(self.maria, "")
        join(self.maria, INES)
        go(self.maria, "hand-over")
        self.maria.locator("hand-over details").evaluate("(details) => { details.open = true; }")
        sign_in(self.maria, MARIA)
        sign_in(self.tom, TOM)
        cards = self.maria.locator("a.card")
        here = cards.filter(has_text=self.title).filter(has_text="N0417W")
        self.card = here.get_attribute("href").removeprefix("#/")
        self.other = cards.filter(has_text="Released").first.get_attribute("href").removeprefix("#/")
        go(self.maria, self.card)
        self.album.take(self.maria, "card-fresh")
        go(self.maria, "issue")
        self.album.take(self.maria, "issue")
        go(self.maria, "hand-over")
        self.maria.locator("button.person", has_text=FACTS[INES]["name"]).click()
        self.maria.locator("#signing-code").wait_for()
        self.album.take(self.maria, "hand-over")

    def item(self, item, page=None):
        go(page or self.maria, f"{self.card}/item/{item}")

    def walk_until(self, walker, stop):
        while not self.maria.url.endswith(f"/{stop}"):
            walker.walk(self.items, stop_after=1)

    def walk(self):
        page = self.maria
        walker = Walker(page, lambda _: camera_picture(self.folder / "camera.jpg", "PHOTO"))
        self.item("make_safe")
        self.album.take(page, "item-plain")
        self.walk_until(walker, "mast_nut_torque")
        self.album.take(page, "item-torque-empty")
        walker.turn = 0
        walker.fill(self.items["mast_nut_torque"], self.items["mast_nut_torque"]["fields"][0])
        show(page, self.album, "main .set-to", "item-torque")
        walker.sign(page.locator("button.verdict.pass"))
        page.wait_for_url("**/mast_nut_lock")
        self.measured(page, walker)
        self.walk_until(walker, "bar_tube")
        page.locator("button.verdict.fail").click()
        page.fill("#found-what", "Paint cracked in a ring, bare metal shows")
        page.fill("#found-where", "Tube A, two inches from the weight")
        self.album.take(page, "item-fail")
        walker.take_photo()
        self.album.take(page, "item-fail-photo")
        page.evaluate(LOCK)
        page.get_by_role("button", name="Record fail").click()
        page.locator("#signing-code").wait_for()
        self.album.take(page, "item-code")
        give_code(page, MARIA)
        self.excuse(page)
        self.walk_until(walker, "mast_run_out")
        self.album.take(page, "item-run-out-empty")
        self.run_out(page, walker)

    def measured(self, page, walker):
        """A whole item in one tall picture, from its caution to its verdict."""
        self.walk_until(walker, "pitch_bearings")
        for field in self.items["pitch_bearings"]["fields"]:
            walker.fill(self.items["pitch_bearings"], field)
        page.set_viewport_size({"width": 360, "height": TALL})
        page.evaluate("() => scrollTo(0, 0)")
        self.album.take(page, "item-measured")
        page.set_viewport_size({"width": 360, "height": 740})

    def excuse(self, page):
        page.wait_for_url("**/bar_pivots")
        page.locator("button.verdict.not_applicable").click()
        page.fill("#note", "Pivots replaced last week, work order 88")
        self.album.take(page, "item-excused")
        page.get_by_role("button", name="Record not applicable").click()
        page.wait_for_url("**/dampers")
        self.album.take(page, "item-choice")

    def run_out(self, page, walker):
        field = self.items["mast_run_out"]["fields"][0]
        for place, value in enumerate(("0.000", "0.001", "0.0015", "0.002", "0.002", "0.001", "0.0005", "0.000")):
            page.fill(f"#{field['field']}-{place}", value)
        page.fill(f"#{field['field']}-back", "0.000")
        page.fill(f"#{field['field']}-tool", "DI-03")
        page.locator("caution-note").evaluate("(note) => scrollTo(0, note.offsetTop - 120)")
        self.album.take(page, "item-run-out")
        show(page, self.album, "main .polar", "item-run-out-shape")
        walker.sign(page.locator("button.verdict.pass"))
        page.wait_for_url("**/control_links")
        sent(page)
        self.item("bar_tube")
        self.album.take(page, "corrective")
        self.item("teeter_hinge")
        self.album.take(page, "item-recorded")
        go(page, self.card)
        self.album.take(page, "card-walked")

    def disagree(self):
        """Both phones without a network, the same item: one passes it, the other fails it."""
        sent(self.tom)
        self.shop.stop()
        self.item("control_links")
        self.item("control_links", self.tom)
        self.maria.locator("button.verdict.pass").click()
        self.tom.locator("button.verdict.fail").click()
        self.tom.fill("#found-what", "Play in the rod end, click when rocked by hand")
        self.tom.fill("#found-where", "Forward link, lower end")
        Walker(self.tom, lambda _: self.folder / "camera.jpg").take_photo()
        self.tom.get_by_role("button", name="Record fail").click()
        for page in (self.maria, self.tom):
            page.wait_for_url(lambda url: not url.endswith("control_links"))
        self.maria.wait_for_timeout(1500)
        go(self.maria, "phone")
        self.album.take(self.maria, "phone-unsent")
        go(self.maria, "")
        self.album.take(self.maria, "cards-unsent")
        self.shop.start()
        for page in (self.tom, self.maria):
            page.reload()
            sent(page)
        go(self.maria, "")
        self.album.take(self.maria, "cards")
        self.item("control_links")
        expect(self.maria.locator("main")).to_contain_text("Disputed")
        self.album.take(self.maria, "disputed")

    def inspect(self):
        page = self.maria
        take_over(page, INES)
        self.album.take(page, "cards-inspector")
        go(page, self.card)
        self.album.take(page, "card-inspector")
        self.item("control_links")
        self.album.take(page, "settle")
        go(page, f"{self.card}/countersign")
        self.album.take(page, "countersign-first")
        heading = page.locator("h1").inner_text()
        give_code(page, INES)
        expect(page.locator("h1")).not_to_have_text(heading)
        self.send_back(page)
        go(page, f"{self.card}/countersign")
        page.get_by_role("button", name="Leave it for later").click()
        page.wait_for_timeout(300)
        self.album.take(page, "countersign")
        page.locator("blockquote.statement").evaluate("(sentence) => sentence.scrollIntoView({ block: 'center' })")
        self.album.take(page, "countersign-sign")
        go(page, self.card)
        page.locator(".zone").nth(1).evaluate("(zone) => scrollTo(0, zone.offsetTop - 70)")
        self.album.take(page, "card-zone")
        go(page, f"{self.card}/release")
        self.album.take(page, "release-stopped")
        page.get_by_role("button", name="Disapprove instead").click()
        self.album.take(page, "disapprove")
        self.sign_oil(page)

    def send_back(self, page):
        page.get_by_role("button", name="Send it back, and say why").click()
        page.fill("#reason", "The safety wire pulls the nut loose. Wire it anew and show me.")
        self.album.take(page, "send-back")
        page.get_by_role("button", name="Send it back").click()
        give_code(page, INES)
        expect(page.locator(".title-block .word")).to_have_text("Sent back by the inspector")
        self.album.take(page, "sent-back")

    def sign_oil(self, page):
        """A maintenance record, walked by Tom on another phone."""
        go(page, "")
        oil = page.locator("a.card", has_text=self.oil["title"]).get_attribute("href").removeprefix("#/")
        tom, ines = (Colleague(self.shop, login, key) for login, key in ((TOM, "aa" * 32), (INES, "bb" * 32)))
        card = tom.caller.json(f"/api/cards/{oil.removeprefix('card/')}")["card"]
        ines.countersign(card, items_of(self.oil), tom.walk(card, items_of(self.oil)))
        page.evaluate("async () => { await (await import('/device/sync.js')).syncer.now(); }")
        go(page, f"{oil}/release")
        page.locator("#signing-code").wait_for()
        self.album.take(page, "release-maintenance")

    def released(self):
        page = self.maria
        go(page, self.other)
        expect(page.get_by_role("link", name="Fetch the PDF")).to_be_visible(timeout=60000)
        self.album.take(page, "card-released")
        go(page, f"{self.other}/release")
        self.album.take(page, "release-done")
        go(page, "phone")
        self.album.take(page, "phone")
        page.evaluate("() => { localStorage.gloves = 'yes'; dispatchEvent(new Event('theme')); }")
        self.item("scissors")
        self.album.take(page, "item-gloves")
        return self.other.removeprefix("card/")


def take_paper(shop, card, folder):
    """The first page of the sealed card, as a picture."""
    pdf = Caller(shop, ROWAN, FACTS[ROWAN]["password"]).bytes(f"/api/cards/{card}/paper")
    command = ["pdftoppm", "-png", "-r", str(PAPER_DPI), "-f", "1", "-l", "1", "-singlefile", "-"]
    drawn = subprocess.run(command, input=pdf, stdout=subprocess.PIPE, check=True).stdout
    save(Image.open(io.BytesIO(drawn)).convert("RGB"), folder / "paper.png")


def main(arguments):
    folder = Path(arguments[0]) if arguments else README
    folder.mkdir(parents=True, exist_ok=True)
    album = Album(folder, None if arguments else WANTED)
    with tempfile.TemporaryDirectory() as kept, sync_playwright() as playwright:
        shop = Shop(Path(kept) / "data")
        shop.start()
        try:
            take_paper(shop, Tour(shop, playwright, Path(kept), album).whole(), folder)
        finally:
            shop.stop()


if __name__ == "__main__":
    main(sys.argv[1:])
