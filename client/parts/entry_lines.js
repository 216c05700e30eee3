/*
 * A recorded entry as it is read: who, when, what result, which readings, what was found. Templates, no elements.
 */
import { html, nothing } from "../vendor/lit.js";
import { reading_words } from "./reading_words.js";
import { kind_words, result_words, time_words } from "./status_words.js";
import "./photo-view.js";

/** "Pat Example, A&P 1234567" */
export function author_words({ name, certificate }) {
  return [name, certificate_words({ certificate })].filter(Boolean).join(", ");
}

const certificate_words = ({ certificate }) => [certificate.kind, certificate.number].filter(Boolean).join(" ");

/** One entry of `item` (of the template), whole. */
export function entry_lines(item, payload) {
  const { kind, body } = payload;
  return html`
    <article class="entry ${body.result ?? kind}">
      <p class="verdict-words">${body.result ? result_words(body.result) : kind_words(kind)}
        ${kind === "settlement" ? html`<span class="quiet">settles the dispute</span>` : nothing}</p>
      <p class="by">${payload.author.name}</p>
      ${body.action ? html`<p class="told">${body.action}</p>` : nothing}
      ${body.reason ? html`<p class="told">Why: ${body.reason}</p>` : nothing}
      ${body.discrepancy ? html`<p class="told">Found: ${body.discrepancy.what}</p>
        <p class="told">Where: ${body.discrepancy.where}</p>` : nothing}
      ${readings(item, body.readings, payload)}
      ${body.note ? html`<p class="told">Note: ${body.note}</p>` : nothing}
      <p class="who">${certificate_words(payload.author)}<br>${time_words(payload.claimed_at)}</p>
      ${body.photos?.map((photo) => html`<figure><photo-view .photo=${photo}></photo-view>
        ${photo.caption ? html`<figcaption>${photo.caption}</figcaption>` : nothing}</figure>`)}
    </article>`;
}

function readings(item, recorded = {}, { card, claimed_at }) {
  const taken = item.fields.filter(({ field }) => Object.hasOwn(recorded, field));
  if (!taken.length) return nothing;
  const trend = `#/card/${card}/trend/${item.item}`;
  return html`<dl>${taken.map((field) => reading(field, recorded[field.field], claimed_at.slice(0, 10), trend))}</dl>`;
}

function reading(field, recorded, day, trend) {
  const { values, rest } = reading_words(field, recorded, day);
  return html`
    <dt>${field.title}${field.stations.length && recorded.unit ? `, ${recorded.unit}` : ""}</dt>
    <dd class="values">${values.map(({ station, text }) => html`
      <span>${station ? html`<span class="station-of">${station}</span> ` : nothing}${text}</span>`)}</dd>
    ${rest.map(([name, value]) => html`<dd>${name} <span class="whole">${value}</span></dd>`)}
    ${field.trend ? html`<dd><a class="button" href="${trend}/${field.field}">Trend</a></dd>` : nothing}`;
}
