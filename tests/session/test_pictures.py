"""The pictures in the README are those of the program as it is."""

from __future__ import annotations

import pytest

from companion.session.pictures import FOLDER, PICTURES, picture


@pytest.mark.parametrize("name", PICTURES)
def test_a_shipped_picture_is_up_to_date(name):
    assert (FOLDER / f"{name}.svg").read_text(encoding="utf-8") == picture(name), "python -m companion.session.pictures"
