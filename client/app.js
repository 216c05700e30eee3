/*
 * Start-up: memory, who is signed in, then the page that the address names. Pages are in screens/.
 */
import { html, render } from "./vendor/lit.js";
import { ask } from "./device/api.js";
import { session } from "./device/session.js";
import { close_camera_slot, pending_photo, store_events } from "./device/store.js";
import { syncer } from "./device/sync.js";
import { updates } from "./device/update.js";
import { page_head, problem_note, say } from "./parts/page_head.js";
import { Problem } from "./rules/problems.js";
import "./parts/log-alarm.js";
import "./parts/unsent-line.js";
import "./screens/card-list.js";
import "./screens/card-page.js";
import "./screens/countersign-page.js";
import "./screens/enrol-page.js";
import "./screens/hand-over.js";
import "./screens/issue-card.js";
import "./screens/item-page.js";
import "./screens/local-code-page.js";
import "./screens/people-page.js";
import "./screens/person-form.js";
import "./screens/phone-page.js";
import "./screens/published-page.js";
import "./screens/refused-page.js";
import "./screens/release-page.js";
import "./screens/sign-in.js";
import "./screens/tools-page.js";
import "./screens/trend-page.js";

const ROUTES = [
  ["Work cards", /^$/, () => html`<card-list></card-list>`],
  ["Issue a work card", /^issue$/, () => html`<issue-card></issue-card>`],
  ["Set up signing", /^enrol(?:\/(.*))?$/, (back) => html`<enrol-page .back=${back ?? ""}></enrol-page>`],
  ["Work card", /^card\/(\w+)$/, (card) => html`<card-page .card_id=${card}></card-page>`],
  ["Item", /^card\/(\w+)\/item\/(\w+)$/, (card, item) => html`<item-page .card_id=${card} .item_id=${item}></item-page>`],
  ["Trend", /^card\/(\w+)\/trend\/(\w+)\/(\w+)$/, (card, item, field) => html`
    <trend-page .card_id=${card} .item_id=${item} .field_id=${field}></trend-page>`],
  ["Countersign", /^card\/(\w+)\/countersign$/, (card) => html`<countersign-page .card_id=${card}></countersign-page>`],
  ["Release", /^card\/(\w+)\/release$/, (card) => html`<release-page .card_id=${card}></release-page>`],
  ["Refused entries", /^refused$/, () => html`<refused-page></refused-page>`],
  ["People", /^people$/, () => html`<people-page></people-page>`],
  ["Person", /^person\/(\w+)$/, (person) => html`<person-form .person_id=${person}></person-form>`],
  ["Tools", /^tools$/, () => html`<tools-page></tools-page>`],
  ["Published values", /^published$/, () => html`<published-page></published-page>`],
  ["Local code", /^local-code$/, () => html`<local-code-page></local-code-page>`],
];
const main = document.getElementById("screen");
let shown_to = "null";

/* [title, page] of the address. What this phone keeps can be seen and exported by anybody who holds it. */
function page(path) {
  if (path === "phone") return ["What this phone keeps", html`<phone-page></phone-page>`];
  if (path === "hand-over") return ["Hand over", html`<hand-over></hand-over>`];
  if (!session.person) return ["Sign in", html`<sign-in></sign-in>`];
  for (const [title, pattern, made] of ROUTES) {
    const found = pattern.exec(path);
    if (found) return [title, made(...found.slice(1))];
  }
  return ["No such page", html`${page_head({ title: "This page does not exist" })}<p>Go back to the work cards.</p>`];
}

function show() {
  // A page is made anew for each address: nothing typed on one item can show on the next.
  render(html``, main);
  const [title, shown] = page(location.hash.replace(/^#?\/?/, ""));
  document.title = `${title} · Witnessmark`;
  render(shown, main);
  scrollTo(0, 0);
  main.focus({ preventScroll: true });
}

/* A refreshed session must not take the page from under somebody's hands. */
function show_if_other() {
  const person = JSON.stringify(session.person);
  if (person === shown_to) return;
  shown_to = person;
  show();
}

async function return_to_camera() {
  const slot = await pending_photo();
  if (!slot) return;
  await close_camera_slot();
  say("The phone closed the app while the camera was open. Nothing typed is lost: take the photo again.", false);
  history.replaceState(null, "", `#/card/${slot.card}/item/${slot.item}`);
}

/* A demo says so on every page, before anybody has signed in too. */
async function say_demo() {
  const known = session.server ?? await ask("GET", "/api/shop").catch((refusal) => {
    if (!refusal.sentence) throw refusal;
    return null;
  });
  document.getElementById("demo-words").hidden = !known?.shop.demo;
}

function offer_reload() {
  render(html`<p>Another window took a new version of this app.</p>
    <button type="button" @click=${() => location.reload()}>Reload this window</button>`, document.getElementById("trouble"));
}

function trouble(problem) {
  render(problem_note(problem?.sentence), document.getElementById("trouble"));
}

store_events.addEventListener("lost", ({ detail }) => trouble(detail.problem));
store_events.addEventListener("blocked", () => trouble(new Problem("storage_blocked")));
store_events.addEventListener("recovered", () => trouble(null));
updates.addEventListener("taken", offer_reload);
session.addEventListener("changed", show_if_other);
session.addEventListener("changed", say_demo);
document.getElementById("skip").addEventListener("click", (event) => { event.preventDefault(); main.focus(); });
try {
  await session.open();
  await return_to_camera();
  shown_to = JSON.stringify(session.person);
  main.replaceChildren();
  show();
  // A page shown earlier would be taken away under lit by the line above.
  addEventListener("hashchange", show);
  render(html`<log-alarm></log-alarm><unsent-line></unsent-line>`, document.getElementById("status"));
  syncer.start();
  await Promise.all([updates.start(), say_demo()]);
} catch (refusal) {
  if (!refusal.sentence) throw refusal;
  trouble(refusal);
}
