/*
 * A rotor or fan balanced in one plane: a first run, a trial weight, a second run; says how much to put where, and on
 * which of two blades. The last run is the value that is judged.
 *
 * Usage: <balance-field .field=${field} .reading=${reading} .tools=${register}
 *   @reading=${(event) => event.detail}></balance-field>
 */
import { html, nothing } from "../vendor/lit.js";
import { clock_degrees, influence, two_blade } from "../rules/balance.js";
import { clock_picture } from "./clock_picture.js";
import { field_frame } from "./field_frame.js";
import { input_of, value_of } from "./input_of.js";
import { MeasuredField } from "./measured_field.js";
import { asked, problem_line } from "./rule_problem.js";
import { number_problem, settled } from "./typed_number.js";

const RUNS = ["first_ips", "first_clock", "trial_mass", "trial_clock", "second_ips", "second_clock"];

class BalanceField extends MeasuredField {
  /** What is typed for `name` when it is a number, else null. */
  typed(name) {
    const text = this.reading.inputs[name] ?? "";
    return text && !number_problem(text) ? settled(text) : null;
  }

  clock(name) {
    return asked(() => clock_degrees(this.typed(name) ?? "0"));
  }

  /** One line of two numbers: how much, and at which hour. */
  run(title, size, size_title, unit, clock) {
    const wrong = this.typing.left(`${this.field.field}-${clock}`) ? this.clock(clock)[1] : null;
    return html`
      <div class="run" role="group" aria-label=${title}>
        <h3>${title}</h3>
        <div class="sides">
          ${input_of(this, size, size_title, { unit })} ${input_of(this, clock, "At the clock", { unit: "h" })}
        </div>
        ${problem_line(wrong)}
      </div>`;
  }

  /** [what follows from the two runs or null, the Problem or null]; nothing while one of the six is missing. */
  correction() {
    const given = RUNS.map((name) => this.typed(name));
    if (given.includes(null) || !this.typing.left()) return [null, null];
    const [found, problem] = asked(() => influence(...given));
    return [found, problem?.code === "clock_wrong" ? null : problem];
  }

  advice({ correction_mass, correction_clock }) {
    const { mass_unit } = this.field.balance;
    const { blade, mass, left } = two_blade(correction_mass, correction_clock);
    return html`
      <div class="correction-advice" role="status">
        <p>Take the trial weight off. Then add</p>
        <p class="derived"><span>At ${correction_clock} o’clock</span>
          <output>${correction_mass} ${mass_unit}</output></p>
        <p>With places on the two blades only:</p>
        <p class="derived"><span>${blade === "none" ? "On neither blade" : `On blade ${blade}`}</span>
          <output>${mass} ${mass_unit}</output></p>
        <p class="quiet">${left} ${mass_unit} of it points across the blades. No weight on a blade takes that away.</p>
      </div>`;
  }

  picture(found) {
    const { mass_unit } = this.field.balance;
    const part = (name, size, clock, unit, words) => {
      const [long, at] = [this.typed(size), this.typed(clock)];
      return long === null || at === null || long.startsWith("-") || this.clock(clock)[1] ? []
        : [{ name, size: long, clock: at, words: `${words} ${long} ${unit}` }];
    };
    const correction = found ? [{ name: "correction", size: found.correction_mass, clock: found.correction_clock,
      words: `Add ${found.correction_mass} ${mass_unit}` }] : [];
    return clock_picture({
      runs: [...part("first", "first_ips", "first_clock", "ips", "First run"),
        ...part("second", "second_ips", "second_clock", "ips", "Second run")],
      weights: [...part("trial", "trial_mass", "trial_clock", mass_unit, "Trial weight"), ...correction],
    });
  }

  render() {
    const { mass_unit } = this.field.balance;
    const [found, problem] = this.correction();
    return field_frame(this, [
      html`<p class="quiet">Clocks are hours and tenths: 3.5 is half past three. A weight moved on by one hour must
        move the reading on by one hour. A mark under a strobe runs the other way: type 12 minus what you see.</p>`,
      this.run("First run", "first_ips", "Amplitude", "ips", "first_clock"),
      this.run("Trial weight", "trial_mass", "Weight", mass_unit, "trial_clock"),
      this.run("Second run, with it", "second_ips", "Amplitude", "ips", "second_clock"),
      problem_line(problem),
      this.picture(found),
      found ? this.advice(found) : nothing,
      html`<h3>Last run</h3>`,
      value_of(this, 0, "Amplitude that remains", { next: false }),
    ], "Last run:");
  }
}

customElements.define("balance-field", BalanceField);
