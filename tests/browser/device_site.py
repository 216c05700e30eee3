"""A small site that serves the phone's files with the real content security policy, and can misbehave on purpose."""

import hashlib
import json
import mimetypes
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CLIENT = ROOT / "client"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types lit-html sw"
)
TYPES = {".js": "text/javascript", ".webmanifest": "application/manifest+json", ".woff2": "font/woff2"}
PROBE = b"<!doctype html><html lang=en><meta charset=utf-8><title>probe</title><h1>probe</h1></html>"


class DeviceSite:
    """Serves `files` (path -> bytes, the client folder by default) on a free port of the loopback.

    Under /repo/ it serves the repository's own layout, for test modules that import the client by relative path.
    `tampered` maps a path to the bytes sent instead of the promised ones; `hanging` accepts and never answers.
    `asked` lists every path asked for.
    """

    def __init__(self, files=None):
        self.files = files or client_files()
        self.tampered = {}
        self.hanging = threading.Event()
        self.released = threading.Event()
        self.asked = []
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), handler_of(self))
        self.server.daemon_threads = True
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()
        self.address = f"http://localhost:{self.server.server_port}"

    @property
    def version(self):
        named = "".join(f"{path} {digest(body)}\n" for path, body in sorted(self.files.items()))
        return digest(named.encode())[:16]

    def shell_manifest(self):
        files = [{"url": path, "sha256": digest(body), "bytes": len(body)} for path, body in self.files.items()
                 if path != "/service_worker.js"]
        return json.dumps({"version": self.version, "files": files}).encode()

    def answer(self, path):
        """(status, type, body) of a GET."""
        if path == "/probe":
            return 200, "text/html; charset=utf-8", PROBE
        if path == "/shell-manifest.json":
            return 200, "application/json", self.shell_manifest()
        if path == "/service_worker.js":
            return 200, TYPES[".js"], f'const VERSION = "{self.version}";\n'.encode() + self.files[path]
        if path.startswith("/repo/"):
            return 200, TYPES[".js"], (ROOT / path.removeprefix("/repo/")).read_bytes()
        path = "/index.html" if path == "/" else path
        body = self.tampered.get(path, self.files.get(path))
        if body is None:
            return 404, "application/json", b'{"problem":{"code":"not_found","sentence":"Not here.","fields":{}}}'
        suffix = Path(path).suffix
        return 200, TYPES.get(suffix) or mimetypes.guess_type(path)[0] or "application/octet-stream", body

    def close(self):
        self.released.set()
        self.server.shutdown()
        self.server.server_close()


def client_files():
    """Every file of the client folder, by its path on the site."""
    return {"/" + file.relative_to(CLIENT).as_posix(): file.read_bytes() for file in CLIENT.rglob("*")
            if file.is_file() and file.suffix not in {".md", ".txt"}}


def digest(body):
    return hashlib.sha256(body).hexdigest()


def handler_of(site):
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self):
            path = self.path.split("?")[0]
            site.asked.append(path)
            if site.hanging.is_set():
                while site.hanging.is_set() and not site.released.wait(0.1):
                    pass
                self.close_connection = True
                return
            status, kind, body = site.answer(path)
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Content-Security-Policy", POLICY)
            self.send_header("Cache-Control", "no-cache")
            self.end_headers()
            self.wfile.write(body)

        do_POST = do_GET

        def log_message(self, *_):
            pass

    return Handler
