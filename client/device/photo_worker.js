/*
 * The worker of photo.js: shrinks one photo per message, off the page's thread.
 * In: {id, file}. Out: {id, photo} with the buffer transferred, or {id, problem: {code, fields}}.
 */
import { Problem } from "../rules/problems.js";
import { draw_offscreen, shrink } from "./photo_pixels.js";

// What fails in a promise would not reach the page: say it as an error, so that the page does the work itself.
self.addEventListener("unhandledrejection", ({ reason }) => {
  setTimeout(() => { throw reason; });
});

self.addEventListener("message", async ({ data: { id, file } }) => {
  try {
    const photo = await shrink(file, draw_offscreen);
    self.postMessage({ id, photo }, [photo.buffer]);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    self.postMessage({ id, problem: { code: error.code, fields: error.fields } });
  }
});
