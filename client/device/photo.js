/*
 * A photo from the camera to this phone's memory.
 *
 * Usage:
 *   await room_for_photo();                        before the camera opens: throws Problem photo_no_room
 *   await open_camera_slot(card, item, draft);     (store.js) before the camera opens
 *   const photo = await take_photo(input.files[0]);        {sha256, bytes, type, width, height}; kept and compared
 *   const { url, release } = await photo_view(sha256);     for <img>; null when this phone does not hold it
 *   await drop_photo(sha256);                      only while no entry names it
 * Throws Problem photo_not_image | photo_heic | photo_unreadable | photo_no_room | photo_damaged | storage_*.
 */
import { Problem } from "../rules/problems.js";
import { draw_offscreen, JPEG_QUALITY, paint, shrink } from "./photo_pixels.js";
import { drop_photo, keep_photo, photo_bytes } from "./photo_store.js";
import { worker_url } from "./trusted.js";

export { drop_photo };

const ROOM_BYTES = 50000000;
const SHRINK_MS = 20000;

let worker = null;
let lastId = 0;
const waiting = new Map();

export async function room_for_photo() {
  // The worker starts while the camera is open, not while the person waits for the picture.
  if (canDrawInWorker()) worker ??= startWorker();
  const { quota, usage } = (await navigator.storage?.estimate?.()) ?? {};
  if (quota === undefined || usage === undefined) return;
  const free = Math.max(0, quota - usage);
  if (free < ROOM_BYTES) throw new Problem("photo_no_room", { free: Math.floor(free / 1000000) });
}

export async function take_photo(file) {
  await room_for_photo();
  const photo = (canDrawInWorker() && (await shrinkInWorker(file))) || (await shrink(file, drawInPage));
  await keep_photo(photo);
  const { sha256, bytes, type, width, height } = photo;
  return { sha256, bytes, type, width, height };
}

export async function photo_view(sha256) {
  const buffer = await photo_bytes(sha256);
  if (!buffer) return null;
  const url = URL.createObjectURL(new Blob([buffer], { type: "image/jpeg" }));
  return { url, release: () => URL.revokeObjectURL(url) };
}

function canDrawInWorker() {
  return Boolean(globalThis.Worker && globalThis.OffscreenCanvas?.prototype.convertToBlob);
}

/** The photo, or null when the worker could not start, died or hangs: then the page does the work itself. */
function shrinkInWorker(file) {
  worker ??= startWorker();
  lastId += 1;
  const id = lastId;
  return new Promise((resolve, reject) => {
    const timer = setTimeout(giveUpWorker, SHRINK_MS);
    waiting.set(id, { resolve, reject, timer });
    worker.postMessage({ id, file });
  });
}

function startWorker() {
  const started = new Worker(worker_url("/device/photo_worker.js"), { type: "module" });
  started.addEventListener("message", ({ data: { id, photo, problem } }) => {
    const asked = waiting.get(id);
    if (!asked) return;
    waiting.delete(id);
    clearTimeout(asked.timer);
    if (problem) asked.reject(new Problem(problem.code, problem.fields));
    else asked.resolve(photo);
  });
  started.addEventListener("error", giveUpWorker);
  return started;
}

/** The worker is replaced at the next photo; nobody is left waiting. */
function giveUpWorker() {
  worker?.terminate();
  worker = null;
  for (const { resolve, timer } of waiting.values()) {
    clearTimeout(timer);
    resolve(null);
  }
  waiting.clear();
}

function drawInPage(bitmap, width, height) {
  if (globalThis.OffscreenCanvas?.prototype.convertToBlob) return draw_offscreen(bitmap, width, height);
  const canvas = document.createElement("canvas");
  canvas.width = width;
  canvas.height = height;
  paint(canvas, bitmap);
  return new Promise((resolve, reject) => {
    const done = (blob) => (blob ? resolve(blob) : reject(new Problem("photo_unreadable")));
    canvas.toBlob(done, "image/jpeg", JPEG_QUALITY);
  });
}
