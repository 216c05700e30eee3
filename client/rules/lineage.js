/*
 * What stands behind an entry: the entries it replaces, and whose work they are.
 * Twin of server/witnessmark/rules/lineage.py, held equal by tests/vectors/lineage.json.
 */
const MENDS = "corrective_action";

/**
 * The ids, sorted, of all known entries reached from `id` by `supersedes`; `entries` is {id: payload}.
 * `through`: kinds of entries to walk on from; null walks through all.
 */
export function behind(id, entries, through = null) {
  const found = new Set();
  const stack = [id];
  while (stack.length) {
    const entry = entries[stack.pop()];
    if (through !== null && !through.includes(entry.kind)) continue;
    for (const old of entry.supersedes) {
      if (Object.hasOwn(entries, old) && old !== id && !found.has(old)) {
        found.add(old);
        stack.push(old);
      }
    }
  }
  return [...found].sort();
}

/** The persons, sorted, whose work the entries `ids` are: their authors, and who corrected what stands behind them. */
export function workers(ids, entries) {
  const known = ids.filter((id) => Object.hasOwn(entries, id));
  const mended = known.flatMap((id) => behind(id, entries).filter((old) => entries[old].kind === MENDS));
  return [...new Set([...known, ...mended].map((id) => entries[id].author.person))].sort();
}
