"""``companion sheet``: the page that a learner is handed, read back from its PDF and its HTML."""

from __future__ import annotations

import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from sheet_reading import A4, LETTER, Read, flowing

from companion import library
from companion.cli import main
from companion.display.sheet import printing
from companion.display.sheet.fitting import spare_height, usual_layout
from companion.display.sheet.paper import PAPERS
from companion.display.sheet.wording import CAUTIONS, held_words
from companion.practice import talk
from companion.practice.state import Plan
from companion.recipe.places import Side
from companion.session import setting
from companion.session.colourway_choice import colourway
from companion.session.sheet import sheet_of

SHEETS = {
    "square": ("five-loop-square", "--paper", "a4"),
    "pattern": ("ten-loop-open-edge", "--paper", "letter", "--colourway", "pattern 7 of light=4,dark=6"),
    "two": ("ten-loop-open-edge-two-braiders", "--paper", "a4", "--colourway", "stripe"),
}

ODD = """\
title = 'Purse "string" <b>& cord</b>, a long title of sixty letters'
about = "A cord of 3 loops </style><script>alert(1)</script> & more."
note = "Keep it <i>loose</i>."
source = "common practice, no source"
sure = "own"
held = "index fingers in the middle"
loops = ["left middle", "left index", "right index"]
[colours]
"rosé & <gold>" = { fill = "#cc8899", thickness = 2.0 }
"rust" = "#b07060"
"rose" = "#c08898"
[colourways.odd]
"left middle" = "rosé & <gold>"
"left index" = "rust over rose"
"right index" = "rust"
[[cycle]]
pass = "left index"
to = "right middle"
over = ["right index"]
turned = "outward"
[[cycle]]
pass = "right index"
to = "left index"
[[cycle]]
shift = ["right middle to right index"]
[[cycle]]
exchange = ["left middle", "left index"]
inside = "left middle"
say = "Swap them, <gently> & slowly."
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sheets")
    (folder / "odd.toml").write_text(ODD, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def read(folder: Path) -> Callable[[str], Read]:
    """The PDF of one of the sheets above, or of a recipe file in the folder; each is made once."""
    made: dict[str, Read] = {}

    def opened(name: str) -> Read:
        if name not in made:
            path = folder / f"{name}.pdf"
            words = SHEETS.get(name, (str(folder / f"{name}.toml"),))
            assert main(["sheet", *words, "--out", str(path)]) == 0
            made[name] = Read(path)
        return made[name]

    return opened


def written(folder: Path, *words: str) -> str:
    """The HTML that a command writes."""
    path = folder / "sheet.html"
    assert main(["sheet", *words, "--out", str(path), "--replace"]) == 0
    return path.read_text(encoding="utf-8")


class Outline(HTMLParser):
    """Headings, drawings and addresses of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.headings: list[int] = []
        self.drawings: list[dict[str, str]] = []
        self.images: list[dict[str, str]] = []
        self.ids: list[str] = []
        self.kinds: set[str] = set()
        self.language = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        self.kinds.add(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag in ("svg", "img"):
            (self.drawings if tag == "svg" else self.images).append(values)
        if tag == "html":
            self.language = values["lang"]
        if "id" in values:
            self.ids.append(values["id"])


@pytest.mark.parametrize("name", SHEETS)
def test_the_page_says_every_move_in_the_words_that_are_spoken(read: Callable[[str], Read], name: str) -> None:
    recipe, book = library.load(SHEETS[name][0]), setting.phrasebook()
    plan = Plan(recipe, recipe.colourways[0])
    for number in range(1, len(recipe.cycle) + 1):
        if recipe.braiders == 1:
            assert f"{number} {book.text(talk.move(plan, number))}" in read(name).text
    if recipe.braiders == 2:
        assert f"1–2 {book.text(talk.move(plan, 1))}" in read(name).text
        assert f"9 {book.text(talk.move(plan, 9))}" in read(name).text


@pytest.mark.parametrize("name", SHEETS)
def test_the_page_says_which_finger_holds_which_colour(read: Callable[[str], Read], name: str) -> None:
    recipe = library.load(SHEETS[name][0])
    chosen = colourway(recipe, SHEETS[name][4] if len(SHEETS[name]) > 3 else None)
    letters = {"light": "L", "dark": "D"}
    text = read(name).text
    for place, colours in zip(recipe.loops, chosen.loops, strict=True):
        if recipe.braiders == 1:
            told = text.split(f"{place.side.value.capitalize()} hand ", 1)[1]
        else:
            told = text.split(f"{('One', 'Two')[place.braider - 1]} left: ", 1)[1]
            told = told if place.side is Side.LEFT else told.split("right: ", 1)[1]
        # What a hand gets ends where the next hand, or the next part of the page, begins.
        row = re.split(r"Right hand|right:|Two left|The cord|Braid one", told, maxsplit=1)[0]
        fingers = [part for part in row.split("; ") if re.search(rf"\b{place.finger.value}\b", part.split(":")[0])]
        assert [part.split(": ")[1].strip() for part in fingers] == [held_words(colours, letters)]


@pytest.mark.parametrize("name", SHEETS)
def test_title_source_how_sure_cautions_and_repeats_are_on_the_page(read: Callable[[str], Read], name: str) -> None:
    recipe, text = library.load(SHEETS[name][0]), read(name).text
    for words in (recipe.title, recipe.about, f"Source: {recipe.source}", recipe.sure.value, *CAUTIONS):
        assert words in text
    assert f"One cycle: moves 1 to {len(recipe.cycle)}, then again from 1." in text
    assert "Notes" in text


def test_colours_and_loops_come_round_after_as_many_cycles_as_the_engine_finds(read: Callable[[str], Read]) -> None:
    assert "Colours come round after 5 cycles: one repeat." in read("square").text
    assert "Loops are back on their fingers after 10 cycles." in read("pattern").text


@pytest.mark.parametrize(("name", "paper"), [("square", A4), ("pattern", LETTER), ("two", A4)])
def test_it_is_one_page_of_the_paper_that_was_asked_for(
    read: Callable[[str], Read], name: str, paper: tuple[float, float]
) -> None:
    assert read(name).pages == 1
    assert read(name).paper == pytest.approx(paper, abs=0.5)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", library.names())
def test_every_shipped_cord_goes_on_one_page_with_room_for_a_note(name: str, paper: str) -> None:
    recipe = library.load(name)
    page = sheet_of(recipe, recipe.colourways[0])
    assert spare_height(page, PAPERS[paper], usual_layout(page, PAPERS[paper])) >= 0


@pytest.mark.slow
def test_what_is_reckoned_comes_true_for_the_fullest_page_of_all() -> None:
    paper = PAPERS["letter"]
    recipes = [library.load(name) for name in library.names()]
    pages = [sheet_of(recipe, recipe.colourways[0]) for recipe in recipes]
    fullest = min(pages, key=lambda page: spare_height(page, paper, usual_layout(page, paper)))
    html = fullest.html(paper, usual_layout(fullest, paper))
    assert len(printing.typesetter()(string=html).render().pages) == 1


@pytest.mark.parametrize("name", [*SHEETS, "odd"])
def test_no_letter_is_smaller_than_eight_points_and_the_file_holds_its_fonts(
    read: Callable[[str], Read], name: str
) -> None:
    assert min(read(name).sizes) >= 7.99
    assert all(read(name).fonts.values())
    # The page's own typeface has all letters of these recipes: nothing depends on the machine's fonts.
    assert all("Sheet" in font for font in read(name).fonts)


@pytest.mark.parametrize("name", SHEETS)
def test_the_pdf_is_tagged_with_headings_in_order_and_a_text_for_every_drawing(
    read: Callable[[str], Read], name: str
) -> None:
    sheet = read(name)
    assert (sheet.root["/Lang"], bool(sheet.root["/MarkInfo"]["/Marked"])) == ("en", True)
    headings = [kind for kind, _ in sheet.tags("H1", "H2", "H3")]
    assert headings == ["H1"] + ["H2"] * (len(headings) - 1)
    alts = [alt for _, alt in sheet.tags("Figure")]
    steps = 6 if name == "two" else len(library.load(SHEETS[name][0]).cycle)
    assert len(alts) == 1 + 2 + steps
    assert all(alts)
    assert len(set(alts)) == len(alts) or name == "square"  # tightened twice in a cycle, at different numbers


def test_the_drawings_say_what_is_done(read: Callable[[str], Read]) -> None:
    alts = " ".join(alt for _, alt in read("square").tags("Figure"))
    assert (
        "Move 1. The right index finger goes through left index and left middle and fetches the loop of left ring,"
        " turned half round anticlockwise."
    ) in alts
    assert "Move 3. Both hands are drawn apart." in alts
    assert "left index dark" in alts


def test_odd_names_long_titles_and_marks_of_html_are_printed_as_they_are(
    read: Callable[[str], Read], folder: Path
) -> None:
    text, recipe = read("odd").text, library.load(str(folder / "odd.toml"))
    for words in (recipe.title, recipe.about, recipe.note, "rosé & <gold> (R)", "Swap them, <gently> & slowly."):
        assert words in text
    # Rust takes the next letter that is free, rose another one; a bicolour loop has both.
    assert "rust over rose (U/O)" in text
    assert "rosé & <gold> 2 times as thick as usual" in text
    assert read("odd").pages == 1
    page = written(folder, str(folder / "odd.toml"))
    assert not Outline(page).kinds & {"script", "b", "i"}


@pytest.mark.parametrize("name", ["square", "two"])
def test_the_html_needs_nothing_else_and_tells_what_its_drawings_show(folder: Path, name: str) -> None:
    page = written(folder, *SHEETS[name])
    outline = Outline(page)
    assert outline.language == "en"
    assert outline.headings == [1] + [2] * (len(outline.headings) - 1)
    assert not outline.kinds & {"script", "link", "iframe", "object"}
    addresses = re.findall(r'(?:src|href|url)\s*[=(]\s*["\']?([^"\')\s]+)', page)
    assert all(address.startswith(("data:", "#")) for address in addresses)
    for drawing in outline.drawings:
        assert drawing["role"] == "img"
        assert set(drawing["aria-labelledby"].split()) <= set(outline.ids)
    assert all(image["alt"] for image in outline.images)
    assert len(outline.ids) == len(set(outline.ids))


def test_the_html_is_made_for_the_paper_too(folder: Path) -> None:
    assert "@page { size: A4;" in written(folder, "five-loop-square")
    assert "@page { size: letter;" in written(folder, "five-loop-square", "--paper", "letter")


def test_a_planned_cord_has_its_figures_on_the_page_else_there_is_the_rule_and_room_to_write(folder: Path) -> None:
    planned = flowing(written(folder, "five-loop-square", "--length", "60cm", "--yarn", "tex 300"))
    # The same figures as ``companion plan`` gives: 5 loops of 115 cm (60 x 1.58 + 20).
    assert "For 60 cm of cord: 5 loops of 115 cm from knot to finger" in planned
    assert "light: 4 pieces of 230 cm" in planned
    assert 'class="blank"' not in planned
    rule = flowing(written(folder, "five-loop-square"))
    assert "Cut every loop 1.58 times as long as the cord, from knot to finger, and 20 cm more" in rule
    assert rule.count('class="blank"') >= 4


@pytest.mark.parametrize(
    ("words", "status", "sentence"),
    [
        (("five-loop-square", "--out", "sheet.txt"), 2, "a sheet's name ends in .html or .pdf"),
        (("five-loop-square", "--out", "x.html", "--colourway", "none"), 2, "has no colourway"),
        (("five-loop-square", "--out", "x.html", "--length", "60cm"), 2, "go together"),
        (("five-loop-square", "--out", "x.html", "--length", "60cm", "--yarn", "soft"), 2, "soft"),
        (("no-such-cord", "--out", "x.html"), 1, "no-such-cord"),
        (("five-loop-square", "--out", "no-folder/x.html"), 1, "can't be written"),
    ],
)
def test_what_cannot_be_made_is_said_in_one_sentence(
    words: tuple[str, ...], status: int, sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capsys
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", *words]) == status
    told = capsys.readouterr().err
    assert sentence in told
    assert "Traceback" not in told
    assert not list(tmp_path.iterdir())


Capsys = pytest.CaptureFixture[str]


def test_a_file_that_is_there_is_written_over_only_where_that_is_asked_for(tmp_path: Path, capsys: Capsys) -> None:
    path = tmp_path / "sheet.html"
    path.write_text("velvet", encoding="utf-8")
    assert main(["sheet", "five-loop-square", "--out", str(path)]) == 1
    assert capsys.readouterr().err.endswith("give another name, or write over it with --replace.\n")
    assert path.read_text(encoding="utf-8") == "velvet"
    assert main(["sheet", "five-loop-square", "--out", str(path), "--replace"]) == 0
    assert "velvet" not in path.read_text(encoding="utf-8")


def test_without_pango_the_html_is_written_beside_and_said_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capsys
) -> None:
    def missing() -> object:
        raise OSError("cannot load library 'libpango-1.0-0'")

    monkeypatch.setattr(printing, "typesetter", missing)
    path = tmp_path / "sheet.pdf"
    assert main(["sheet", "five-loop-square", "--out", str(path)]) == 1
    told = capsys.readouterr().err.strip()
    assert "Pango" in told
    assert f"{path.with_suffix('.html')} is written instead: a browser prints it." in told
    assert "\n" not in told
    assert path.with_suffix(".html").exists()
    assert not path.exists()
    # What is there under that name already stays as it is.
    path.with_suffix(".html").write_text("mine", encoding="utf-8")
    assert main(["sheet", "five-loop-square", "--out", str(path)]) == 1
    assert "nothing is written" in capsys.readouterr().err
    assert path.with_suffix(".html").read_text(encoding="utf-8") == "mine"
