"""Messages use the words of the glossary, and none that stand in its table of other words."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
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


def wrong_in(text: str) -> list[str]:
    flat = " ".join(text.lower().split())
    return [word for word in WRONG if re.search(rf"\b{re.escape(word)}\b", flat)]


def test_the_glossary_has_at_most_forty_terms_in_their_order() -> None:
    terms = re.findall(r"^\| ([^|]+) \|", TERMS, re.MULTILINE)[2:]
    assert 30 <= len(terms) <= 40
    assert terms == sorted(terms, key=str.lower)
    assert len(WRONG) >= 10


@pytest.mark.parametrize(
    "folder", ["answers", "rules", "model", "draw", "sheet", "cli", "hardware"]
)
def test_no_message_has_a_word_that_the_glossary_replaces(folder: str) -> None:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {word!r} in {text!r}"
        for path in sorted((ROOT / "slotfit" / folder).rglob("*.py"))
        for line, text in messages(path)
        for word in wrong_in(text)
    ]
    assert found == []


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
