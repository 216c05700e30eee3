import assert from "node:assert/strict";
import { test } from "node:test";
import { fitted, kind_of } from "../../client/device/photo_pixels.js";

const bytes = (text) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

test("a file is what its first bytes say", () => {
  // JPEG SOI marker (ITU-T T.81 B.1.1.3), PNG signature (PNG 3rd ed. 5.2), ISO base media `ftyp` box with a HEIF brand.
  assert.equal(kind_of(bytes("\xff\xd8\xff\xe1....")), "jpeg");
  assert.equal(kind_of(bytes("\x89PNG\r\n\x1a\n")), "png");
  assert.equal(kind_of(bytes("\0\0\0\x18ftypheic")), "heic");
  assert.equal(kind_of(bytes("\0\0\0\x18ftypmif1")), "heic");
  for (const other of ["", "\xff\xd8", "GIF89a........", "\0\0\0\x18ftypmp42", "<svg xmlns=...", "\x89PNX\r\n\x1a\n"]) {
    assert.equal(kind_of(bytes(other)), null, JSON.stringify(other));
  }
});

test("the long edge is 1600 px at most, and nothing is enlarged", () => {
  assert.deepEqual(fitted(4032, 3024), { width: 1600, height: 1200 });
  assert.deepEqual(fitted(3024, 4032), { width: 1200, height: 1600 });
  assert.deepEqual(fitted(800, 600), { width: 800, height: 600 });
  assert.deepEqual(fitted(9000, 2), { width: 1600, height: 1 });
});
