"""The pure rooms touch no clock, thread, file, sound or terminal, and doors open only downwards."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PURE_ROOMS = ("recipe", "loops", "structure", "yarn", "practice")
PURE_FILES = sorted(path for room in PURE_ROOMS for path in (ROOT / "companion" / room).rglob("*.py"))
ALLOWED = {
    "__future__",
    "bisect",
    "collections",
    "companion",
    "dataclasses",
    "datetime",
    "difflib",
    "enum",
    "fsrs",
    "fractions",
    "functools",
    "heapq",
    "itertools",
    "json",
    "math",
    "numpy",
    "operator",
    "re",
    "scipy",
    "statistics",
    "string",
    "tomllib",
    "tree_sitter",
    "tree_sitter_toml",
    "types",
    "typing",
    "unicodedata",
}
"""Modules that compute and do nothing else; the parser reads the text that it is handed, and dates, the cards' too, are
always handed in, and of numpy nothing is used that reads, writes or draws lots (tests below);
of scipy, the search for neighbours alone. Others need a reason."""
NUMPY_EDGES = {"random", "load", "save", "savez", "savez_compressed", "loadtxt", "savetxt", "genfromtxt"}
NUMPY_EDGES |= {"fromfile", "tofile", "memmap", "fromregex", "DataSource"}
IMPURE_CALLS = {"print", "open", "input", "breakpoint", "exec", "eval", "__import__"}


def imported(tree: ast.AST) -> Iterator[str]:
    """The modules that a file imports, anywhere in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or "")


def called(tree: ast.AST) -> Iterator[str]:
    """The plain names that a file calls or hands on."""
    return (node.id for node in ast.walk(tree) if isinstance(node, ast.Name))


def ids(path: Path) -> str:
    return str(path.relative_to(ROOT / "companion"))


def test_every_pure_room_is_looked_at() -> None:
    assert {path.parent.name for path in PURE_FILES} >= set(PURE_ROOMS)
    assert len(PURE_FILES) > 25


@pytest.mark.parametrize("path", PURE_FILES, ids=ids)
def test_a_pure_file_imports_only_what_computes(path: Path) -> None:
    modules = {name.partition(".")[0] for name in imported(ast.parse(path.read_text(encoding="utf-8")))}
    assert modules <= ALLOWED


@pytest.mark.parametrize("path", PURE_FILES, ids=ids)
def test_a_pure_file_reads_no_file_and_prints_nothing(path: Path) -> None:
    assert not IMPURE_CALLS & set(called(ast.parse(path.read_text(encoding="utf-8"))))


@pytest.mark.parametrize("path", PURE_FILES, ids=ids)
def test_a_pure_file_only_computes_with_numpy(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if "numpy" in {name.partition(".")[0] for name in imported(tree)}:
        assert not NUMPY_EDGES & {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
        assert not NUMPY_EDGES & {part for name in imported(tree) for part in name.split(".")}


@pytest.mark.parametrize("path", PURE_FILES, ids=ids)
def test_a_pure_file_imports_rooms_below_its_own_only(path: Path) -> None:
    room = path.relative_to(ROOT / "companion").parts[0]
    below = PURE_ROOMS[: PURE_ROOMS.index(room) + 1]
    for name in imported(ast.parse(path.read_text(encoding="utf-8"))):
        if name.startswith("companion"):
            assert name.split(".")[1] in below


@pytest.mark.parametrize(
    "source", ["import time", "from pathlib import Path", "def f():\n    import random", "import rich.console"]
)
def test_the_look_finds_what_it_looks_for(source: str) -> None:
    assert not {name.partition(".")[0] for name in imported(ast.parse(source))} <= ALLOWED


def test_the_look_finds_calls_too() -> None:
    assert IMPURE_CALLS & set(called(ast.parse("def f():\n    print('x')")))


def test_the_doors_of_the_house_hold() -> None:
    """The contracts in pyproject.toml, judged by import-linter."""
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([str(lint), "--no-cache"], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout
