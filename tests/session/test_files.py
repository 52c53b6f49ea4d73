"""Files that a command writes: whole or not at all, never over another one unasked, and every fault in a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.cli import main
from companion.journal.store import FILE_NAME
from companion.session.files import check_free, check_place, write_files
from companion.session.setting import FileFault
from companion.session.usage import UsageFault


def test_on_a_disk_that_is_read_only_the_file_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    # Such a disk refuses to remove what isn't there, too: both calls of it, as Linux answers them.
    monkeypatch.setattr(Path, "write_bytes", refused)
    monkeypatch.setattr(Path, "unlink", refused)
    path = tmp_path / "cord.toml"
    with pytest.raises(FileFault, match=r"cord\.toml: the file can't be written \(Read-only file system\)\.$"):
        write_files({path: "title"}, replace=False)


def test_a_folder_of_that_name_is_no_file_to_write_over(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="Is a directory"):
        write_files({tmp_path: "title"}, replace=True)


def test_a_name_that_no_disk_takes_is_told_of_with_the_file(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match=r"can't be written \(File name too long\)"):
        write_files({tmp_path / ("cord" * 100): "title"}, replace=False)


def test_any_file_that_is_there_is_told_of(tmp_path: Path) -> None:
    there, free = tmp_path / "cord.cue", tmp_path / "cord.ogg"
    there.write_text("mine", encoding="utf-8")
    with pytest.raises(FileFault, match=r"cord\.cue is there already"):
        check_free(free, there, replace=False)
    check_free(free, there, replace=True)


def test_several_files_are_written_all_or_none(tmp_path: Path) -> None:
    """The last one can't be written: those before it stay as they were."""
    first, new, last = tmp_path / "a.csv", tmp_path / "b.csv", tmp_path / "no folder" / "c.csv"
    first.write_text("of last year", encoding="utf-8")
    with pytest.raises(FileFault, match=r"c\.csv: the file can't be written"):
        write_files({first: "one", new: "two", last: "three"}, replace=True)
    with pytest.raises(FileFault, match=r"a\.csv is there already"):
        write_files({new: "two", first: "one"}, replace=False)
    assert list(tmp_path.iterdir()) == [first]
    assert first.read_text(encoding="utf-8") == "of last year"


def test_a_name_of_another_kind_of_file_is_told_of_before_all_else(tmp_path: Path) -> None:
    with pytest.raises(UsageFault, match=r"cord\.gif\" can't be written: a picture's name ends in \.png\.$"):
        check_place(tmp_path / "cord.gif", (".png",), "a picture's name ends in .png", replace=False)
    check_place(tmp_path / "CORD.PNG", (".png",), "a picture's name ends in .png", replace=False)


SILENT = ("--listen", "keys", "--voice", "off", "--plain")
COMMANDS = {
    "picture": ("picture", "five-loop-square", "--cycles", "1", "--out", "mine.svg"),
    "patterns": ("patterns", "five-loop-square", "--loops", "light=1,dark=4", "--picture", "mine.html"),
    "recognise": ("recognise", "--edges", "closed", "--ridges", "2", "--limit", "1", "--picture", "mine.html"),
    "journal --svg": ("journal", "--svg", "mine.svg"),
    "journal --csv": ("journal", "--csv", "mine.csv"),
    "sheet": ("sheet", "five-loop-square", "--out", "mine.html"),
    "mirror": ("mirror", "five-loop-flat", "--out", "mine.toml"),
    "workarounds": ("workarounds", "five-loop-square", "--move", "3", "--out", "mine.toml"),
    "track": ("track", "five-loop-square", "--cycles", "1", "--brief", "--out", "mine.wav"),
    "practise": ("practise", "five-loop-square", *SILENT, "--to-audio", "mine.wav"),
    "learn": ("learn", "five-loop-square", *SILENT, "--to-audio", "mine.wav"),
}
"""Every command that writes a file where the user says, and the file."""


@pytest.mark.parametrize("command", COMMANDS)
def test_no_command_writes_over_a_file_unasked(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    mine = tmp_path / COMMANDS[command][-1]
    mine.write_text("of last year", encoding="utf-8")
    assert main(COMMANDS[command]) == 1
    printed = capfd.readouterr()
    assert printed.out == ""
    assert printed.err == f"{mine.name} is there already: give another name, or write over it with --replace.\n"
    assert mine.read_text(encoding="utf-8") == "of last year"


QUICK = [name for name in COMMANDS if name not in ("learn", "practise", "track", "workarounds", "journal --csv")]
"""The others have tests of their own beside what else is tested of them."""


@pytest.mark.parametrize("command", QUICK)
def test_replace_allows_it(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    mine = tmp_path / COMMANDS[command][-1]
    mine.write_text("of last year", encoding="utf-8")
    if command.startswith("journal"):
        assert main(["practise", "five-loop-square", *SILENT]) == 0
        assert (tmp_path / "home" / FILE_NAME).exists()
    assert main([*COMMANDS[command], "--replace"]) == 0
    assert "of last year" not in mine.read_text(encoding="utf-8")
    assert not list(tmp_path.glob(".*.part"))
