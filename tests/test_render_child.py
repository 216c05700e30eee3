"""The rendering child: limited, without network, replaced when it dies; it fetches nothing outside the record."""

import ctypes
import io
import os
import signal
import socket
import subprocess
import sys
import threading

import pytest

from sample_card import jpeg
from witnessmark.pdf import frames
from witnessmark.pdf.renderer import COMMAND, Renderer, RenderFailed

PAGE = "<!DOCTYPE html><html lang=en><head><title>t</title>{}</head><body><p>{}</p></body></html>"
PLAIN = PAGE.format("", "plain")
# A whole book of tables: far more layout than any limit here allows.
ENDLESS = PAGE.format("", "<table><tr><td>a cell with some words</td><td>another</td></tr></table>" * 60000)


@pytest.fixture(scope="module")
def renderer():
    made = Renderer()
    yield made
    made.close()


def render(renderer, html=PLAIN, photos=None):
    return renderer.render(html, photos or {}, "record.json", b"{}")


@pytest.fixture
def listener():
    """A TCP server on the loopback that counts who comes: (port, visits)."""
    server = socket.create_server(("127.0.0.1", 0))
    visits = []

    def accept():
        while True:
            try:
                connection, _ = server.accept()
            except OSError:
                return
            visits.append(1)
            connection.close()
    thread = threading.Thread(target=accept, daemon=True)
    thread.start()
    yield server.getsockname()[1], visits
    server.shutdown(socket.SHUT_RDWR)
    server.close()
    thread.join(5)


# Each asks the renderer for something outside; {0} is a port somebody listens on.
ASKING = {
    "image over http": ("", '<img alt=x src="http://127.0.0.1:{0}/x.png">'),
    "image from a file": ("", '<img alt=x src="file:///etc/passwd">'),
    "image as data": ("", '<img alt=x src="data:image/png;base64,AAAA">'),
    "image source set": ("", '<img alt=x srcset="http://127.0.0.1:{0}/x.png 1x" src="http://127.0.0.1:{0}/y">'),
    "object": ("", '<object data="http://127.0.0.1:{0}/x.svg" type="image/svg+xml"></object>'),
    "embed": ("", '<embed src="file:///etc/passwd" type="image/png">'),
    "style sheet link": ('<link rel=stylesheet href="http://127.0.0.1:{0}/x.css">', ""),
    "style import": ('<style>@import "file:///etc/passwd";</style>', ""),
    "background": ('<style>body {{ background: url(http://127.0.0.1:{0}/x.png) }}</style>', ""),
    "list image": ('<style>p {{ display: list-item; list-style-image: url(file:///etc/hostname) }}</style>', ""),
    "generated content": ('<style>p::before {{ content: url(http://127.0.0.1:{0}/x.png) }}</style>', ""),
    "attachment link": ('<link rel=attachment href="file:///etc/passwd">', ""),
    "attachment anchor": ("", '<a rel=attachment href="file:///etc/passwd">x</a>'),
    "image in a drawing": ("", '<svg><image href="http://127.0.0.1:{0}/x.png"/></svg>'),
    "photo not of this record": ("", '<img alt=x src="photo:' + "0" * 64 + '">'),
    "scheme in capitals": ("", '<img alt=x src="FILE:///etc/passwd">'),
    "color profile": ("<style>@color-profile --x {{ src: url(http://127.0.0.1:{0}/x.icc) }}</style>", ""),
}


@pytest.mark.parametrize("asking", ASKING.values(), ids=ASKING)
def test_whatever_the_html_asks_for_outside_is_refused(renderer, listener, asking):
    port, visits = listener
    head, body = (part.format(port) for part in asking)
    with pytest.raises(RenderFailed, match="not part of the record"):
        render(renderer, PAGE.format(head, body))
    assert visits == []
    assert render(renderer).startswith(b"%PDF-1.7")


# WeasyPrint looks at these without fetching anything; they must not become a way out either.
IGNORED = {
    "font face": ("<style>@font-face {{ font-family: x; src: url(http://127.0.0.1:{0}/x.otf) }}"
                  " p {{ font-family: x }}</style>", "x"),
    "base": ('<base href="http://127.0.0.1:{0}/"><style>p {{ color: red }}</style>', "x"),
    "script": ("<script src=http://127.0.0.1:{0}/x.js></script>", "<script>fetch('/')</script>"),
    "frame": ("", "<iframe src=http://127.0.0.1:{0}/></iframe>"),
    "use in a drawing": ("", '<svg><use href="file:///etc/x.svg#a"/></svg>'),
    "refresh": ("<meta http-equiv=refresh content='0;url=http://127.0.0.1:{0}/'>", "x"),
}


@pytest.mark.parametrize("asking", IGNORED.values(), ids=IGNORED)
def test_what_the_renderer_may_ignore_reaches_nobody(renderer, listener, asking):
    port, visits = listener
    try:
        render(renderer, PAGE.format(*(part.format(port) for part in asking)))
    except RenderFailed as refused:
        assert "not part of the record" in str(refused)
    assert visits == []


def test_a_photo_of_the_record_is_drawn(renderer):
    picture = jpeg(40)
    made = render(renderer, PAGE.format("", '<img alt=x src="photo:abc">'), {"abc": picture})
    assert picture in made


def test_a_killed_child_is_replaced(renderer):
    render(renderer)
    first = renderer.pid
    os.kill(first, signal.SIGKILL)
    with pytest.raises(RenderFailed, match="ended unexpectedly"):
        render(renderer)
    assert render(renderer).startswith(b"%PDF-")
    assert renderer.pid not in (None, first)


def test_a_child_killed_in_the_middle_of_a_paper_is_replaced(renderer):
    render(renderer)
    threading.Timer(0.3, os.kill, (renderer.pid, signal.SIGKILL)).start()
    with pytest.raises(RenderFailed, match="ended unexpectedly"):
        render(renderer, ENDLESS)
    assert render(renderer).startswith(b"%PDF-")


def test_a_paper_that_takes_too_long_is_given_up():
    impatient = Renderer(seconds=8)
    try:
        with pytest.raises(RenderFailed, match="took longer than 8 s"):
            render(impatient, ENDLESS)
        assert impatient.pid is None
        assert render(impatient).startswith(b"%PDF-")
    finally:
        impatient.close()


@pytest.mark.skipif(sys.platform == "win32", reason="no processor limit there")
def test_a_paper_that_burns_processor_time_is_ended_by_the_kernel():
    short = Renderer(processor_seconds=1)
    try:
        with pytest.raises(RenderFailed, match=f"exit -{signal.SIGXCPU.value}"):
            render(short, ENDLESS)
        assert render(short).startswith(b"%PDF-")
    finally:
        short.close()


def test_a_child_makes_only_so_many_papers():
    renderer = Renderer(papers_per_child=2)
    try:
        render(renderer)
        first = renderer.pid
        render(renderer)
        assert renderer.pid is None
        render(renderer)
        assert renderer.pid != first
    finally:
        renderer.close()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_the_child_is_limited_and_sees_nothing_of_our_environment(renderer, monkeypatch):
    monkeypatch.setenv("WITNESSMARK_SECRET", "do not hand on")
    render(renderer)
    with open(f"/proc/{renderer.pid}/limits") as file:
        limits = {line[:25].strip(): line[25:].split()[0] for line in file}
    assert int(limits["Max address space"]) == 1536 * 1024 * 1024
    assert int(limits["Max cpu time"]) <= 60
    assert int(limits["Max open files"]) == 64
    with open(f"/proc/{renderer.pid}/environ") as file:
        assert "SECRET" not in file.read()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="network namespaces are Linux's")
def test_the_child_has_no_network_where_the_kernel_allows_to_cut_it(renderer):
    render(renderer)
    if not renderer.confinement["network_cut"]:
        pytest.skip("this kernel lets no process leave the network")
    assert os.readlink(f"/proc/{renderer.pid}/ns/net") != os.readlink("/proc/self/ns/net")


READ = """
import sys
from witnessmark.pdf.confinement import keep_only_files
held = keep_only_files([sys.argv[1]], [])
print(held)
for path in sys.argv[1] + "/inside", sys.argv[2]:
    try:
        print(open(path).read())
    except PermissionError:
        print("refused")
try:
    open(sys.argv[1] + "/new", "w")
except PermissionError:
    print("refused")
"""


def test_files_that_were_given_up_cannot_be_opened(tmp_path):
    inside, outside = tmp_path / "folder" / "inside", tmp_path / "outside"
    inside.parent.mkdir()
    inside.write_text("mine")
    outside.write_text("theirs")
    done = subprocess.run([sys.executable, "-c", READ, inside.parent, outside], capture_output=True, text=True,
                          check=True)
    held, *said = done.stdout.split()
    if held == "False":
        pytest.skip("this kernel has no Landlock")
    assert said == ["mine", "refused", "refused"]


def test_the_child_gives_up_files_where_the_kernel_allows(renderer):
    render(renderer)
    assert renderer.confinement["files_given_up"] is (sys.platform.startswith("linux") and landlock())


def landlock():
    return ctypes.CDLL(None, use_errno=True).syscall(444, None, 0, 1) >= 1


def test_the_child_ends_when_its_parent_is_gone():
    child = subprocess.Popen(COMMAND, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    head, _ = frames.read_frame(child.stdout)
    assert head["limited"] or sys.platform == "win32"
    child.stdin.close()
    assert child.wait(10) == 0
    child.stdout.close()


def test_frames_carry_any_bytes():
    pipe = io.BytesIO()
    frames.write_frame(pipe, {"a": "ä\u2028"}, [b"", b"\x00\xff" * 1000])
    pipe.seek(0)
    assert frames.read_frame(pipe) == ({"a": "ä\u2028"}, [b"", b"\x00\xff" * 1000])


@pytest.mark.parametrize("sent", [b"", b"\0" * 7, b"\0" * 7 + b"\x05abc", b"\xff" * 8, b"\0" * 7 + b"\x02[]",
                                  b"\0" * 7 + b"\x02{}", b"\0" * 7 + b"\x01\x80"])
def test_what_is_no_frame_is_refused(sent):
    with pytest.raises(frames.BrokenFrame):
        frames.read_frame(io.BytesIO(sent))


def test_many_threads_share_one_child(renderer):
    made = []
    threads = [threading.Thread(target=lambda: made.append(render(renderer))) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(made) == 6 and all(pdf.startswith(b"%PDF-") for pdf in made)


def test_a_child_whose_server_is_gone_ends_without_a_complaint(capfd):
    made = Renderer()
    render(made)
    child = made._child.process
    frames.write_frame(child.stdin, {"photos": [], "attachment_name": "r", "processor_seconds": 30},
                       [PLAIN.encode(), b"{}"])
    child.stdout.close()
    assert (child.wait(60), capfd.readouterr().err) == (0, "")
    made.close()
