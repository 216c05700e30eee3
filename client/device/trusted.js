/*
 * The Trusted Types policy `sw`, the only one besides Lit's: it lets exactly two scripts of ours start as workers.
 *
 * Usage: new Worker(worker_url("/device/photo_worker.js"), { type: "module" })
 *        navigator.serviceWorker.register(worker_url("/service_worker.js"))
 * Throws TypeError for any other path.
 */
const ALLOWED = ["/service_worker.js", "/device/photo_worker.js"];

const policy = globalThis.trustedTypes?.createPolicy("sw", { createScriptURL: allowedOnly });

export function worker_url(path) {
  return policy ? policy.createScriptURL(path) : allowedOnly(path);
}

function allowedOnly(path) {
  if (!ALLOWED.includes(path)) throw new TypeError(`no worker may be started from ${path}`);
  return path;
}
