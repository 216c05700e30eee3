/*
 * One recorded photo: from this phone, or the server's small copy when this phone does not hold it.
 *
 * Usage: <photo-view .photo=${{ sha256, caption }}></photo-view>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { photo_path } from "../device/api.js";
import { photo_view } from "../device/photo.js";

class PhotoView extends LitElement {
  static properties = { photo: { attribute: false }, url: { state: true }, absent: { state: true } };

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

  render() {
    if (this.absent) return html`<p class="quiet">This photo is not on this phone. It shows here when the server is reached.</p>`;
    return this.url ? html`<img src=${this.url} alt=${this.photo.caption || "Photo of this item"}
      @error=${() => { this.absent = true; }}>` : nothing;
  }
}

customElements.define("photo-view", PhotoView);
