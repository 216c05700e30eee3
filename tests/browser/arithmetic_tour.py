"""Pictures of the items that compute, filled in on the newest card of each, and of what past cards say."""

from playwright.sync_api import expect
from walker import Walker

STOPS = (
    ("engine", "magnetos", ".sides"), ("engine", "electrics", ".stations"), ("engine", "compression", ".cylinders"),
    ("engine", "wires", ".limits-by"), ("engine", "oil_leaks", ".grades"), ("rigging", "cable_tension", ".limits-by"),
    ("rigging", "tail_balance", ".run"), ("wear", "oil_used", ".sides"), ("wear", "edge_wear", ".stations"),
)  # fmt: skip
TRENDS = (("trend", "edge_wear", "edge"), ("trend-new-part", "tail_bearing", "tail_shaft"),
          ("trend-rate", "oil_used", "oil_rate"))
ABOVE = 130


def items_by_name(template):
    return {item["item"]: item for zone in template["zones"] for item in zone["items"]}


def show(page, album, selector, name):
    """The part of the page that begins at the first `selector`, below what stands fixed at the top."""
    page.locator(selector).first.evaluate(
        "(part, above) => scrollTo(0, part.getBoundingClientRect().top + scrollY - above)", ABOVE)
    album.take(page, name)


def take_arithmetic(page, album, templates, go):
    """`templates` is {card: template}, `go(page, path)` opens a path of the app."""
    walker = Walker(page, None)
    for card, name, selector in STOPS:
        go(page, f"{_newest(page, templates[card], go)}/item/{name}")
        album.take(page, f"item-{name}-empty")
        item = items_by_name(templates[card])[name]
        for field in item["fields"]:
            walker.fill(item, field)
        show(page, album, f"main {selector}", f"item-{name}")
    for picture, item, field in TRENDS:
        go(page, f"{_newest(page, templates['wear'], go)}/trend/{item}/{field}")
        expect(page.locator("trend-plot")).to_be_visible()
        album.take(page, picture)
    go(page, "tools")
    album.take(page, "tools")


def _newest(page, template, go):
    go(page, "")
    found = page.locator("a.card", has_text=template["title"]).filter(has_text="N0417W").first
    return found.get_attribute("href").removeprefix("#/")
