/*
 * Published values to look up without a network: torque of a nut, prevailing torque, damage of electrical wire,
 * strength of control cable, and two graded scales. Nothing here is ever taken over by itself.
 *
 * Usage: <published-page></published-page>
 */
import { LitElement, html, nothing } from "../vendor/lit.js";
import { page_head } from "../parts/page_head.js";
import { asked } from "../parts/rule_problem.js";
import { Problem } from "../rules/problems.js";
import * as published from "../rules/published.js";
import { ratio } from "../rules/ratio.js";
import { setting_range } from "../rules/torque.js";
import { in_unit } from "../rules/units.js";
import { by_hand_lines, prevailing_lines, scale_lines, torque_lines } from "./published_lines.js";
import { answer, chooser, for_a_card, graded, picker } from "./published_parts.js";

const OTHER = "other threads";
const NUTS = Object.entries(published.NUTS);
const STEEL = { carbon: "Carbon steel", corrosion_resistant: "Corrosion-resistant steel" };
const METAL = { copper: "Copper", aluminium: "Aluminium" };

/* [[title, [[size, words]]]] of all threads in the two tables, fine ones first. */
function threads() {
  const sizes = [...new Set([...Object.keys(published.TORQUE), ...Object.keys(published.PREVAILING)])];
  const is_fine = (size) => published.TORQUE[size]?.thread === "fine";
  const listed = (list) => list.map((size) => [size, size]);
  const coarse = sizes.filter((size) => !is_fine(size));
  return [["Fine thread", listed(sizes.filter(is_fine))], ["Coarse thread", listed(coarse)],
    ["", [[OTHER, "Another size"]]]];
}

/* A range in in-lbf as texts in N·m, rounded inward like a setting. */
function metric(...ends) {
  const [min, max] = ends.map((torque) => (torque === null ? null : in_unit(ratio(torque), "in-lbf", "N·m")));
  return setting_range({ min, max }, null, null, null);
}

/* Wire sizes of the table, thin ones first. */
const WIRE_SIZES = published.WIRE.copper.flatMap(([sizes]) => sizes);

class PublishedPage extends LitElement {
  static properties = { chosen: { state: true } };

  constructor() {
    super();
    this.chosen = { size: "1/4-28", nut: "tension", metal: "copper", awg: "22", cable: "1/8 7×19", steel: "carbon" };
  }

  createRenderRoot() {
    return this;
  }

  choose(name, title, groups) {
    return chooser({ id: name, title, groups, chosen: this.chosen[name], change: this.take(name) });
  }

  take(name) {
    return (value) => { this.chosen = { ...this.chosen, [name]: value }; };
  }

  torque() {
    const { size, nut } = this.chosen;
    const [found, problem] = asked(() => published.torque_range(size, nut));
    const title = "Recommended torque";
    if (problem) return answer({ title, problem });
    const range = metric(found.min, found.max);
    return html`
      ${answer({ title, figure: `${found.min} to ${found.max} in-lbf`, source: found.source, lines: [
        `${range.min} to ${range.max} N·m`, `Never above ${found.most} in-lbf (${metric(null, found.most).max} N·m).`,
        found.estimated && "The table marks this range as estimated."] })}
      <p class="advice">${found.condition}.</p>
      ${for_a_card("torque-lines", torque_lines(size, found))}`;
  }

  prevailing() {
    const { size } = this.chosen;
    const [found, problem] = asked(() => published.prevailing_torque(size));
    const title = "Self-locking nut, used again: prevailing torque";
    if (found) {
      return html`${answer({ title, figure: `at least ${found.min} in-lbf`, source: found.source })}
        ${for_a_card("prevailing-lines", prevailing_lines(size, found))}`;
    }
    return html`${answer({ title, problem })}
      ${problem.code === "prevailing_by_hand" ? for_a_card("prevailing-lines", by_hand_lines()) : nothing}`;
  }

  wire() {
    const { metal, awg } = this.chosen;
    const [found, problem] = asked(() => published.wire_damage(metal, awg));
    const title = "Strands that may be damaged";
    if (problem) return answer({ title, problem });
    const { nicked, broken, strands, source } = found;
    const figure = nicked === "0" ? "none" : `${nicked} nicked, ${broken === "0" ? "none" : broken} broken`;
    return answer({ title, figure, source, lines: [strands !== "any" && `Of ${strands} strands in the conductor.`] });
  }

  cable() {
    const { cable, steel } = this.chosen;
    const [found, problem] = asked(() => published.cable_strength(cable, steel));
    const title = "Least breaking strength";
    return answer(problem ? { title, problem } : { title, figure: `${found.min} lbf`, source: found.source });
  }

  render() {
    const listed = (values) => [["", values.map((value) => [value, value])]];
    const named = (words) => [["", Object.entries(words)]];
    return html`
      ${page_head({ title: "Published values" })}
      <p>For authors, and for looking up. The manufacturer’s current instructions go before all of these.</p>
      <h2>Nut and bolt</h2>
      ${this.choose("size", "Thread", threads())}
      ${picker({ id: "nut", title: "Nut", options: NUTS, chosen: this.chosen.nut, change: this.take("nut") })}
      ${this.chosen.size === OTHER
        ? answer({ title: "Torque", problem: new Problem("no_published_value", { what: OTHER }) })
        : [this.torque(), this.prevailing()]}
      <h2>Electrical wire</h2>
      <div class="two-up">${this.choose("metal", "Conductor", named(METAL))}
        ${this.choose("awg", "Size (AWG)", listed(WIRE_SIZES))}</div>
      ${this.wire()}
      <h2>Control cable</h2>
      <div class="two-up">${this.choose("cable", "Cable (in)", listed(Object.keys(published.CABLE)))}
        ${this.choose("steel", "Steel", named(STEEL))}</div>
      ${this.cable()}
      ${graded("Stages of corrosion", published.SCALES.corrosion)}
      ${for_a_card("corrosion-lines", scale_lines("corrosion", "Worst corrosion"))}
      ${graded("Classes of leaks", published.SCALES.leak)}
      ${for_a_card("leak-lines", scale_lines("leak", "Worst leak"))}`;
  }
}

customElements.define("published-page", PublishedPage);
