/*
 * A field element seen through another template field: the frame then speaks of limits that apply now, or leaves out
 * the tool that the element asks for itself. What is typed still goes to the element's own page.
 */

/** `host` for `field_frame` with `over` in place of members of its field. */
export function worded_host(host, over) {
  return {
    field: { ...host.field, ...over }, reading: host.reading, tools: host.tools, trend: host.trend,
    dispatchEvent: (event) => host.dispatchEvent(event),
  };
}
