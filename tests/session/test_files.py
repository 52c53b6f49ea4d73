"""Files that a command writes: whole or not at all, never over another one unasked, and every fault in a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.session.files import check_free, write_files, write_or_replace
from companion.session.setting import FileFault


def test_on_a_disk_that_is_read_only_the_file_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    # Such a disk refuses to remove what isn't there, too: both calls of it, as Linux answers them.
    monkeypatch.setattr(Path, "write_bytes", refused)
    monkeypatch.setattr(Path, "unlink", refused)
    path = tmp_path / "cord.toml"
    with pytest.raises(FileFault, match=r"cord\.toml: the file can't be written \(Read-only file system\)\.$"):
        write_files({path: "title"})


def test_a_folder_of_that_name_is_no_file_to_write_over(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="Is a directory"):
        write_or_replace(tmp_path, "title", replace=True)


def test_any_file_that_is_there_is_told_of(tmp_path: Path) -> None:
    there, free = tmp_path / "cord.cue", tmp_path / "cord.ogg"
    there.write_text("mine", encoding="utf-8")
    with pytest.raises(FileFault, match=r"cord\.cue is there already"):
        check_free(free, there, replace=False)
    check_free(free, there, replace=True)
