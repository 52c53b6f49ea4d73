"""Fetching a model, from a server on this machine with small archives made here."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from model_server import FILES, NAME, WHOLE, ModelServer, archive

from companion.listening import get_model as room
from companion.listening.fetching import CHUNK
from companion.listening.get_model import get_model, kept_sentence, size_text
from companion.listening.models import ModelFault, Source, check_model, installed_model

CUT = 1_500
OTHER = archive(*(f"other/{name}" for name in FILES), filled=b"y" * 1_200)
LARGE = archive(*(f"small/{name}" for name in FILES), filled=b"z" * 2 * CHUNK)


@pytest.fixture
def server() -> Iterator[ModelServer]:
    offer = ModelServer()
    offer.start()
    yield offer
    offer.close()


def ignore(come: int, total: int | None) -> None:
    pass


def names(data: Path) -> list[str]:
    return sorted(path.name for path in (data / "models").iterdir())


def break_off(server: ModelServer, data: Path) -> None:
    """The connection is lost after CUT bytes."""
    server.cut_after = CUT
    with pytest.raises(ModelFault, match="can't be fetched to its end"):
        get_model(data, ignore, server.source)
    server.cut_after = None


# What comes in one go


def test_a_model_is_fetched_unpacked_and_found_again(server, tmp_path):
    told: list[tuple[int, int | None]] = []
    server.list_it()
    got = get_model(tmp_path, lambda come, total: told.append((come, total)), server.source)
    assert got.path.name == NAME
    assert got.compared
    check_model(got.path)
    assert installed_model(tmp_path) == got.path
    assert (told[0], told[-1]) == ((0, len(WHOLE)), (len(WHOLE), len(WHOLE)))
    assert names(tmp_path) == [NAME]


def test_a_model_fetched_again_replaces_a_broken_one(server, tmp_path):
    path = get_model(tmp_path, ignore, server.source).path
    (path / "am" / "final.mdl").unlink()
    assert installed_model(tmp_path) is None
    assert get_model(tmp_path, ignore, server.source).path == installed_model(tmp_path)
    assert names(tmp_path) == [NAME]


def test_a_server_that_promises_no_length_is_read_to_its_end(server, tmp_path):
    server.promises_length = False
    assert installed_model(tmp_path) is None
    check_model(get_model(tmp_path, ignore, server.source).path)


# What breaks off


def test_what_has_come_is_kept_and_only_the_rest_is_asked_for(server, tmp_path):
    break_off(server, tmp_path)
    assert installed_model(tmp_path) is None
    told: list[tuple[int, int | None]] = []
    got = get_model(tmp_path, lambda come, total: told.append((come, total)), server.source)
    check_model(got.path)
    assert server.ranges == [None, f"bytes={CUT}-"]
    assert server.sent == [CUT, len(WHOLE) - CUT]
    assert (told[0], told[-1]) == ((CUT, len(WHOLE)), (len(WHOLE), len(WHOLE)))
    assert names(tmp_path) == [NAME]


def test_it_may_break_off_more_than_once(server, tmp_path):
    break_off(server, tmp_path)
    break_off(server, tmp_path)
    get_model(tmp_path, ignore, server.source)
    assert server.sent == [CUT, CUT, len(WHOLE) - 2 * CUT]


def test_what_is_kept_is_told(server, tmp_path):
    server.cut_after = CUT
    with pytest.raises(ModelFault) as fault:
        get_model(tmp_path, ignore, server.source)
    kept = f"{CUT} bytes of {len(WHOLE)} bytes are kept; ask again to go on."
    assert str(fault.value).endswith(kept)
    assert kept_sentence(tmp_path, server.source) == kept


def test_a_date_will_do_where_the_server_gives_no_etag(server, tmp_path):
    server.etag, server.modified = 'W/"weak"', "Sat, 01 Aug 2020 10:00:00 GMT"
    break_off(server, tmp_path)
    get_model(tmp_path, ignore, server.source)
    assert server.asked[1][1:] == (f"bytes={CUT}-", server.modified)
    assert server.sent == [CUT, len(WHOLE) - CUT]


def test_a_file_that_has_changed_meanwhile_starts_anew(server, tmp_path):
    break_off(server, tmp_path)
    server.body, server.etag = OTHER, '"second"'
    path = get_model(tmp_path, ignore, server.source).path
    assert (path / "am" / "final.mdl").read_bytes() == b"y" * 1_200
    assert server.sent == [CUT, len(OTHER)]


def test_a_server_without_ranges_starts_anew(server, tmp_path):
    server.knows_ranges = False
    break_off(server, tmp_path)
    check_model(get_model(tmp_path, ignore, server.source).path)
    assert server.sent == [CUT, len(WHOLE)]


def test_a_server_that_sends_another_part_than_was_asked_for_is_asked_for_the_whole(server, tmp_path):
    break_off(server, tmp_path)
    server.moved_range = 7
    check_model(get_model(tmp_path, ignore, server.source).path)
    assert server.ranges == [None, f"bytes={CUT}-", None]


def test_a_file_that_is_now_shorter_than_what_is_kept_starts_anew(server, tmp_path):
    server.body = LARGE
    break_off(server, tmp_path)
    server.body = archive("small/README")[: CUT - 100]
    server.list_it()
    with pytest.raises(ModelFault, match=r"isn't a whole zip|is missing"):
        get_model(tmp_path, ignore, server.source)
    assert server.ranges == [None, f"bytes={CUT}-", None]
    assert names(tmp_path) == []


def test_without_a_mark_for_the_version_nothing_can_be_gone_on_with_and_nothing_is_kept(server, tmp_path):
    server.etag, server.cut_after = None, CUT
    with pytest.raises(ModelFault, match="ask again, or fetch it with a browser"):
        get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == []


def test_what_is_kept_of_another_address_is_not_gone_on_with(server, tmp_path):
    break_off(server, tmp_path)
    moved = Source(NAME, server.source.address + "?mirror", "Apache-2.0", 1)
    get_model(tmp_path, ignore, moved)
    assert server.sent == [CUT, len(WHOLE)]


@pytest.mark.parametrize("note", ["", "[]", '{"address": 3}', '{"bytes": "many"}'])
def test_a_spoilt_note_starts_anew(server, tmp_path, note):
    break_off(server, tmp_path)
    (tmp_path / "models" / f"{NAME}.zip.part.json").write_text(note, encoding="utf-8")
    get_model(tmp_path, ignore, server.source)
    assert server.sent == [CUT, len(WHOLE)]


def test_ctrl_c_keeps_what_has_come(server, tmp_path):
    server.body = LARGE

    def stop(come: int, total: int | None) -> None:
        if come >= 3 * CHUNK:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        get_model(tmp_path, stop, server.source)
    assert "are kept" in kept_sentence(tmp_path, server.source)
    assert installed_model(tmp_path) is None
    get_model(tmp_path, ignore, server.source)
    assert server.ranges == [None, f"bytes={3 * CHUNK}-"]


def test_ctrl_c_while_it_is_unpacked_keeps_the_archive(server, tmp_path, monkeypatch):
    def stop(archive: Path, folder: Path) -> Path:
        folder.mkdir()
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(room, "unpack", stop)
        with pytest.raises(KeyboardInterrupt):
            get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == [f"{NAME}.zip.part", f"{NAME}.zip.part.json"]
    get_model(tmp_path, ignore, server.source)
    assert server.ranges == [None], "nothing had to be fetched again"
    assert names(tmp_path) == [NAME]


def test_what_a_killed_program_had_half_unpacked_is_cleared_away(server, tmp_path):
    (tmp_path / "models" / f"{NAME}.unpacking" / "unpacked").mkdir(parents=True)
    get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == [NAME]


# What isn't what it should be


@pytest.mark.parametrize("listed", ["md5", "size"])
def test_what_its_makers_do_not_publish_is_refused_and_not_kept(server, tmp_path, listed):
    if listed == "md5":
        server.list_it(md5="0123456789abcdef" * 2)
    else:
        server.list_it(size=len(WHOLE) + 1)
    with pytest.raises(ModelFault, match="the model's makers publish"):
        get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    "listed",
    [
        None,
        b"<html>",
        [],
        {},
        ["row"],
        [{"name": NAME}],
        [{"name": NAME, "md5": "?"}],
        [{"name": "x", "md5": "0" * 32}],
    ],
)
def test_without_the_makers_list_the_model_is_taken_and_that_is_told(server, tmp_path, listed):
    server.listed = listed
    got = get_model(tmp_path, ignore, server.source)
    assert not got.compared
    check_model(got.path)


def test_the_list_is_asked_for_once_and_only_after_the_archive(server, tmp_path):
    server.list_it()
    get_model(tmp_path, ignore, server.source)
    assert [path for path, _, _ in server.asked] == ["/model.zip", "/list.json"]


def broken_inside() -> bytes:
    whole = bytearray(WHOLE)
    whole[500] ^= 1
    return bytes(whole)


@pytest.mark.parametrize(
    ("body", "status", "says"),
    [
        (b"not a zip", 200, "isn't a whole zip"),
        (b"", 200, "isn't a whole zip"),
        (broken_inside(), 200, "small/am/final.mdl is broken"),
        (archive("small/../../evil", *FILES), 200, "leads out of its folder"),
        (archive("/etc/evil"), 200, "leads out of its folder"),
        (archive("C:\\evil"), 200, "leads out of its folder"),
        (archive("small/am/final.mdl"), 200, "conf/mfcc.conf is missing"),
        (b"", 404, "answers 404"),
        (b"", 503, "answers 503"),
    ],
)
def test_what_goes_wrong_is_told_and_leaves_nothing(server, tmp_path, body, status, says):
    server.body, server.status = body, status
    with pytest.raises(ModelFault, match=says):
        get_model(tmp_path / "data", ignore, server.source)
    assert names(tmp_path / "data") == []
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_an_archive_that_unpacks_to_more_than_any_model_is_refused(server, tmp_path, monkeypatch):
    monkeypatch.setattr("companion.listening.unpacking.LARGEST_UNPACKED", 4_000)
    with pytest.raises(ModelFault, match="unpacks to more than any small model"):
        get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == []


@pytest.mark.parametrize("promised", [True, False])
def test_a_file_larger_than_any_model_is_refused(server, tmp_path, monkeypatch, promised):
    monkeypatch.setattr(room, "_LARGEST_DOWNLOAD", 4_000)
    server.promises_length = promised
    with pytest.raises(ModelFault, match="can't be fetched"):
        get_model(tmp_path, ignore, server.source)
    assert names(tmp_path) == []


def test_a_model_that_cannot_be_loaded_never_gets_its_name(server, tmp_path):
    looked_at: list[Path] = []

    def refuse(model: Path) -> None:
        check_model(model)
        looked_at.append(model)
        raise ModelFault("vosk can't load it.")

    with pytest.raises(ModelFault, match=r"vosk can't load it\. Nothing of it was kept"):
        get_model(tmp_path, ignore, server.source, prove=refuse)
    assert [path.name for path in looked_at] == ["small"]
    assert names(tmp_path) == []


# The machine it comes to


def test_no_server_is_told(tmp_path):
    with pytest.raises(ModelFault, match="check the network"):
        get_model(tmp_path, ignore, Source("none", "http://127.0.0.1:9/model.zip", "none", 1))


def test_a_folder_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ModelFault, match="can't be kept"):
        get_model(tmp_path / "file", ignore, Source("none", "http://127.0.0.1:9/model.zip", "none", 1))


def test_room_on_the_disk_is_looked_for_before_anything_is_written(server, tmp_path):
    with pytest.raises(ModelFault, match="make room and ask again"):
        get_model(tmp_path, ignore, server.source, free=lambda folder: 3 * len(WHOLE))
    assert names(tmp_path) == []
    get_model(tmp_path, ignore, server.source, free=lambda folder: 4 * len(WHOLE))


def test_a_disk_that_fills_up_meanwhile_keeps_what_has_come(server, tmp_path):
    server.body = LARGE

    def fill_up(come: int, total: int | None) -> None:
        if come >= 2 * CHUNK:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(ModelFault, match=r"No space left on device\. .* are kept; ask again to go on"):
        get_model(tmp_path, fill_up, server.source)
    get_model(tmp_path, ignore, server.source)
    assert server.ranges == [None, f"bytes={2 * CHUNK}-"]


def test_no_room_to_unpack_keeps_the_archive(server, tmp_path, monkeypatch):
    class Full:
        free = 100

    with monkeypatch.context() as patched:
        patched.setattr("companion.listening.unpacking.shutil.disk_usage", lambda folder: Full)
        with pytest.raises(ModelFault, match="the archive is kept"):
            get_model(tmp_path, ignore, server.source, free=lambda folder: 1 << 40)
    get_model(tmp_path, ignore, server.source)
    assert server.ranges == [None]


@pytest.mark.parametrize(
    ("size", "text"), [(12, "12 bytes"), (12_400, "12 kB"), (1_250_000, "1.2 MB"), (41_205_931, "41 MB")]
)
def test_sizes_are_told_as_people_read_them(size, text):
    assert size_text(size) == text
