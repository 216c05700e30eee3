/*
 * Which number of an element is being typed, so that nothing is said about half a number. A Lit controller.
 */
export class TypingPlace {
  constructor(host) {
    this.host = host;
    this.at = "";
    host.addController(this);
  }

  hostConnected() {
    for (const event of ["focusin", "focusout"]) this.host.addEventListener(event, this);
  }

  hostDisconnected() {
    for (const event of ["focusin", "focusout"]) this.host.removeEventListener(event, this);
  }

  handleEvent({ type, target }) {
    this.at = type === "focusin" && target.matches("input.value") ? target.id : "";
    this.host.requestUpdate();
  }

  /** True unless the number with this id, or any when none is named, is being typed. */
  left(...ids) {
    return ids.length ? !ids.includes(this.at) : !this.at;
  }
}
