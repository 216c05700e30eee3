/*
 * From a camera's file to the picture we keep: upright, long edge 1600 px, JPEG, without EXIF or position.
 * Runs in the worker and, where a worker cannot draw, in the page.
 *
 *   kind_of(bytes) -> "jpeg" | "png" | "heic" | null        by the first bytes; the MIME type of a file is a rumour
 *   fitted(width, height) -> {width, height}                 never enlarged
 *   await shrink(file, draw) -> {sha256, bytes, type, width, height, buffer}
 *       draw(bitmap, width, height) -> Promise<Blob> of a JPEG. Throws Problem photo_not_image |
 *       photo_heic | photo_unreadable
 *   await draw_offscreen(bitmap, width, height)
 */
import { Problem } from "../rules/problems.js";
import { sha256_hex } from "./hash.js";

export const LONG_EDGE = 1600;
export const JPEG_QUALITY = 0.8;

const HEIC_BRANDS = new Set(["heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1"]);

export function kind_of(bytes) {
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "jpeg";
  if ([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a].every((byte, at) => bytes[at] === byte)) return "png";
  const text = String.fromCharCode(...bytes.slice(4, 12));
  return text.startsWith("ftyp") && HEIC_BRANDS.has(text.slice(4)) ? "heic" : null;
}

export function fitted(width, height) {
  const scale = Math.min(1, LONG_EDGE / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

export async function shrink(file, draw) {
  const kind = kind_of(new Uint8Array(await file.slice(0, 16).arrayBuffer()));
  if (!kind) throw new Problem("photo_not_image");
  const bitmap = await decode(file, kind);
  const { width, height } = fitted(bitmap.width, bitmap.height);
  try {
    const blob = await draw(bitmap, width, height);
    const buffer = await blob.arrayBuffer();
    // A canvas that lost its memory answers with nothing or with a PNG.
    if (kind_of(new Uint8Array(buffer, 0, Math.min(16, buffer.byteLength))) !== "jpeg") {
      throw new Problem("photo_unreadable");
    }
    return { sha256: await sha256_hex(buffer), bytes: buffer.byteLength, type: "image/jpeg", width, height, buffer };
  } finally {
    bitmap.close();
  }
}

export function draw_offscreen(bitmap, width, height) {
  const canvas = new OffscreenCanvas(width, height);
  paint(canvas, bitmap);
  return canvas.convertToBlob({ type: "image/jpeg", quality: JPEG_QUALITY });
}

/** Paint on white, because a JPEG has no transparency and would show black. */
export function paint(canvas, bitmap) {
  const context = canvas.getContext("2d", { alpha: false });
  context.fillStyle = "white";
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.imageSmoothingQuality = "high";
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
}

async function decode(file, kind) {
  try {
    // Never with crop arguments and never rotated by hand: engines disagree about both.
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    throw new Problem(kind === "heic" ? "photo_heic" : "photo_unreadable");
  }
}
