/*
 * The photos of an item while it is worked on: take, caption, take away.
 * The draft is on the disk before the camera opens, because a phone may close the page while its camera is open.
 *
 * Usage:
 *   <photo-strip .photos=${[...]} .of=${"the worn edge"} .before_camera=${async () => {}}
 *     @photos=${(event) => event.detail}></photo-strip>
 */
import { LitElement, html, live, nothing, repeat } from "../vendor/lit.js";
import { drop_photo, room_for_photo, take_photo } from "../device/photo.js";
import { close_camera_slot } from "../device/store.js";
import { attempt } from "./attempt.js";
import { problem_note } from "./page_head.js";
import "./photo-view.js";

class PhotoStrip extends LitElement {
  static properties = {
    photos: { attribute: false },
    of: { attribute: false },
    before_camera: { attribute: false },
    round: { state: true },
    busy: { state: true },
    problem: { state: true },
  };

  constructor() {
    super();
    this.round = 0;
  }

  createRenderRoot() {
    return this;
  }

  tell(photos) {
    this.dispatchEvent(new CustomEvent("photos", { detail: photos }));
  }

  async open_camera() {
    await attempt(this, async () => {
      await room_for_photo();
      await this.before_camera();
      // After a cancelled shot some phones leave the old input dead.
      this.round += 1;
      await this.updateComplete;
      this.querySelector("input[type=file]").click();
    });
  }

  async taken(event) {
    const [file] = event.target.files;
    if (!file) return;
    await attempt(this, async () => {
      const { sha256, bytes, type } = await take_photo(file);
      this.tell([...this.photos.filter((photo) => photo.sha256 !== sha256), { sha256, bytes, type, caption: "" }]);
      await close_camera_slot();
    });
  }

  async remove(photo) {
    this.tell(this.photos.filter(({ sha256 }) => sha256 !== photo.sha256));
    await attempt(this, () => drop_photo(photo.sha256));
  }

  caption(photo, caption) {
    this.tell(this.photos.map((other) => (other.sha256 === photo.sha256 ? { ...photo, caption } : other)));
  }

  shot(photo, index) {
    const id = `caption-${photo.sha256.slice(0, 12)}`;
    return html`
      <li><photo-view .photo=${photo}></photo-view>
        <div><label for=${id}>Caption of photo ${index + 1}</label>
          <input id=${id} maxlength="200" .value=${live(photo.caption)}
            @input=${(event) => this.caption(photo, event.target.value)}>
          <button type="button" @click=${() => this.remove(photo)}>Remove photo ${index + 1}</button></div>
      </li>`;
  }

  render() {
    return html`
      ${this.of ? html`<p>Show: ${this.of}</p>` : nothing}
      ${this.photos.length ? html`<ul class="shots">${repeat(this.photos, ({ sha256 }) => sha256,
        (photo, index) => this.shot(photo, index))}</ul>` : nothing}
      <button type="button" class="camera" ?disabled=${this.busy} @click=${this.open_camera}>
        ${this.busy ? "Keeping the photo …" : this.photos.length ? "Another photo" : "Take a photo"}</button>
      ${repeat([this.round], (round) => round, () => html`
        <input type="file" hidden accept="image/jpeg" capture="environment" aria-label="Photo from the camera"
          @change=${this.taken} @cancel=${close_camera_slot}>`)}
      ${problem_note(this.problem)}`;
  }
}

customElements.define("photo-strip", PhotoStrip);
