/*
 * What the browser promises about its storage, in words. Pure.
 */
const GIGABYTE = 1e9;

/** What the browser promises about the storage, as sentences for a mechanic. */
export function storage_words({ persisted, installed, free }) {
  const promise = persisted ? "This phone keeps its storage: the browser has promised not to clear it by itself."
    : `This browser may clear its storage by itself. ${installed ? "" : "Put the app on the home screen, "
      + "because some phones clear a web page that is not used for 7 days. "}Send your work whenever there is a network.`;
  return free === null ? promise : `${promise} ${(free / GIGABYTE).toFixed(1)} GB are free for it.`;
}
