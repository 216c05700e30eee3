"""What a signature costs on a phone: printed, never asserted. `python3 server test --bench` runs it.

Times are of this machine in this run; "6 x slower" is Chromium's own throttling of the page's processor (CDP
Emulation.setCPUThrottlingRate), which stands for a cheap phone. WebCrypto and IndexedDB run on other threads, which it
does not slow.
"""

import statistics
import sys
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
from device_site import DeviceSite  # noqa: E402
from phone import Phone  # noqa: E402
from test_keys import ANN, CODE, ENROL, LOAD  # noqa: E402

pytestmark = pytest.mark.bench
SIGNATURES = 200
TIMES = """async (count) => {
  const took = [];
  for (let turn = 0; turn < count; turn += 1) {
    const from = performance.now();
    await keep();
    took.push(performance.now() - from);
  }
  return took;
}"""
UNLOCK = """async (code) => {
  const from = performance.now();
  await keys.unlock("d".repeat(32), { code });
  return performance.now() - from;
}"""


@pytest.mark.parametrize("slower", [1, 6])
def test_sign_and_store(slower, tmp_path, capsys):
    site = DeviceSite()
    with sync_playwright() as playwright:
        phone = Phone(playwright, tmp_path / "profile", site.address)
        page = phone.start("/probe")
        page.evaluate(LOAD)
        phone.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
        assert page.evaluate(ENROL, [ANN, "Ann", {"guard": "code", "code": CODE}]) == "enrolled"
        (iterations,) = page.evaluate("async () => (await keys.enrolled()).map(({ iterations }) => iterations)")
        opened = [page.evaluate(UNLOCK, CODE) for _ in range(7)]
        took = page.evaluate(TIMES, SIGNATURES)
        phone.close()
    site.close()
    assert len(took) == SIGNATURES
    percent = statistics.quantiles(took, n=20)
    with capsys.disabled():
        print(f"\nsign and store one entry, processor {slower} x slower: p50 {statistics.median(took):.0f} ms, "
              f"p95 {percent[-1]:.0f} ms of {SIGNATURES}; unlocking {statistics.median(opened):.0f} ms "
              f"(median of {len(opened)}) with {iterations:,} PBKDF2 iterations")
