"""What one keystroke costs on a slow phone: all rules of an item's fields and their drawing, on a CPU slowed six times.

Printed, never asserted. Every number of every field of every shipped card is typed anew; the clock runs from the input
event until the element is drawn.
"""

import statistics
import sys
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from phone import Phone  # noqa: E402
from shop import Shop  # noqa: E402

from witnessmark.config import bundled  # noqa: E402
from witnessmark.demo import FACTS  # noqa: E402
from witnessmark.demo_readings import fitting_reading  # noqa: E402
from witnessmark.records.template_files import read  # noqa: E402

pytestmark = pytest.mark.bench
SLOWER = 6
TYPE = """async ([item, readings]) => {
  const { fields } = await import('/parts/fields.js');
  const { html, render } = await import('/vendor/lit.js');
  const main = document.getElementById('screen');
  const change = (name, reading) => { readings[name] = reading; draw(); };
  const draw = () => render(html`${fields(item, readings, {}, [], change)}`, main);
  render(html``, main);
  draw();
  await new Promise(requestAnimationFrame);
  const took = [];
  for (const input of main.querySelectorAll('input.value')) {
    const typed = input.value;
    const host = [...main.children].find((one) => one.contains(input));
    for (const text of [typed.slice(0, -1), typed]) {
      input.value = text;
      const from = performance.now();
      input.dispatchEvent(new Event('input', { bubbles: true }));
      await host.updateComplete;
      took.push(performance.now() - from);
    }
  }
  return took;
}"""
@pytest.fixture
def page(tmp_path):
    shop = Shop(tmp_path / "data")
    shop.start()
    with sync_playwright() as playwright:
        phone = Phone(playwright, tmp_path / "profile", shop.url)
        opened = phone.start()
        phone.page.context.new_cdp_session(opened).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        yield opened
        phone.close()
    shop.stop()


def test_a_keystroke_in_every_field_of_every_card(page):
    print()
    templates = [read(path) for path in sorted(bundled("checklists").glob("*.yaml"))]
    tools = {tool["kind"] or "": {"serial": tool["serial"], "calibrated_until": None} for tool in FACTS["tools"]}
    for template in templates:
        items = [item for zone in template["zones"] for item in zone["items"] if item["fields"]]
        took = {}
        for item in items:
            readings = {}
            for field in item["fields"]:
                reading = fitting_reading(field, tools)
                readings[field["field"]] = {**reading, "tools": [tool["serial"] for tool in reading["tools"]]}
            took[item["item"]] = page.evaluate(TYPE, [item, readings])
        typed = sorted(one for times in took.values() for one in times)
        if typed:
            worst = max(took, key=lambda name: max(took[name], default=0))
            print(f"  {template['card']:<10} {len(typed):>4} keystrokes, p50 {statistics.median(typed):5.1f} ms, "
                  f"p95 {typed[int(len(typed) * 0.95)]:5.1f} ms, worst {typed[-1]:5.1f} ms ({worst})")
