/*
 * What the forms of an item's page share that are one question and one button: a draft that comes and goes by events, a
 * sentence for what is missing, and the signing code in place of the button while `asking` is set.
 */
import { LitElement } from "../vendor/lit.js";

export class DraftForm extends LitElement {
  static properties = {
    draft: { attribute: false },
    busy: { attribute: false },
    refusal: { attribute: false },
    before_camera: { attribute: false },
    person: { attribute: false },
    asking: { attribute: false },
    problem: { state: true },
  };

  createRenderRoot() {
    return this;
  }

  change(part) {
    this.problem = "";
    this.dispatchEvent(new CustomEvent("draft", { detail: { ...this.draft, ...part } }));
  }

  /** Hand over the body of an entry, or say what it lacks. */
  record(body, lacks) {
    if (lacks) this.problem = lacks;
    else this.dispatchEvent(new CustomEvent("record", { detail: body }));
  }
}
