"""A mechanic's hands: fills one item's form from its template with values that nobody else typed, and passes it."""

from decimal import Decimal

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
        kind = field["kind"]
        if kind == "choice":
            value = (field["acceptable"] or field["options"])[0]
            group = self.page.get_by_role("group", name=field["title"])
            group.get_by_text(value, exact=True).click()
            self.typed.append((item["item"], value))
            return
        values = self.values(field)
        for place, value in enumerate(values):
            self.page.fill(f"#{field['field']}-{place}", value)
            self.typed.append((item["item"], value))
        if kind == "torque" and self.turn % 2:
            self.extension(item, field)
        if field["tool"]:
            serial = "".join(word[0] for word in field["tool"].split()).upper() + "-0417"
            self.page.fill(f"#{field['field']}-tool", serial)
            self.typed.append((item["item"], serial))

    def extension(self, item, field):
        """Extension as long as a quarter of the wrench: the setting is four fifths of what is wanted."""
        wanted = self.middle(field)
        self.page.locator("torque-field", has=self.page.locator(f"#{field['field']}-0")).locator("summary").click()
        for name, value in (("0", str(wanted * 4 / 5)), ("wrench_length", "10.0"), ("extension", "2.5")):
            self.page.fill(f"#{field['field']}-{name}", value)
            self.typed.append((item["item"], value))
        self.typed.remove((item["item"], str(wanted)))

    def values(self, field):
        self.turn += 1
        if field["kind"] == "text":
            return [f"SN {self.turn:03d}-{field['field']}"]
        if field["kind"] == "run_out":
            step = Decimal(field["limits"]["max"]) / 10
            return [str(step * (place % 5)) for place in range(len(field["stations"]))]
        middle = self.middle(field)
        return [str(middle)] if not field["stations"] else [
            str(middle + Decimal("0.0001") * place) for place in range(len(field["stations"]))]

    @staticmethod
    def middle(field):
        least, most = ((field["limits"] or {}).get(end) for end in ("min", "max"))
        if least and most:
            return (Decimal(least) + Decimal(most)) / 2
        return Decimal(least) * 2 if least else Decimal(most) / 2 if most else Decimal("1.5")

    def take_photo(self):
        with self.page.expect_file_chooser() as chooser:
            self.page.get_by_role("button", name="photo").first.click()
        chooser.value.set_files(self.photo(self.photos))
        self.photos += 1
        expect(self.page.locator(".shots li")).to_have_count(1)
