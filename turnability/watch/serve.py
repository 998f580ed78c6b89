"""A page on this machine alone that shows the latest report and follows each new one."""

from __future__ import annotations

import json
import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from turnability.errors import OutputUnwritable

HOST = "127.0.0.1"
_TYPES = {".html": "text/html; charset=utf-8", ".svg": "image/svg+xml"}
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; frame-src 'self'"
)


@dataclass(slots=True)
class Shelf:
    """What the server shows: pages with their titles, and how it stands with the last save."""

    name: str
    number: int = 0
    kind: Literal["busy", "fine", "wrong"] = "busy"
    words: str = "analysing"
    pages: list[tuple[str, str, bytes]] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def say(self, kind: Literal["busy", "fine", "wrong"], words: str) -> None:
        """Tell how it stands; the pages stay."""
        with self.lock:
            self.kind, self.words = kind, words

    def put(self, pages: Sequence[tuple[str, Path]]) -> None:
        """Show these pages from now on, by title and file."""
        read = [(title, _TYPES[path.suffix], path.read_bytes()) for title, path in pages]
        with self.lock:
            self.pages = read
            self.number += 1

    def state(self) -> dict[str, Any]:
        """What the open page asks for again and again."""
        with self.lock:
            return {
                "name": self.name,
                "number": self.number,
                "kind": self.kind,
                "words": self.words,
                "titles": [title for title, _, _ in self.pages],
            }


class Server:
    """Serves a shelf on 127.0.0.1 until it is closed. Raises OutputUnwritable for a taken port."""

    def __init__(self, shelf: Shelf, port: int = 0) -> None:
        try:
            self._server = ThreadingHTTPServer((HOST, port), _handler(shelf))
        except OSError as fault:
            what = f"port {port}"
            cause = f"it cannot be listened on ({fault.strerror or fault})"
            raise OutputUnwritable(what, cause, "Give another --port, or none") from fault
        self._server.daemon_threads = True
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.1,), daemon=True)
        self._thread.start()

    @property
    def url(self) -> str:
        """Where the page is."""
        return f"http://{HOST}:{self._server.server_address[1]}/"

    def close(self) -> None:
        """Stop serving."""
        self._server.shutdown()
        self._server.server_close()


def _handler(shelf: Shelf) -> type[BaseHTTPRequestHandler]:
    own = {
        "/": ("frame.html", "text/html; charset=utf-8"),
        "/frame.css": ("frame.css", "text/css; charset=utf-8"),
        "/frame.js": ("frame.js", "text/javascript; charset=utf-8"),
    }

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            """Answer a path that is known; the reports' own pages under /page/."""
            port = self.connection.getsockname()[1]
            # A name that some other site gave this address must not read what is shown here.
            if self.headers.get("Host") not in (f"{HOST}:{port}", f"localhost:{port}"):
                self._answer(403, "text/plain", b"ask for 127.0.0.1")
            elif self.path in own:
                name, kind = own[self.path]
                data = files(__package__).joinpath("frame", name).read_bytes()
                self._answer(200, kind, data, policy=_POLICY)
            elif self.path == "/state":
                self._answer(200, "application/json", json.dumps(shelf.state()).encode())
            else:
                self._page()

        def _page(self) -> None:
            place = self.path.removeprefix("/page/").split("?")[0]
            with shelf.lock:
                pages = list(shelf.pages)
            if self.path.startswith("/page/") and place.isdecimal() and int(place) < len(pages):
                _, kind, data = pages[int(place)]
                self._answer(200, kind, data)
            else:
                self._answer(404, "text/plain", b"there is no such page")

        def _answer(self, code: int, kind: str, data: bytes, policy: str | None = None) -> None:
            self.send_response(code)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(data)))
            self.send_header("Cache-Control", "no-store")
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Cross-Origin-Resource-Policy", "same-origin")
            if policy:
                self.send_header("Content-Security-Policy", policy)
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *_: object) -> None:
            """Say nothing: the terminal is for what was analysed."""

    return Handler
