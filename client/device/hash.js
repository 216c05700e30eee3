/*
 * Usage: await sha256_hex(buffer) -> 64 hex digits of an ArrayBuffer or a view. Runs in page, worker and Node.
 */

export async function sha256_hex(buffer) {
  const digest = await crypto.subtle.digest("SHA-256", buffer);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
