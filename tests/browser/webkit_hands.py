"""A mechanic's hands in WebKit, and a look at what the phone then holds."""

import hashlib

from people import CODES, FACTS

KEPT_PHOTOS = """
const asked = indexedDB.open("witnessmark");
const database = await new Promise((resolve) => { asked.onsuccess = () => resolve(asked.result); });
const found = [];
await new Promise((resolve) => {
  database.transaction("photos").objectStore("photos").openCursor().onsuccess = ({ target: { result: at } }) => {
    if (!at) { resolve(); return; }
    found.push([at.key, at.value.constructor.name, Array.from(new Uint8Array(at.value))]);
    at.continue();
  };
});
database.close();
return found;
"""
CHOOSE = """
document.getElementById("wanted")?.removeAttribute("id");
const found = [...document.querySelectorAll(".option")].find((one) => one.innerText.trim() === given[0]);
found.querySelector("input").id = "wanted";
"""


def sign_in(webkit, login):
    """With the password, the first time on this phone: signing is set up with a code."""
    webkit.type("#login", login)
    webkit.type("#password", FACTS[login]["password"])
    webkit.tap("form button.primary")
    webkit.type("#code", CODES[login])
    webkit.type("#again", CODES[login])
    check_width(webkit)
    webkit.tap("enrol-page form button.primary")


def open_item(webkit, card, item):
    webkit.script("location.hash = given[0]", f"#/card/{card}/item/{item}")
    webkit.wait("document.querySelector('item-page')?.item_id === given[0]", item)
    webkit.wait("document.querySelector('verdict-bar') !== null")
    check_width(webkit)


def check_width(webkit):
    assert webkit.script("return document.documentElement.scrollWidth <= innerWidth"), webkit.text("body")


def choose(webkit, option):
    """Tap the option that reads so."""
    webkit.script(CHOOSE, option)
    webkit.tap("#wanted")


def photograph(webkit, path):
    webkit.tap("photo-strip button.camera")
    webkit.wait("!document.querySelector('photo-strip button.camera').disabled")
    webkit.type("photo-strip input[type=file]", str(path))
    webkit.wait("!!document.querySelector('.shots img')?.naturalWidth")


def record(webkit, verdict, code=None):
    """Tap the verdict, give the `code` if it is asked for, and wait until the page says that it is kept and goes on."""
    before = webkit.script("document.getElementById('said').textContent = ''; return location.hash")
    webkit.tap(f"button.verdict.{verdict}")
    if code:
        webkit.type("#signing-code", code)
        webkit.tap("code-field button.sign")
    webkit.wait("/^Saved on this phone: /.test(document.getElementById('said').textContent)")
    webkit.wait("location.hash !== given[0]", before)


def kept_photos(webkit):
    """{name: bytes} of the photos in the phone's database, each checked for its kind and against its name."""
    found = {}
    for name, kind, numbers in webkit.script(KEPT_PHOTOS):
        assert kind == "ArrayBuffer"
        assert hashlib.sha256(bytes(numbers)).hexdigest() == name
        found[name] = bytes(numbers)
    return found
