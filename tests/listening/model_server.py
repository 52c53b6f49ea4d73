"""A server on this machine that offers a model's archive, as its makers' server does, or as a worse one would."""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import re
import threading
import zipfile
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from companion.listening.models import Source

FILES = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst")
NAME = "small-model"


def archive(*names: str, filled: bytes = b"x" * 1_000) -> bytes:
    """A zip, not compressed, with these files."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as pack:
        for name in names:
            pack.writestr(name, filled)
    return packed.getvalue()


WHOLE = archive(*(f"small/{name}" for name in FILES))


@dataclass
class ModelServer:
    """What is offered, what the server can do, and what it has been asked. Change it between two requests."""

    body: bytes = WHOLE
    status: int = 200
    etag: str | None = '"first"'
    modified: str | None = None
    knows_ranges: bool = True
    cut_after: int | None = None
    """Bytes of an answer's body after which the connection is closed."""
    promises_length: bool = True
    listed: object = None
    """The makers' list; None for none."""
    moved_range: int = 0
    """How far beside the asked range the answer lies."""
    asked: list[tuple[str, str | None, str | None]] = field(default_factory=list)
    """Path, Range and If-Range of every request."""
    sent: list[int] = field(default_factory=list)
    """Bytes of body sent for every request for the archive."""

    def list_it(self, md5: str | None = None, size: int | None = None) -> None:
        """Publish the archive's sum and size, or others."""
        self.listed = [
            {"name": "another-model", "md5": "0" * 32, "size": 1},
            {
                "name": NAME,
                "md5": md5 or hashlib.md5(self.body).hexdigest(),
                "size": len(self.body) if size is None else size,
                "obsolete": "false",
            },
        ]

    def start(self) -> None:
        """Begin to answer."""
        offer = self

        class Answer(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                offer.asked.append((self.path, self.headers.get("Range"), self.headers.get("If-Range")))
                if self.path == "/list.json":
                    self._answer_list()
                else:
                    self._answer_archive()

            def _answer_list(self) -> None:
                body = offer.listed if isinstance(offer.listed, bytes) else json.dumps(offer.listed).encode()
                self.send_response(404 if offer.listed is None else 200)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def _answer_archive(self) -> None:
                body, status = offer.body, offer.status
                wanted = re.fullmatch(r"bytes=(\d+)-", self.headers.get("Range") or "")
                marks = (offer.etag, offer.modified)
                spans = ""
                if wanted and offer.knows_ranges and status == 200 and self.headers.get("If-Range") in marks:
                    begin = int(wanted[1]) + offer.moved_range
                    status = 206 if begin < len(body) else 416
                    spans = f"bytes {begin}-{len(body) - 1}/{len(body)}" if status == 206 else f"bytes */{len(body)}"
                    body = body[begin:]
                self.send_response(status)
                for name, value in (("ETag", offer.etag), ("Last-Modified", offer.modified), ("Content-Range", spans)):
                    if value:
                        self.send_header(name, value)
                if offer.promises_length:
                    self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                body = body[: offer.cut_after]
                offer.sent.append(len(body))
                with contextlib.suppress(ConnectionError):  # who fetches may stop
                    self.wfile.write(body)

            def log_message(self, *args: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Answer)
        threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True).start()

    @property
    def source(self) -> Source:
        """What a model's fetching is told."""
        at = f"http://127.0.0.1:{self._server.server_port}"
        return Source(NAME, f"{at}/model.zip", "Apache-2.0", 1, f"{at}/list.json")

    @property
    def ranges(self) -> list[str | None]:
        """The ranges in which the archive was asked for."""
        return [span for path, span, _ in self.asked if path == "/model.zip"]

    def close(self) -> None:
        """Answer no more."""
        self._server.shutdown()
        self._server.server_close()
