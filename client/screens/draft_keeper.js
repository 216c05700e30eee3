/*
 * What is typed on a page is on the disk within half a second, and at once when the page is hidden.
 * While it holds a draft, no update of the app may take the page away.
 *
 *   this.keeper = new DraftKeeper(this);          in the constructor of a LitElement
 *   this.keeper.change(card, item, draft)         after each keystroke
 *   await this.keeper.before_camera()             the draft is kept, and the item remembered
 *   this.keeper.forget()                          once the entry is kept, which drops the draft
 */
import { session } from "../device/session.js";
import { open_camera_slot, save_draft } from "../device/store.js";
import { updates } from "../device/update.js";

const WAIT = 400;

export class DraftKeeper {
  constructor(host) {
    this.hidden = () => this.flush();
    host.addController(this);
  }

  hostConnected() {
    document.addEventListener("visibilitychange", this.hidden);
    addEventListener("pagehide", this.hidden);
  }

  hostDisconnected() {
    document.removeEventListener("visibilitychange", this.hidden);
    removeEventListener("pagehide", this.hidden);
    this.flush();
    this.free?.();
  }

  change(...draft) {
    // The page closes after the phone has changed hands: what is flushed then is still the one's who typed it.
    this.draft = [...draft, session.person?.person];
    this.free ??= updates.hold("an item is being worked on");
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), WAIT);
  }

  async flush() {
    clearTimeout(this.timer);
    const { draft } = this;
    this.draft = undefined;
    if (draft) await save_draft(...draft);
  }

  async before_camera(...draft) {
    clearTimeout(this.timer);
    this.draft = undefined;
    await open_camera_slot(...draft);
  }

  forget() {
    clearTimeout(this.timer);
    this.draft = undefined;
    this.free?.();
    this.free = undefined;
  }
}
