"""The trend of a followed reading on the phone: the demo's past cards, against the server's rules and scipy."""

from statistics import median

import pytest
from people import FACTS, sign_in
from phone import Phone
from playwright.sync_api import expect
from scipy import stats
from shop import Caller
from test_screens import OPEN_ALL, SMALL_TARGETS, TOO_WIDE, themes

from witnessmark.records.stored import payload_of
from witnessmark.rules.trend_series import trends

READER = "rowan"
CARDS = "async () => (await import('/device/store.js')).cards()"
SERIES = """async ([card, item, field]) =>
  (await (await import("/device/trends.js")).field_trend(card, item, field)).series"""
LOOK = "async (theme) => (await import('/screens/theme.js')).choose_look('theme', theme)"
# Which of the colours "#rrggbb" the plot shows on more than a few pixels.
SHOWN = """(colours) => {
  const canvas = document.querySelector("trend-plot canvas"), seen = new Map();
  const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
  for (let at = 0; at < data.length; at += 4) {
    const name = `#${[0, 1, 2].map((part) => data[at + part].toString(16).padStart(2, "0")).join("")}`;
    if (data[at + 3] === 255) seen.set(name, (seen.get(name) ?? 0) + 1);
  }
  return colours.filter((colour) => seen.get(colour) > 40);
}"""


@pytest.fixture(scope="module")
def phone(chromium, shop, tmp_path_factory):
    phone = Phone(chromium, tmp_path_factory.mktemp("trend") / "profile", shop.url)
    sign_in(phone.start(), READER)
    expect(phone.page.locator("unsent-line")).to_contain_text("Everything is on the server", timeout=60000)
    yield phone
    phone.close()
    assert phone.errors == []


@pytest.fixture(scope="module")
def past(shop, phone):
    """The demo's cards of wear readings, oldest first, as the server has them: {"card", "template", "entries"}."""
    caller, found = Caller(shop, READER, FACTS[READER]["password"]), []
    for held in phone.page.evaluate(CARDS):
        template = caller.json(f"/api/revisions/{held['revision']}")
        if template["card"] == "wear":
            page = caller.json(f"/api/cards/{held['card']}")
            entries = [{"id": entry["id"], "payload": payload_of(entry["text"])} for entry in page["entries"]]
            found.append({"card": page["card"], "template": template, "entries": entries})
    assert len(found) >= 7
    return sorted(found, key=lambda one: one["card"]["number"])


def series_of(past, field):
    return [one for one in trends(past[-1]["card"], past[-1]["template"], past) if one["field"] == field]


def open_trend(page, past, field, card=None):
    [item] = {one["item"] for one in series_of(past, field)}
    address = f"#/card/{(card or past[-1]['card'])['card']}/trend/{item}/{field}"
    page.evaluate("(hash) => { location.hash = hash; }", address)
    expect(page.locator("trend-plot canvas")).to_be_visible()


def test_the_phone_finds_the_series_that_the_server_finds(phone, past):
    wanted = trends(past[-1]["card"], past[-1]["template"], past)
    fields = {(one["item"], one["field"]): None for one in wanted}
    assert len(fields) >= 5 and max(len(one["points"]) for one in wanted) >= 6
    told = [one for field in fields for one in phone.page.evaluate(SERIES, [past[-1]["card"]["card"], *field])]
    assert told == wanted


def test_the_words_are_those_of_scipy(phone, past):
    [series] = series_of(past, "lash")
    xs, ys = ([float(point[name]) for point in series["points"]] for name in ("at", "value"))
    line, limit = stats.theilslopes(ys, xs, 0.9), float(series["limits"]["max"])
    slopes = (line.slope, line.low_slope, line.high_slope)
    about, late, early = ((limit - median(ys)) / slope + median(xs) - xs[-1] for slope in slopes)
    rise, least, most = (f"{100 * slope:.4f}" for slope in slopes)
    open_trend(phone.page, past, "lash")
    words = phone.page.locator(".trend-words")
    expect(words).to_contain_text(f"Gets {rise} in larger per 100 h (between {least} and {most}).")
    expect(words).to_contain_text(f"Reaches the limit of {series['limits']['max']} in after about {about:.0f} h "
                                  f"({early:.0f} to {late:.0f} h), when the airframe has about {xs[-1] + about:.0f} h.")


def test_a_new_part_starts_anew_and_a_young_card_has_too_few_points(phone, past):
    open_trend(phone.page, past, "tail_shaft")
    [series] = series_of(past, "tail_shaft")
    new = [point["card"] for point in series["points"] if point["new_part"]]
    words = phone.page.locator(".trend-words")
    expect(words).to_contain_text(f"Too few points for a trend: {series['projection']['count']} of 5.")
    expect(words).to_contain_text(f"A new part was fitted at {new[-1]}; readings before it do not count.")
    expect(phone.page.locator(".trend-legend")).to_contain_text("of an earlier part")
    open_trend(phone.page, past, "lash", past[2]["card"])
    expect(words).to_have_text("Too few points for a trend: 3 of 5.")
    assert phone.page.locator(".trend-points tbody tr").count() == 3


def test_the_station_that_is_due_first_stands_first(phone, past):
    open_trend(phone.page, past, "edge")
    first = min(series_of(past, "edge"), key=lambda one: float(one["projection"]["hours"] or "inf"))
    chosen = phone.page.locator("trend-page input[name=station]:checked + span")
    expect(chosen).to_have_text(first["station"])
    other = next(one for one in series_of(past, "edge") if one is not first)
    phone.page.get_by_text(other["station"], exact=True).click()
    slope = other["projection"]["slope"].strip("-")
    expect(phone.page.locator(".trend-words")).to_contain_text(f"Gets {slope} in thinner")
    assert phone.page.locator(".trend-points tbody td:last-child").first.text_content() == other["points"][-1]["value"]


@pytest.mark.parametrize("theme", ["day", "night", "sun"])
def test_the_plot_wears_the_theme_and_a_thumb_finds_everything(phone, past, theme):
    open_trend(phone.page, past, "lash")
    phone.page.evaluate(LOOK, theme)
    colours = [themes()[theme][name] for name in ("good", "stripe", "ink", "fault")]
    phone.page.wait_for_function(f"(colours) => ({SHOWN})(colours).length === colours.length", arg=colours)
    phone.page.evaluate(OPEN_ALL)
    assert phone.page.evaluate(SMALL_TARGETS) == [] and not phone.page.evaluate(TOO_WIDE)


def test_a_recorded_reading_leads_to_its_trend_and_back(phone, past):
    page, card = phone.page, past[-2]["card"]["card"]
    page.evaluate("(hash) => { location.hash = hash; }", f"#/card/{card}/item/{series_of(past, 'lash')[0]['item']}")
    page.get_by_role("link", name="Trend").click()
    expect(page.locator("trend-plot canvas")).to_be_visible()
    page.locator("a.back").click()
    expect(page.get_by_role("heading", name="Recorded")).to_be_visible()


def test_the_plot_is_drawn_without_a_network_by_a_phone_that_never_drew_one(phone, past):
    page = phone.page
    page.evaluate("() => { location.hash = '#/'; }")
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    phone.context.set_offline(True)
    page.reload()
    expect(page.locator("card-list .marks").first).to_be_visible()
    assert page.evaluate("() => performance.getEntriesByName(new URL('/vendor/uplot.js', location).href).length") == 0
    open_trend(page, past, "lash")
    phone.context.set_offline(False)


def test_a_reading_that_this_phone_does_not_have_is_said(phone):
    phone.page.evaluate("(hash) => { location.hash = hash; }", f"#/card/{'0' * 32}/trend/bolt/gap")
    expect(phone.page.get_by_role("heading", name="This reading is not on this phone")).to_be_visible()
