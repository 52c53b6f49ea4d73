"""Fetching a model, from a server on this machine with small archives made here; telling a whole one from a broken."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from companion.listening.models import ENGLISH, ModelFault, Source, check_model, get_model, installed_model

FILES = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst")


def archive(*names: str) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as pack:
        for name in names:
            pack.writestr(name, "x" * 1_000)
    return packed.getvalue()


WHOLE = archive(*(f"small/{name}" for name in FILES))
Serve = Callable[..., Source]


@pytest.fixture
def serve() -> Iterator[Serve]:
    """Serves bytes on 127.0.0.1 as a model's archive; `promised` is the length it claims."""
    servers = []

    def start(body: bytes, promised: int | None = None, status: int = 200) -> Source:
        class Answer(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                self.send_response(status)
                self.send_header("Content-Length", str(len(body) if promised is None else promised))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *args: object) -> None:
                pass

        server = ThreadingHTTPServer(("127.0.0.1", 0), Answer)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        servers.append(server)
        return Source("small-model", f"http://127.0.0.1:{server.server_port}/model.zip", "Apache-2.0", 1)

    yield start
    for server in servers:
        server.shutdown()
        server.server_close()


def ignore(come: int, total: int | None) -> None:
    pass


def test_a_model_is_fetched_unpacked_and_found_again(serve: Serve, tmp_path: Path) -> None:
    told: list[tuple[int, int | None]] = []
    assert installed_model(tmp_path) is None
    path = get_model(tmp_path, lambda come, total: told.append((come, total)), serve(WHOLE))
    assert path.name == "small-model"
    check_model(path)
    assert installed_model(tmp_path) == path
    assert told[-1] == (len(WHOLE), len(WHOLE))
    assert [entry.name for entry in path.parent.iterdir()] == ["small-model"]


def test_a_model_fetched_again_replaces_a_broken_one(serve: Serve, tmp_path: Path) -> None:
    path = get_model(tmp_path, ignore, serve(WHOLE))
    (path / "am" / "final.mdl").unlink()
    assert installed_model(tmp_path) is None
    assert get_model(tmp_path, ignore, serve(WHOLE)) == installed_model(tmp_path)


@pytest.mark.parametrize(
    ("body", "promised", "status", "says"),
    [
        (WHOLE[:500], len(WHOLE), 200, "Only 500 of"),
        (b"not a zip", None, 200, "isn't a whole zip"),
        (archive("small/../../evil", *FILES), None, 200, "leads out of its folder"),
        (archive("/etc/evil"), None, 200, "leads out of its folder"),
        (archive("C:\\evil"), None, 200, "leads out of its folder"),
        (archive("small/am/final.mdl"), None, 200, "conf/mfcc.conf is missing"),
        (b"", None, 404, "can't be fetched"),
    ],
)
def test_what_goes_wrong_is_told_and_leaves_nothing(
    body: bytes, promised: int | None, status: int, says: str, serve: Serve, tmp_path: Path
) -> None:
    with pytest.raises(ModelFault, match=says):
        get_model(tmp_path / "data", ignore, serve(body, promised, status))
    assert list((tmp_path / "data" / "models").iterdir()) == []
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_no_server_is_told(tmp_path: Path) -> None:
    with pytest.raises(ModelFault, match="check the network"):
        get_model(tmp_path, ignore, Source("none", "http://127.0.0.1:9/model.zip", "none", 1))


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ModelFault, match="can't be kept"):
        get_model(tmp_path / "file", ignore, Source("none", "http://127.0.0.1:9/model.zip", "none", 1))


def test_an_empty_file_is_not_a_whole_model(tmp_path: Path) -> None:
    for name in FILES:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    check_model(tmp_path)
    (tmp_path / "graph" / "Gr.fst").write_text("")
    with pytest.raises(ModelFault, match=r"can't take a list of words: graph/Gr\.fst"):
        check_model(tmp_path)


def test_the_english_model_says_where_it_is_from_its_size_and_licence() -> None:
    assert ENGLISH.address.startswith("https://")
    assert ENGLISH.address.endswith(f"{ENGLISH.name}.zip")
    assert ENGLISH.licence == "Apache-2.0"
    assert ENGLISH.about_mb > 0
