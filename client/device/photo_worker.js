/*
 * The worker of photo.js: shrinks one photo per message, off the page's thread.
 * In: {id, file}. Out: {id, photo} with the buffer transferred, or {id, problem: {code, fields}}.
 */
import { Problem } from "../rules/problems.js";
import { draw_offscreen, shrink } from "./photo_pixels.js";

self.addEventListener("message", async ({ data: { id, file } }) => {
  try {
    const photo = await shrink(file, draw_offscreen);
    self.postMessage({ id, photo }, [photo.buffer]);
  } catch (error) {
    const { code, fields } = error instanceof Problem ? error : { code: "photo_unreadable", fields: {} };
    self.postMessage({ id, problem: { code, fields } });
    if (!(error instanceof Problem)) throw error;
  }
});
