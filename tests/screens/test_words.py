"""Messages use the words of the glossary, and none that stand in its table of other words."""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GLOSSARY = (ROOT / "docs" / "glossary.md").read_text("utf-8")
TERMS, OTHER = GLOSSARY.split("## Words that do not stand in messages")
WRONG = [row.strip() for row in re.findall(r"^\| ([^|]+) \| [^|]+ \|$", OTHER, re.MULTILINE)[1:]]
SHOWN = [
    *(ROOT / "tests" / "choose" / "golden").glob("*.txt"),
    *(ROOT / "tests" / "sequence" / "golden").glob("*.txt"),
    *(ROOT / "tests" / "render" / "golden").iterdir(),
    *(ROOT / "slotfit" / "sheet" / "templates").glob("*.html"),
]


def messages(path: Path) -> Iterator[tuple[int, str]]:
    """Every text in a module that is no docstring, pieces of one sentence joined."""
    tree = ast.parse(path.read_text("utf-8"))
    prose = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            pieces = (one.value if isinstance(one, ast.Constant) else "…" for one in node.values)
            yield node.lineno, "".join(map(str, pieces))
        elif isinstance(node, ast.Constant) and id(node) not in prose:
            yield node.lineno, str(node.value)


ANY_WRONG = re.compile(rf"\b(?:{'|'.join(map(re.escape, WRONG))})\b")


def wrong_in(text: str) -> list[str]:
    return ANY_WRONG.findall(" ".join(text.lower().split()))


def test_the_glossary_has_at_most_forty_terms_in_their_order() -> None:
    terms = re.findall(r"^\| ([^|]+) \|", TERMS, re.MULTILINE)[2:]
    assert 30 <= len(terms) <= 40
    assert terms == sorted(terms, key=str.lower)
    assert len(WRONG) >= 10


PACKAGE = ROOT / "slotfit"
CODE = sorted(one.name for one in PACKAGE.iterdir() if one.is_dir() and any(one.rglob("*.py")))
HISTORY = {"CHANGELOG.md"}
"""What was, in the words of its day; so are the decisions."""
PAGES = sorted(
    path
    for path in [
        *ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "examples").rglob("*.yaml"),
        *(ROOT / "catalog").rglob("*.yaml"), *PACKAGE.rglob("templates/*.yaml"),
    ]
    if path.name not in HISTORY and path.parent.name != "decisions"
)  # fmt: skip


def said_in(folder: str) -> Iterator[tuple[str, str]]:
    """Every text that a folder's modules can print: its place, its words."""
    paths = PACKAGE.glob("*.py") if folder == "." else (PACKAGE / folder).rglob("*.py")
    for path in sorted(paths):
        for line, text in messages(path):
            yield f"{path.relative_to(ROOT)}:{line}", text


@pytest.mark.parametrize("folder", [".", *CODE])
def test_no_message_has_a_word_that_the_glossary_replaces(folder: str) -> None:
    found = [
        f"{place}: {word!r} in {text!r}"
        for place, text in said_in(folder)
        for word in wrong_in(text)
    ]
    assert found == []


def test_no_page_nor_description_has_one() -> None:
    """Help is among them: `docs/reference/commands.md` has every page of it."""
    assert {"commands.md", "README.md"} <= {path.name for path in PAGES}
    found = [
        f"{path.relative_to(ROOT)}: {word}" for path in PAGES for word in wrong_in(text_of(path))
    ]
    assert found == []


def text_of(path: Path) -> str:
    """A page; of the glossary what stands before its table of other words."""
    return TERMS if path.name == "glossary.md" else path.read_text("utf-8")


KNOWN = ("--ignore-words-list", "aer")
"""Advanced error reporting."""


def misspelt(*paths: Path) -> str:
    """By a list of common misspellings that others keep."""
    codespell = pytest.importorskip("codespell_lib", reason="codespell is missing (extra `dev`)")
    found = io.StringIO()
    with redirect_stdout(found):
        codespell.main(*map(str, paths), "--quiet-level", "3", *KNOWN)
    return found.getvalue()


def test_every_message_and_page_is_spelt_right(tmp_path: Path) -> None:
    said = tmp_path / "messages.txt"
    texts = [f"{place}: {text}" for one in (".", *CODE) for place, text in said_in(one)]
    said.write_text("\n".join(texts), "utf-8")
    assert misspelt(said, *PAGES) == ""
    said.write_text("a card is recieved\n", "utf-8")
    assert "recieved ==> received" in misspelt(said)


def test_no_kept_output_has_one() -> None:
    assert SHOWN
    found = [
        f"{path.relative_to(ROOT)}: {word}"
        for path in SHOWN
        for word in wrong_in(path.read_text("utf-8"))
    ]
    assert found == []


def test_the_check_finds_a_wrong_word() -> None:
    assert wrong_in("the card Hangs\n  on cpu0, and its socket stays dark") == [
        "hangs on",
        "stays dark",
    ]
    assert wrong_in("what changes on it") == []
