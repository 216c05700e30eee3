/*
 * Work that may be refused. A refusal carries its own sentence; anything else is a fault and goes on up.
 */

/** Run `work()` with `host.busy` set; a refusal's sentence goes to `host.problem`. Resolves to true when done. */
export async function attempt(host, work) {
  host.busy = true;
  host.problem = "";
  try {
    await work();
    return true;
  } catch (refusal) {
    if (!refusal.sentence) throw refusal;
    host.problem = refusal.sentence;
    return false;
  } finally {
    host.busy = false;
  }
}
