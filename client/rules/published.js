/*
 * Published values, as printed: a starting value for an author, never applied by itself.
 * Twin of server/witnessmark/rules/published.py, which names the sources; held equal by tests/vectors/published.json
 * and, table by table, by tests/test_published.py. Torque in in-lbf, strength in lbf.
 */
import { Problem } from "./problems.js";

const TORQUE_SOURCE = "AC 43.13-1B Table 7-1, page 7-9";
const CONDITION =
  "Only where no specific torque is given (AC 43.13-1B par. 7-40 i); oil-free, cadmium-plated threads; {nut}; " +
  "bolt loaded mainly in shear";
export const NUTS = { tension: "tension-type nut (MS20365, AN310)", shear: "shear-type nut (MS20364, AN320)" };
/* Sizes whose shear range the table marks as an estimated corresponding value. */
export const ESTIMATED = ["1-14", "1-1/8-12", "1-1/4-12"];
/* Recommended from, to, and the most that is allowed. */
export const TORQUE = {
  "8-36": { thread: "fine", tension: ["12", "15", "20"], shear: ["7", "9", "12"] },
  "10-32": { thread: "fine", tension: ["20", "25", "40"], shear: ["12", "15", "25"] },
  "1/4-28": { thread: "fine", tension: ["50", "70", "100"], shear: ["30", "40", "60"] },
  "5/16-24": { thread: "fine", tension: ["100", "140", "225"], shear: ["60", "85", "140"] },
  "3/8-24": { thread: "fine", tension: ["160", "190", "390"], shear: ["95", "110", "240"] },
  "7/16-20": { thread: "fine", tension: ["450", "500", "840"], shear: ["270", "300", "500"] },
  "1/2-20": { thread: "fine", tension: ["480", "690", "1100"], shear: ["290", "410", "660"] },
  "9/16-18": { thread: "fine", tension: ["800", "1000", "1600"], shear: ["480", "600", "960"] },
  "5/8-18": { thread: "fine", tension: ["1100", "1300", "2400"], shear: ["600", "780", "1400"] },
  "3/4-16": { thread: "fine", tension: ["2300", "2500", "5000"], shear: ["1300", "1500", "3000"] },
  "7/8-14": { thread: "fine", tension: ["2500", "3000", "7000"], shear: ["1500", "1800", "4200"] },
  "1-14": { thread: "fine", tension: ["3700", "5500", "10000"], shear: ["2200", "3300", "6000"] },
  "1-1/8-12": { thread: "fine", tension: ["5000", "7000", "15000"], shear: ["3000", "4200", "9000"] },
  "1-1/4-12": { thread: "fine", tension: ["9000", "11000", "25000"], shear: ["5400", "6600", "15000"] },
  "8-32": { thread: "coarse", tension: ["12", "15", "20"], shear: ["7", "9", "12"] },
  "10-24": { thread: "coarse", tension: ["20", "25", "35"], shear: ["12", "15", "21"] },
  "1/4-20": { thread: "coarse", tension: ["40", "50", "75"], shear: ["25", "30", "45"] },
  "5/16-18": { thread: "coarse", tension: ["80", "90", "160"], shear: ["48", "55", "100"] },
  "3/8-16": { thread: "coarse", tension: ["160", "185", "275"], shear: ["95", "100", "170"] },
  "7/16-14": { thread: "coarse", tension: ["235", "255", "475"], shear: ["140", "155", "280"] },
  "1/2-13": { thread: "coarse", tension: ["400", "480", "880"], shear: ["240", "290", "520"] },
  "9/16-12": { thread: "coarse", tension: ["500", "700", "1100"], shear: ["300", "420", "650"] },
  "5/8-11": { thread: "coarse", tension: ["700", "900", "1500"], shear: ["420", "540", "900"] },
  "3/4-10": { thread: "coarse", tension: ["1150", "1600", "2500"], shear: ["700", "950", "1500"] },
  "7/8-9": { thread: "coarse", tension: ["2200", "3000", "4600"], shear: ["1300", "1800", "2700"] },
};
export const PREVAILING = {
  "7/16-20": "8", "1/2-20": "10", "9/16-18": "13", "5/8-18": "18", "3/4-16": "27", "7/8-14": "40",
  "1-14": "55", "1-1/8-12": "73", "1-1/4-12": "94", "7/16-14": "8", "1/2-13": "10", "9/16-12": "14",
  "5/8-11": "20", "3/4-10": "27", "7/8-9": "40", "1-8": "51", "1-1/8-8": "68", "1-1/4-8": "88",
};
/* AC 43.13-1B Table 11-13: sizes, strands in the conductor, nicked, broken. */
export const WIRE = {
  copper: [
    [["24", "22", "20", "18", "16", "14"], "19", "2", "0"],
    [["12", "10"], "37", "4", "0"],
    [["8", "6", "4"], "133", "6", "6"],
    [["2", "1"], "665 to 817", "6", "6"],
    [["0", "00"], "1045 to 1330", "6", "6"],
    [["000"], "1665", "6", "6"],
    [["0000"], "2109", "6", "6"],
  ],
  aluminium: [[["8", "6", "4", "2", "1", "0", "00", "000"], "any", "0", "0"]],
};
export const CABLE = {
  "1/16 7×7": { carbon: "480", corrosion_resistant: "480" },
  "3/32 7×7": { carbon: "920", corrosion_resistant: "920" },
  "3/32 7×19": { carbon: "1000", corrosion_resistant: "920" },
  "1/8 7×19": { carbon: "2000", corrosion_resistant: "1760" },
  "5/32 7×19": { carbon: "2800", corrosion_resistant: "2400" },
  "3/16 7×19": { carbon: "4200", corrosion_resistant: "3700" },
  "7/32 7×19": { carbon: "5600", corrosion_resistant: "5000" },
  "1/4 7×19": { carbon: "7000", corrosion_resistant: "6400" },
};
export const SCALES = {
  corrosion: {
    source: "US Army TM 5-5420-203-14, stages of corrosion",
    grades: [
      { grade: "Stage I", means: "Colour changed or stained, the surface itself is whole" },
      { grade: "Stage II", means: "Surface etched, without any hole to be seen" },
      { grade: "Stage III", means: "Pits that the naked eye can see: as a rule not acceptable" },
      { grade: "Stage IV", means: "Scale, pits or powder that change fit, wear, working or life" },
    ],
  },
  leak: {
    source: "US Army TM 5-5420-203-14, classes of leakage",
    grades: [
      { grade: "Class I", means: "Wet or stained, but no drop forms" },
      { grade: "Class II", means: "Drops form, none of them falls" },
      { grade: "Class III", means: "Drops fall: tell whoever is in charge" },
    ],
  },
};

/**
 * The recommended range and the maximum for a thread `size` ("1/4-28") and a `nut` of NUTS: {thread, min, max, most,
 * estimated, source, condition}, torques as texts in in-lbf. Throws Problem `no_published_value` for what the table
 * does not have.
 */
export function torque_range(size, nut) {
  if (!Object.hasOwn(TORQUE, size) || !Object.hasOwn(NUTS, nut)) {
    throw new Problem("no_published_value", { what: `a torque of the thread ${size}` });
  }
  const row = TORQUE[size];
  const [min, max, most] = row[nut];
  return {
    thread: row.thread, min, max, most, estimated: nut === "shear" && ESTIMATED.includes(size), source: TORQUE_SOURCE,
    condition: CONDITION.replace("{nut}", NUTS[nut]),
  };
}

/**
 * The least torque, in in-lbf, that turns a self-locking nut which may be used again: {min, source}.
 * Throws Problem `prevailing_by_hand` for a size below 7/16, `no_published_value` for one that is in no table.
 */
export function prevailing_torque(size) {
  if (Object.hasOwn(PREVAILING, size)) return { min: PREVAILING[size], source: "AC 43.13-1B Table 7-2, page 7-12" };
  if (Object.hasOwn(TORQUE, size)) throw new Problem("prevailing_by_hand", { what: `the thread ${size}` });
  throw new Problem("no_published_value", { what: `a self-locking nut of the thread ${size}` });
}

/**
 * How many strands of an electrical wire may be damaged: {strands, nicked, broken, source}, texts.
 * `material` "copper" or "aluminium", `awg` the wire size ("22", "00"). Throws Problem `no_published_value`.
 */
export function wire_damage(material, awg) {
  const rows = Object.hasOwn(WIRE, material) ? WIRE[material] : [];
  const row = rows.find(([sizes]) => sizes.includes(awg));
  if (!row) throw new Problem("no_published_value", { what: `${material} wire of size ${awg}` });
  const [, strands, nicked, broken] = row;
  return { strands, nicked, broken, source: "AC 43.13-1B Table 11-13, page 11-62" };
}

/**
 * The least breaking strength in lbf of a control cable: {min, source}. `cable` diameter and construction
 * ("1/8 7×19"), `steel` "carbon" or "corrosion_resistant". Throws Problem `no_published_value`.
 */
export function cable_strength(cable, steel) {
  const row = Object.hasOwn(CABLE, cable) ? CABLE[cable] : {};
  if (!Object.hasOwn(row, steel)) throw new Problem("no_published_value", { what: `the cable ${cable}` });
  return { min: row[steel], source: "AC 43.13-1B Table 7-3" };
}
