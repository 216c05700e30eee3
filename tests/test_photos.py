"""Photos arrive in parts, survive anything, are never anything but the bytes that were named, and never run."""

import dataclasses
import hashlib
import struct
import threading
from io import BytesIO

import pytest
from PIL import Image

from cast import TEMPLATE, jpeg, photo
from witnessmark import create_app
from witnessmark.records import photos
from witnessmark.records.repaint import MOST_SCANS, repainted
from witnessmark.rules.problems import Problem


def put(browser, sha256, offset, total, data, **headers):
    return browser.ask("PUT", f"/api/photos/{sha256}?offset={offset}&bytes={total}", data, **headers)


def lacking(browser, *shas):
    return browser.ask("POST", "/api/photos/lacking", {"photos": list(shas)}).json["lack"]


@pytest.fixture
def maria(browser):
    return browser("maria")


def test_a_photo_in_one_part(maria):
    data, sha256 = jpeg()
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 0}]
    assert put(maria, sha256, 0, len(data), data).json == {"received": len(data), "complete": True}
    assert lacking(maria, sha256) == []
    assert maria.ask("GET", f"/api/photos/{sha256}").data == data


@pytest.mark.parametrize("size", [1, 37, 100, 99999])
def test_a_photo_in_parts_of_any_size(maria, size):
    data, sha256 = jpeg(1, 1) if size == 1 else jpeg()
    for offset in range(0, len(data), size):
        part = data[offset:offset + size]
        whole = offset + len(part) == len(data)
        assert put(maria, sha256, offset, len(data), part).json == {"received": offset + len(part), "complete": whole}
    assert maria.ask("GET", f"/api/photos/{sha256}").data == data


def test_a_wrong_offset_is_told_where_it_goes_on(maria):
    data, sha256 = jpeg()
    put(maria, sha256, 0, len(data), data[:50])
    for offset in (0, 49, 51):
        answer = put(maria, sha256, offset, len(data), data[offset:offset + 10])
        assert (answer.status_code, answer.json["problem"]["fields"]) == (409, {"received": 50})
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 50}]


def test_half_a_photo_survives_a_restart_of_the_server(maria, settings):
    data, sha256 = jpeg()
    put(maria, sha256, 0, len(data), data[:50])
    maria.client = create_app(settings).test_client()
    maria.sign_in("maria")
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 50}]
    assert put(maria, sha256, 50, len(data), data[50:]).json["complete"]


def test_a_photo_kept_but_not_yet_recorded_when_the_power_went_is_recorded(maria, app):
    data, sha256 = jpeg()
    app.extensions["witnessmark_photos"].originals.keep(data)
    assert put(maria, sha256, 0, len(data), data[:50]).json == {"received": len(data), "complete": True}
    assert lacking(maria, sha256) == []
    assert maria.ask("GET", f"/api/photos/{sha256}/view").headers["Content-Type"] == "image/jpeg"


def test_a_server_killed_while_a_photo_was_finished_takes_its_last_part_again(maria, app, monkeypatch):
    data, sha256 = jpeg()
    put(maria, sha256, 0, len(data), data[:50])

    class Killed(BaseException):
        pass

    def dies(*_):
        raise Killed

    for at in ("repainted", "_record"):
        with monkeypatch.context() as patch, pytest.raises(Killed):
            patch.setattr(photos, at, dies)
            put(maria, sha256, 50, len(data), data[50:])
        assert lacking(maria, sha256) == [{"sha256": sha256, "received": 50}]
    assert put(maria, sha256, 50, len(data), data[50:]).json["complete"]
    assert maria.ask("GET", f"/api/photos/{sha256}").data == data
    assert list(app.extensions["witnessmark_photos"].partial.iterdir()) == []


def test_a_photo_whose_parts_can_never_become_it_starts_again(maria, app):
    # An older server could be killed with the last part in place; then the phone has no part left to send.
    data, sha256 = jpeg()
    (app.extensions["witnessmark_photos"].partial / sha256).write_bytes(data)
    answer = put(maria, sha256, len(data), len(data), b"")
    assert (answer.status_code, answer.json["problem"]["fields"]) == (409, {"received": 0})
    assert put(maria, sha256, 0, len(data), data).json["complete"]


def both(work):
    """Call `work(0)` and `work(1)` at the same time; returns both results."""
    results = [None, None]

    def one(number):
        results[number] = work(number)
    threads = [threading.Thread(target=one, args=(number,)) for number in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return results


@pytest.fixture
def repaints(monkeypatch):
    """How often a photo was decoded, and a door at which each decoding waits."""
    done, door = [], threading.Event()

    def waits(data, max_pixels):
        assert door.wait(60)
        done.append(1)
        return repainted(data, max_pixels)
    monkeypatch.setattr(photos, "repainted", waits)
    return done, door


def test_two_phones_that_finish_the_same_photo_at_once_are_both_told_that_it_is_here(maria, browser, repaints):
    data, sha256 = jpeg()
    phones, (done, door) = [maria, browser("tom")], repaints
    threading.Timer(0.3, door.set).start()
    answers = both(lambda number: put(phones[number], sha256, 0, len(data), data).json)
    assert answers == [{"received": len(data), "complete": True}] * 2
    assert len(done) == 1


def test_a_view_that_two_people_ask_for_at_once_is_made_once(maria, browser, app, repaints):
    data, sha256 = jpeg()
    phones, (done, door) = [maria, browser("tom")], repaints
    app.extensions["witnessmark_photos"].originals.keep(data)
    put(maria, sha256, 0, len(data), data)
    threading.Timer(0.3, door.set).start()
    shown = both(lambda number: phones[number].ask("GET", f"/api/photos/{sha256}/view").data)
    assert shown[0] == shown[1] and shown[0].startswith(b"\xff\xd8") and len(done) == 1


def test_parts_of_other_photos_arrive_while_one_is_decoded(maria, browser, repaints):
    (data, sha256), (other, other_sha) = jpeg(), jpeg(400, 300)
    assert sha256[:2] != other_sha[:2]
    tom, (done, door) = browser("tom"), repaints
    slow = threading.Thread(target=put, args=(tom, sha256, 0, len(data), data))
    slow.start()
    assert put(maria, other_sha, 0, len(other), other[:50]).json == {"received": 50, "complete": False}
    assert done == [] and lacking(maria, sha256)
    door.set()
    slow.join(60)
    assert lacking(maria, sha256) == []


def test_while_the_disk_is_nearly_full_entries_are_taken_and_photos_wait(maria, app, card):
    shelf, (data, sha256) = app.extensions["witnessmark_photos"], jpeg()
    assert shelf.reserve == 500_000_000 and shelf.free() > 0
    put(maria, sha256, 0, len(data), data[:50])
    app.extensions["witnessmark_photos"] = dataclasses.replace(shelf, free=lambda: 499_999_999)
    answer = put(maria, sha256, 50, len(data), data[50:])
    assert (answer.status_code, answer.json["problem"]["code"]) == (507, "photo_room")
    assert "takes entries but no photos" in answer.json["problem"]["sentence"]
    assert maria.send(maria.passes(card, "boom", photos=[photo(data, sha256)])) == [("kept", None)]
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 50}]
    app.extensions["witnessmark_photos"] = dataclasses.replace(shelf, free=lambda: 500_000_000)
    assert put(maria, sha256, 50, len(data), data[50:]).json["complete"]
    app.extensions["witnessmark_photos"] = dataclasses.replace(shelf, free=lambda: 0)
    # What is here is here: nothing is written for it.
    assert put(maria, sha256, 0, len(data), data).json["complete"]


def test_a_photo_sent_again_is_answered_as_complete(maria):
    data, sha256 = jpeg()
    for _ in range(2):
        assert put(maria, sha256, 0, len(data), data).json == {"received": len(data), "complete": True}


def test_bytes_that_are_not_the_named_photo_are_refused_and_start_again(maria):
    data, sha256 = jpeg()
    wrong = bytes([*data[:-1], data[-1] ^ 1])
    answer = put(maria, sha256, 0, len(wrong), wrong)
    assert (answer.status_code, answer.json["problem"]["code"]) == (422, "photo_hash_wrong")
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 0}]
    assert put(maria, sha256, 0, len(data), data).json["complete"]


def not_a_jpeg(kind):
    out = BytesIO()
    Image.new("RGB", (8, 8)).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("data", [
    not_a_jpeg("PNG"), not_a_jpeg("GIF"), b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\xff\xd8\xff\xe0 no more",
    jpeg()[0][:200], b"%!PS-Adobe-3.0 EPSF-3.0"], ids=["png", "gif", "svg", "stub", "cut", "eps"])
def test_only_a_jpeg_that_can_be_read_is_a_photo(maria, data):
    answer = put(maria, hashlib.sha256(data).hexdigest(), 0, len(data), data)
    assert (answer.status_code, answer.json["problem"]["code"]) == (422, "photo_not_jpeg")


def test_a_picture_made_to_fill_the_memory_is_refused(maria, app):
    shelf = app.extensions["witnessmark_photos"]
    side = int(shelf.max_pixels ** 0.5) + 1
    data, sha256 = jpeg(side, side)
    answers = [put(maria, sha256, at, len(data), data[at:at + photos.MAX_PART])
               for at in range(0, len(data), photos.MAX_PART)]
    assert answers[-1].json["problem"]["code"] == "photo_too_many_pixels"


def said_of(data, max_pixels=40_000_000):
    with pytest.raises(Problem) as refused:
        repainted(data, max_pixels)
    return refused.value.code


def claiming(width, height):
    """A small JPEG whose head (SOF0, ITU-T T.81, B.2.2) claims another size."""
    data = jpeg(16, 16)[0]
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4:]


@pytest.mark.parametrize("size", [(65500, 65500), (12000, 12000), (65500, 612)])
def test_a_few_bytes_that_claim_a_huge_picture_are_refused_before_any_memory_is_taken(size):
    data = claiming(*size)
    assert len(data) < 2000 and said_of(data) == "photo_too_many_pixels"


def noise(**saved):
    out = BytesIO()
    Image.effect_noise((640, 480), 90).convert("RGB").save(out, "JPEG", quality=90, **saved)
    return out.getvalue()


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("kept", [0.02, 0.3, 0.9])
def test_half_a_picture_is_no_photo(progressive, kept):
    data = noise(progressive=progressive)
    assert said_of(data[:int(len(data) * kept)]) == "photo_not_jpeg"


def test_a_picture_of_very_many_passes_is_refused_unread():
    # Empty scans (SOS, ITU-T T.81, B.2.3) between the last one and the end: each costs a pass over all pixels.
    data = noise(progressive=True)
    scan = b"\xff\xda\x00\x08\x01\x01\x00\x01\x3f\x00"
    assert repainted(data, 40_000_000)
    assert said_of(data[:-2] + scan * MOST_SCANS + data[-2:]) == "photo_not_jpeg"


@pytest.mark.parametrize("tail", [
    b"%PDF-1.7 SECRET", b"PK\x03\x04SECRET", b"<html><script>SECRET</script>", b"GIF89aSECRET",
    not_a_jpeg("PNG") + b"SECRET"], ids=["pdf", "zip", "html", "gif", "png"])
def test_a_file_that_is_something_else_besides_gives_its_pixels_only(tail):
    data = noise(comment=tail) + tail
    shown = repainted(data, 40_000_000)
    assert data.count(b"SECRET") == 2 and b"SECRET" not in shown
    assert segments(shown) == {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert shown.endswith(b"\xff\xd9")


def segments(data):
    """Markers before the pixels of a JPEG (ITU-T T.81, table B.1)."""
    found, at = set(), 2
    while 0xDA not in found:
        assert data[at] == 0xFF
        found.add(data[at + 1])
        at += 2 + int.from_bytes(data[at + 2:at + 4])
    return found


def turned(orientation=6):
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010E] = "how the camera was held"
    return noise(exif=exif)


def test_a_photo_taken_with_the_camera_turned_stands_upright():
    assert Image.open(BytesIO(repainted(turned(), 40_000_000))).size == (480, 640)


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_a_broken_note_of_the_camera_spoils_no_picture():
    data = turned()
    start, end = data.index(b"Exif\0\0") + 6, data.index(b"how the camera")
    for at in range(start, end):
        for value in (0, 0xFF, data[at] ^ 1):
            shown = repainted(data[:at] + bytes([value]) + data[at + 1:], 40_000_000)
            assert sorted(Image.open(BytesIO(shown)).size) == [480, 640]


@pytest.mark.parametrize(("offset", "total", "part"), [
    (0, 10, b""), (0, 10, b"x" * 11), (0, 10**6, b"x" * (photos.MAX_PART + 1)), (0, 10**9, b"x"), (-1, 10, b"x"),
    ("a", 10, b"x"), (0, 0, b"x"), (2**63, 2**64, b"x")])
def test_a_part_that_makes_no_sense_is_refused(maria, offset, total, part):
    answer = put(maria, "a" * 64, offset, total, part)
    assert 400 <= answer.status_code < 500
    assert answer.json["problem"]["sentence"]
    assert lacking(maria, "a" * 64) == [{"sha256": "a" * 64, "received": 0}]


@pytest.mark.parametrize("name", ["..%2f..%2fetc", "A" * 64, "a" * 63, "a" * 65, "%00" + "a" * 63])
def test_a_name_that_is_no_hash_is_not_found(maria, name):
    assert put(maria, name, 0, 1, b"x").status_code in (404, 405)
    assert maria.ask("GET", f"/api/photos/{name}").status_code == 404


def test_a_photo_is_never_served_as_something_that_could_run(maria):
    data, sha256 = jpeg()
    put(maria, sha256, 0, len(data), data)
    original, view = (maria.ask("GET", f"/api/photos/{sha256}{end}") for end in ("", "/view"))
    assert original.headers["Content-Type"] == "application/octet-stream"
    assert original.headers["Content-Disposition"].startswith("attachment")
    assert view.headers["Content-Type"] == "image/jpeg"
    for answer in (original, view):
        assert answer.headers["Content-Security-Policy"] == "sandbox; default-src 'none'"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"


def test_nothing_but_pixels_survives_in_what_is_shown(maria):
    out, exif = BytesIO(), Image.Exif()
    exif[0x010E] = "SECRET-EXIF"
    Image.new("RGB", (64, 48), "red").save(out, "JPEG", comment=b"<script>SECRET-COMMENT", exif=exif,
                                          icc_profile=b"SECRET-PROFILE" * 10)
    data = out.getvalue() + b"SECRET-TRAILER"
    assert data.count(b"SECRET") >= 4
    sha256 = hashlib.sha256(data).hexdigest()
    put(maria, sha256, 0, len(data), data)
    shown = maria.ask("GET", f"/api/photos/{sha256}/view").data
    assert b"SECRET" not in shown and Image.open(BytesIO(shown)).size == (64, 48)
    assert maria.ask("GET", f"/api/photos/{sha256}").data == data


def test_what_is_shown_is_at_most_1600_pixels_long(maria):
    data, sha256 = jpeg(2000, 1000)
    put(maria, sha256, 0, len(data), data)
    assert Image.open(BytesIO(maria.ask("GET", f"/api/photos/{sha256}/view").data)).size == (1600, 800)


def test_a_photo_needs_its_own_content_type(maria):
    data, sha256 = jpeg()
    answer = put(maria, sha256, 0, len(data), data, **{"Content-Type": "image/jpeg"})
    assert (answer.status_code, answer.json["problem"]["fields"]["expected"]) == (415, "application/octet-stream")


def test_a_full_disk_is_said_and_half_a_part_does_not_count(maria, monkeypatch):
    data, sha256 = jpeg()
    put(maria, sha256, 0, len(data), data[:50])

    def no_room(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("witnessmark.records.photos.os.fsync", no_room)
    answer = put(maria, sha256, 50, len(data), data[50:100])
    assert (answer.status_code, answer.json["problem"]["code"]) == (507, "disk_full")
    monkeypatch.undo()
    assert lacking(maria, sha256) == [{"sha256": sha256, "received": 50}]


def test_a_card_waits_for_the_photos_its_entries_name(maria, browser, card):
    data, sha256 = jpeg()
    ines = browser("ines")
    sent = [maria.passes(card, name) for name in ("surface", "grip", "bolts")]
    sent.append(maria.passes(card, "boom", photos=[photo(data, sha256)]))
    maria.send(*sent)
    signed = ines.phone.countersign(ines.person, card, "grip", [sent[1]["id"]])
    release = ines.phone.release(ines.person, card, TEMPLATE, [*sent, signed])
    assert ines.send(signed, release) == [("kept", None)] * 2
    page = ines.page(card)
    assert page["state"]["status"] == "released"
    assert "waits for 1 photo" in page["paper"]["sentence"]
    refusal = ines.ask("GET", f"/api/cards/{card['card']}/paper")
    assert (refusal.status_code, refusal.json["problem"]["sentence"]) == (409, page["paper"]["sentence"])
