/*
 * The base of field elements: what each is given, and which number is being typed. See field_frame.js for the event.
 */
import { LitElement } from "../vendor/lit.js";
import { TypingPlace } from "./typing_place.js";

export class MeasuredField extends LitElement {
  static properties = {
    field: { attribute: false }, reading: { attribute: false }, tools: { attribute: false }, trend: { attribute: false },
  };

  constructor() {
    super();
    this.typing = new TypingPlace(this);
  }

  createRenderRoot() {
    return this;
  }
}
