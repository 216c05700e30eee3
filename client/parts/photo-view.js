/*
 * One photo: from this phone, or the server's copy when this phone does not hold it. Tapped, it fills the screen: two
 * people may disagree about what stands on it.
 *
 * Usage: <photo-view .photo=${{ sha256, caption }}></photo-view>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { photo_path } from "../device/api.js";
import { photo_view } from "../device/photo.js";

class PhotoView extends LitElement {
  static properties = { photo: { attribute: false }, url: { state: true }, absent: { state: true },
    large: { state: true } };

  createRenderRoot() {
    return this;
  }

  async willUpdate(changed) {
    if (!changed.has("photo") || this.photo.sha256 === this.shown) return;
    this.shown = this.photo.sha256;
    this.release?.();
    this.url = undefined;
    const view = await photo_view(this.shown);
    this.release = view?.release;
    this.url = view?.url ?? photo_path(this.shown);
  }

  connectedCallback() {
    super.connectedCallback();
    this.again = () => { this.absent = false; };
    addEventListener("online", this.again);
  }

  disconnectedCallback() {
    super.disconnectedCallback();
    removeEventListener("online", this.again);
    this.release?.();
  }

  async show_large() {
    this.large = true;
    await this.updateComplete;
    this.querySelector("dialog").showModal();
  }

  render() {
    if (this.absent) return html`<p class="quiet">This photo is not on this phone. It shows here when the server is reached.</p>`;
    if (!this.url) return nothing;
    const words = this.photo.caption || "Photo of this item";
    return html`
      <button type="button" class="photo" aria-label="Show large: ${words}" @click=${this.show_large}><img src=${this.url}
        alt=${words} @error=${() => { this.absent = true; }}></button>
      ${this.large ? html`<dialog class="large" aria-label=${words} @close=${() => { this.large = false; }}><img src=${this.url} alt=${words}>
        <button type="button" class="primary" @click=${() => this.querySelector("dialog").close()}>Close</button></dialog>` : nothing}`;
  }
}

customElements.define("photo-view", PhotoView);
