"""Every command shown in the documents prints what they show; `pytest --update` rewrites it."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest

from tests.docs.console import ROOT, Typed, commands, files_in, run, same, stage, trimmed, typed_in

DOCUMENTS = sorted(
    path
    for path in [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]
    if any(one.is_ours for one in typed_in(path.read_text("utf-8")))
)


SLOW = {"would-another-board-be-better", "what-do-i-pull-first", "what-room-is-left"}
"""Their commands search for tens of seconds."""


@pytest.mark.parametrize(
    "document",
    [pytest.param(one, marks=[pytest.mark.long] * (one.stem in SLOW)) for one in DOCUMENTS],
    ids=lambda path: path.relative_to(ROOT).as_posix(),
)
def test_commands_print_what_the_document_shows(
    document: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
) -> None:
    text = document.read_text("utf-8")
    stage(tmp_path, text)
    monkeypatch.chdir(tmp_path)
    pieces: list[str] = []
    done, code = 0, 0
    wrong: list[str] = []
    for typed in typed_in(text):
        if not typed.is_ours:
            continue
        if typed.command == "echo $?":
            printed = [str(code)]
        else:
            code, printed = run(typed.words)
        if not same(typed.output, printed):
            wrong += difference(typed, printed)
        pieces += [text[done : typed.start], renewed(typed, printed, text)]
        done = typed.end
    if request.config.getoption("--update") and wrong:
        document.write_text("".join([*pieces, text[done:]]), "utf-8")
    elif wrong:
        pytest.fail(f"{document.name}: pytest --update rewrites it\n" + "\n".join(wrong))


def difference(typed: Typed, printed: list[str]) -> list[str]:
    shown, real = trimmed(typed.output), trimmed(printed)
    return [
        f"$ {typed.command}",
        *difflib.unified_diff(shown, real, "shown", "printed", "", "", 2, ""),
    ]


def renewed(typed: Typed, printed: list[str], text: str) -> str:
    """What the command prints, in the document's place; an elision that still holds is kept."""
    if same(typed.output, printed):
        return text[typed.start : typed.end]
    gap = typed.output[len(trimmed(typed.output)) :]
    return "".join(f"{typed.indent}{line}".rstrip() + "\n" for line in [*trimmed(printed), *gap])


def test_a_block_is_read_as_typed() -> None:
    body = "$ slotfit a \\\n    --b 'c d'\nout\n\n$ other\n$ echo $?\n1\n"
    first, second, third = commands(body, 0, "")
    assert first.words == ["slotfit", "a", "--b", "c d"]
    assert first.output == ["out", ""]
    assert body[first.start : first.end] == "out\n\n"
    assert (first.is_ours, second.is_ours, third.is_ours) == (True, False, True)


def test_a_difference_is_seen() -> None:
    assert same(["a", "b"], ["a", "b", ""])
    assert not same(["a", "b"], ["a"])
    assert not same(["a"], ["a", "b"])
    assert same(["a", "...", "d"], ["a", "b", "c", "d"])
    assert not same(["a", "...", "d"], ["a", "b", "c"])


def test_a_file_of_a_document_is_written(tmp_path: Path) -> None:
    text = "```yaml\n# file: box.yaml\nid: box\n```\n```yaml\nid: other\n```\n"
    assert list(files_in(text)) == [("box.yaml", "# file: box.yaml\nid: box\n")]
    stage(tmp_path, text)
    assert (tmp_path / "box.yaml").read_text("utf-8").endswith("id: box\n")


def test_a_mistake_is_printed_and_told_by_its_code() -> None:
    code, printed = run(["slotfit", "check", "no-such-part", "no-such-board"])
    assert code == 2
    assert "no-such-board" in printed[0]
