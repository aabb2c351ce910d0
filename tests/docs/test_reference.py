"""The reference pages say what the code does; `pytest --update` writes them anew."""

import re
from pathlib import Path

import pytest
import typer

from slotfit.answers.answer_word import EXIT
from slotfit.cli import output, start
from slotfit.cli.main import VERBS, command_of
from tests.docs.reference import PAGES, SUBCOMMANDS

ROOT = Path(__file__).parents[2]
REFERENCE = ROOT / "docs" / "reference"


@pytest.mark.parametrize("name", PAGES)
def test_the_page_follows_from_the_code(name: str, request: pytest.FixtureRequest) -> None:
    path, expected = REFERENCE / name, PAGES[name]()
    if request.config.getoption("--update"):
        path.write_text(expected, "utf-8")
    assert path.read_text("utf-8") == expected, "pytest tests/docs --update writes it anew"


def test_exit_codes_are_those_of_the_command_line() -> None:
    text = (REFERENCE / "exit-codes.md").read_text("utf-8")
    listed = {int(code) for code in re.findall(r"^\| (\d+) \|", text, re.MULTILINE)}
    signals = {start.STOPPED, output.UNREAD}
    assert listed == {*EXIT.values(), start.FAULT} | signals
    words = dict(re.findall(r"^\| (\d+) \| ([^|]+) \|", text, re.MULTILINE))
    assert {word: words[str(code)] for word, code in EXIT.items()} == {word: word for word in EXIT}


def test_every_group_of_commands_is_listed_with_its_members() -> None:
    for verb in VERBS:
        command = command_of(verb)
        if isinstance(command, typer.Typer):
            names = {one.name or str(one.callback) for one in command.registered_commands}
            said = {words[0] for words in SUBCOMMANDS[verb]}
            assert {name for name in names if name.isidentifier()} <= said
            assert len(said) == len(command.registered_commands)


DOCS = sorted((ROOT / "docs").rglob("*.md"))


@pytest.mark.parametrize(
    "page",
    sorted((ROOT / "docs").rglob("*.md")),
    ids=lambda path: path.relative_to(ROOT).as_posix(),
)
def test_every_link_leads_somewhere(page: Path) -> None:
    """Links to other pages, and to headings of this or of another one."""
    for target in re.findall(r"\]\(([^)\s]+)\)", page.read_text("utf-8")):
        if re.match(r"[a-z]+:", target):
            continue
        name, _, heading = target.partition("#")
        path = (page.parent / name) if name else page
        assert path.exists(), f"{page}: {target}"
        if heading:
            assert heading in headings(path), f"{page}: {target}"


def headings(page: Path) -> set[str]:
    """The anchors of a page, made from its headings as most viewers make them."""
    found = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", one).strip().lower().replace(" ", "-") for one in found}


def test_the_index_leads_to_every_page() -> None:
    index = ROOT / "docs" / "index.md"
    linked = re.findall(r"\]\(([^)#\s]+)", index.read_text("utf-8"))
    there = {(index.parent / one).resolve() for one in linked}
    apart = {
        ROOT / "docs" / "decisions" / path.name for path in (ROOT / "docs/decisions").iterdir()
    }
    assert set(DOCS) - there - apart - {index} == set()
