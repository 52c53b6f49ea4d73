"""A file fetched over HTTP, which is gone on with where it broke off.

Rules
- What has come stays in a part file. A note beside it says of which version of which file it is a part: the
  address, the length and the server's mark for the version (ETag, else Last-Modified).
- The rest is asked for on the condition that the version is still the same (If-Range, RFC 9110, section 13.1.5). A
  server that sends the whole instead, because the file has changed or because it knows no ranges, is taken at its word.
- A file without a mark can't be gone on with: nothing of it is kept.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CHUNK = 1 << 14
"""Bytes that are read at once: on a slow line, what comes within some seconds."""
TIMEOUT_S = 30
"""How long a server may be silent."""
_NAMED = {"User-Agent": "braiding-companion", "Accept-Encoding": "identity"}
_RANGE = re.compile(r"bytes (\d+)-(\d+)/(\d+|\*)")
_RANGE_NOT_SATISFIABLE = 416
_PARTIAL_CONTENT = 206

Progress = Callable[[int, int | None], None]
"""Told the bytes that have come and the bytes there are, if that is known."""
Before = Callable[[int, int], None]
"""Told the bytes still to come and all the bytes, before any is written, if that is known; may raise."""


class FetchFault(RuntimeError):  # noqa: N818 (a fault leaves what has come)
    """A file that can't be fetched, or not to its end. The message is half a sentence: what happened."""


@dataclass(frozen=True)
class Kept:
    """How much of a file is there: bytes, all its bytes if that is known, and the server's mark for this version."""

    size: int
    total: int | None
    mark: str

    @property
    def whole(self) -> bool:
        """Whether nothing is missing."""
        return self.size == self.total


class Part:
    """A file that is on its way: what has come is in `path`, and the note of its version beside it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._note = path.with_name(path.name + ".json")

    def kept(self, address: str) -> Kept | None:
        """What there is of the file at `address`; None where there is nothing that can be gone on with."""
        try:
            note = json.loads(self._note.read_text(encoding="utf-8"))
            size = self.path.stat().st_size
        except (OSError, ValueError):
            return None
        if not isinstance(note, dict) or note.get("address") != address:
            return None
        total, mark = note.get("bytes"), note.get("mark")
        if not isinstance(mark, str) or not mark or not (total is None or isinstance(total, int)):
            return None
        return Kept(size, total, mark) if size > 0 and (total is None or size <= total) else None

    def begin(self, address: str, total: int | None, mark: str | None) -> None:
        """Nothing has come yet of the file that the server now offers."""
        self.forget()
        self.path.write_bytes(b"")
        if mark:
            note = {"address": address, "bytes": total, "mark": mark}
            self._note.write_text(json.dumps(note), encoding="utf-8")

    def forget(self) -> None:
        """Take it away."""
        self._note.unlink(missing_ok=True)
        self.path.unlink(missing_ok=True)


def fetch(address: str, part: Part, largest: int, progress: Progress, before: Before) -> None:
    """Brings the file at `address` into `part`, whole; what is there of the same version already isn't sent again.

    Args:
        address: an http or https address.
        part: where the file is kept, and stays when this ends early, by whatever.
        largest: more bytes than this are refused.
        progress: told after each piece.
        before: told before the first.

    Raises:
        FetchFault: the server can't be reached, refuses, sends too much, or falls silent before the end.
        OSError: the part can't be written.
    """
    kept = part.kept(address)
    if kept is not None and kept.whole:
        progress(kept.size, kept.total)
        return
    answer, kept = _opened(address, part, kept)
    with answer:
        total = kept.total if kept is not None else _length(answer)
        have = kept.size if kept is not None else 0
        if total is not None:
            if total > largest:
                raise FetchFault(f"it has {total} bytes, and no more than {largest} are wanted")
            before(total - have, total)
        if kept is None:
            part.begin(address, total, _mark(answer))
        _copy(answer, part, have, total, largest, progress)


def ask(address: str, more: dict[str, str] | None = None) -> Any:
    """The server's answer (http.client.HTTPResponse), to be closed by the caller.

    Raises:
        FetchFault: there is none, or it says no.
    """
    import http.client  # only here: a session has no use for the network and starts sooner without
    import urllib.error
    import urllib.request

    try:
        answer = urllib.request.urlopen(
            urllib.request.Request(address, headers={**_NAMED, **(more or {})}), timeout=TIMEOUT_S
        )
    except urllib.error.HTTPError as error:
        error.close()
        if more and error.code == _RANGE_NOT_SATISFIABLE:
            raise _RangeRefused("the range was refused") from None
        raise FetchFault(f"the server answers {error.code}, {error.reason}") from None
    except (OSError, http.client.HTTPException, ValueError) as error:
        raise FetchFault(_plain(error)) from None
    if address.startswith("https:") and not answer.url.startswith("https:"):
        answer.close()
        raise FetchFault("the server leads away to an address without encryption")
    return answer


def read(answer: Any, size: int) -> bytes:
    """The next bytes, at most `size`; none at the end. Raises FetchFault where the connection is lost."""
    import http.client

    try:
        data: bytes = answer.read(size)
    except (OSError, http.client.HTTPException) as error:
        raise FetchFault(f"the connection was lost: {_plain(error)}") from None
    return data


class _RangeRefused(FetchFault):
    """The server has no such range: the file is now shorter."""


def _copy(answer: Any, part: Part, have: int, total: int | None, largest: int, progress: Progress) -> None:
    with part.path.open("ab") as file:
        progress(have, total)
        while chunk := read(answer, CHUNK):
            have += len(chunk)
            if have > (largest if total is None else total):
                part.forget()
                raise FetchFault("more came than belongs to it")
            file.write(chunk)
            progress(have, total)
    if total is not None and have < total:
        raise FetchFault("the connection was lost")


def _opened(address: str, part: Part, kept: Kept | None) -> tuple[Any, Kept | None]:
    """The answer that brings what is missing, and what was kept; None for that where the whole comes anew."""
    if kept is None:
        return ask(address), None
    try:
        answer = ask(address, {"Range": f"bytes={kept.size}-", "If-Range": kept.mark})
    except _RangeRefused:
        pass
    else:
        if answer.status != _PARTIAL_CONTENT:
            return answer, None
        if _goes_on(answer, kept):
            return answer, kept
        answer.close()  # another part than was asked for
    part.forget()
    return ask(address), None


def _goes_on(answer: Any, kept: Kept) -> bool:
    """Whether a part that was sent is just the bytes that are missing."""
    span = _RANGE.fullmatch((answer.headers.get("Content-Range") or "").strip())
    if span is None or int(span[1]) != kept.size:
        return False
    return span[3] == "*" or kept.total is None or int(span[3]) == kept.total


def _length(answer: Any) -> int | None:
    told = answer.headers.get("Content-Length") or ""
    return int(told) if told.isdigit() else None


def _mark(answer: Any) -> str | None:
    """What stands for this version. A weak ETag won't do: it may be the same for other bytes (RFC 9110, 8.8.1)."""
    if (answer.headers.get("Accept-Ranges") or "").strip().lower() == "none":
        return None
    etag = (answer.headers.get("ETag") or "").strip()
    return etag if etag and not etag.startswith("W/") else answer.headers.get("Last-Modified")


def _plain(error: Exception) -> str:
    reason = getattr(error, "reason", error)
    return str(getattr(reason, "strerror", None) or reason or type(error).__name__).rstrip(".")
