/*
 * Start-up: theme, memory, who is signed in, then the page that the address names. Pages are in screens/.
 */
import { html, render } from "./vendor/lit.js";
import { session } from "./device/session.js";
import { close_camera_slot, pending_photo, store_events } from "./device/store.js";
import { syncer } from "./device/sync.js";
import { updates } from "./device/update.js";
import { page_head, problem_note, say } from "./parts/page_head.js";
import { apply_theme, chosen_theme } from "./screens/theme.js";
import "./parts/unsent-line.js";
import "./screens/card-list.js";
import "./screens/card-page.js";
import "./screens/countersign-page.js";
import "./screens/issue-card.js";
import "./screens/item-page.js";
import "./screens/phone-page.js";
import "./screens/release-page.js";
import "./screens/sign-in.js";

const ROUTES = [
  [/^$/, () => html`<card-list></card-list>`],
  [/^issue$/, () => html`<issue-card></issue-card>`],
  [/^hand-over$/, () => html`<sign-in hand_over></sign-in>`],
  [/^card\/(\w+)$/, (card) => html`<card-page .card_id=${card}></card-page>`],
  [/^card\/(\w+)\/item\/(\w+)$/, (card, item) => html`<item-page .card_id=${card} .item_id=${item}></item-page>`],
  [/^card\/(\w+)\/countersign$/, (card) => html`<countersign-page .card_id=${card}></countersign-page>`],
  [/^card\/(\w+)\/release$/, (card) => html`<release-page .card_id=${card}></release-page>`],
];
const main = document.getElementById("screen");

function page(path) {
  if (path === "phone") return html`<phone-page></phone-page>`;
  if (!session.person) return html`<sign-in></sign-in>`;
  for (const [pattern, made] of ROUTES) {
    const found = pattern.exec(path);
    if (found) return made(...found.slice(1));
  }
  return html`${page_head({ title: "This page does not exist" })}<p>Go back to the work cards.</p>`;
}

function show() {
  // A page is made anew for each address: nothing typed on one item can show on the next.
  render(html``, main);
  render(page(location.hash.replace(/^#?\/?/, "")), main);
  scrollTo(0, 0);
  main.focus({ preventScroll: true });
}

async function return_to_camera() {
  const slot = await pending_photo();
  if (!slot) return;
  await close_camera_slot();
  say("The phone closed the app while the camera was open. Nothing typed is lost: take the photo again.");
  location.hash = `#/card/${slot.card}/item/${slot.item}`;
}

function trouble(problem) {
  render(problem_note(problem?.sentence), document.getElementById("trouble"));
}

apply_theme(chosen_theme());
store_events.addEventListener("lost", ({ detail }) => trouble(detail.problem));
store_events.addEventListener("blocked", ({ detail }) => trouble(detail?.problem));
store_events.addEventListener("recovered", () => trouble(null));
session.addEventListener("changed", show);
addEventListener("hashchange", show);
document.getElementById("skip").addEventListener("click", (event) => { event.preventDefault(); main.focus(); });
try {
  await session.open();
  await return_to_camera();
  main.replaceChildren();
  show();
  render(html`<unsent-line></unsent-line>`, document.getElementById("status"));
  syncer.start();
  await updates.start();
} catch (refusal) {
  if (!refusal.sentence) throw refusal;
  trouble(refusal);
}
