"""A mechanic's hands: fills one item's form from its template with values that nobody else typed, and passes it."""

from field_hands import HANDS
from people import give_code
from playwright.sync_api import expect


class Walker:
    """`typed` collects (item, text) of everything that was typed or chosen, to look for on the paper; `login` signs."""

    def __init__(self, page, photo, login="maria"):
        self.page, self.photo, self.typed, self.photos, self.turn = page, photo, [], 0, 0
        self.login = login

    def walk(self, items, stop_after=None):
        """Pass items from the open one on, in walk order, until the card's page comes back (or `stop_after` items)."""
        done = 0
        while "/item/" in self.page.url and done != stop_after:
            here = self.page.url
            self.record(items[here.rsplit("/", 1)[1]])
            self.page.wait_for_url(lambda url, here=here: url != here)
            done += 1
        return done

    def record(self, item, verdict="pass"):
        expect(self.page.locator("h1")).to_contain_text(item["title"])
        for field in item["fields"]:
            self.fill(item, field)
        if item["photo"]["rule"] == "required" or (item["photo"]["rule"] == "optional" and self.photos < 6):
            self.take_photo()
        self.sign(self.page.locator(f"button.verdict.{verdict}"))

    def sign(self, button):
        """Tap what records, and give the code where it is asked for."""
        line = self.page.locator("who-signs p")
        expect(line).to_contain_text("signs this")
        asks = "after the code" in line.inner_text()
        button.click()
        if asks:
            give_code(self.page, self.login)

    def fill(self, item, field):
        self.turn += 1
        HANDS[field["kind"]](self, item, field)
        if field["tool"] and field["kind"] != "look_up":
            self.page.fill(f"#{field['field']}-tool", self.serial(field))
            self.typed.append((item["item"], self.serial(field)))

    def type(self, item, field, name, value):
        """Type `value` into the input `name` of a field; values have numbers for names."""
        self.page.fill(f"#{field['field']}-{name}", value)
        self.typed.append((item["item"], value))

    @staticmethod
    def serial(field):
        """A serial number that the shop does not know."""
        return "".join(word[0] for word in field["tool"].split()).upper() + "-0417"

    def take_photo(self):
        with self.page.expect_file_chooser() as chooser:
            self.page.get_by_role("button", name="photo").first.click()
        chooser.value.set_files(self.photo(self.photos))
        self.photos += 1
        expect(self.page.locator(".shots li")).to_have_count(1)
