"""What another program may call, and that the command line calls the same."""

from __future__ import annotations

import inspect
import re
import sys
from importlib import import_module
from pathlib import Path
from typing import Any, get_type_hints

import pytest

from slotfit import api
from slotfit.cli.main import VERBS, run
from tests.limits import SECONDS

ROOT = Path(__file__).parents[1]
DEMO = "examples/demo/build.yaml"
FUNCTIONS = [name for name in api.__all__ if inspect.isfunction(getattr(api, name))]
TYPES = sorted({*api.__all__} - {*FUNCTIONS})

CALLS = {
    "place": {"place": "place_answer", "explain": "explain", "preferring": "preferring"},
    "check": {"check": "check_part"},
    "carriers": {"carriers": "carriers_by_slot"},
    "why": {"why": "ask"},
    "compare": {"compare": "compare_boards"},
    "headroom": {"headroom": "what_room_is_left"},
    "sequence": {"sequence": "windows_to_plan", "pull_first": "what_to_pull_first"},
    "collect": {"collect": "collecting_script"},
    "read": {"read": "read_machine"},
    "verify": {
        "verify": "held_against", "planned": "planned", "planned_machine": "planned_machine",
        "seen": "machine_seen", "metrics": "metrics_text",
    },
    "draw": {"place": "place", "sequence": "sequence"},
    "sheet": {"sheet": "sheet_of"},
    "catalog": {
        "listed": "catalog_listed", "show": "catalog_shown", "lint": "catalog_linted",
        "schema": "schema_text", "audit": "catalog_audited", "add": "catalog_added",
    },
    "new": {"new": "starting_text"},
}  # fmt: skip
"""Verb -> function of the api -> what the verb's module calls it."""

LOADING = {"load", "catalog", "json", "page", "picture", "text"}
"""What every verb needs: a command reads options, and prints its own kind of answer."""


@pytest.mark.parametrize("verb", VERBS)
def test_a_command_calls_what_another_program_calls(verb: str) -> None:
    module = import_module(f"slotfit.cli.{VERBS[verb]}")
    source = inspect.getsource(module)
    for name, own in CALLS[verb].items():
        assert getattr(module, own) is getattr(api, name), name
        assert re.search(rf"(?<!def ){own}\(", source), f"{own} is never called"


def test_every_function_is_some_commands() -> None:
    called = {name for names in CALLS.values() for name in names}
    assert called | LOADING == {*FUNCTIONS}
    assert [*CALLS] == [*VERBS]


def test_all_that_is_public_is_named_and_nothing_else() -> None:
    """Defined here without a leading underscore, or called by a command."""
    own = {
        name
        for name, value in vars(api).items()
        if inspect.isfunction(value) and value.__module__ == api.__name__ and name[0] != "_"
    }
    called = {name for names in CALLS.values() for name in names}
    assert api.__all__ == sorted(own | called | {"load", "catalog"} | {*TYPES})
    asked = {
        word
        for name in FUNCTIONS
        for one in inspect.signature(getattr(api, name)).parameters.values()
        for word in re.findall(r"\w+", str(one.annotation))
    }
    assert {*TYPES} - {"InputError"} <= asked, "types that no function takes"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_is_typed_and_documented(name: str) -> None:
    function = getattr(api, name)
    hints = get_type_hints(function)
    assert {*inspect.signature(function).parameters, "return"} == {*hints}
    first = (inspect.getdoc(function) or "").splitlines()[0]
    assert first.endswith("."), first


def test_the_lines_of_the_readme_run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    (code,) = re.findall(r"```python\n(.+?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)
    assert len([line for line in code.splitlines() if line]) == 5
    names: dict[str, Any] = {}
    exec(code, names)  # noqa: S102 - this project's own README
    answer = names["answer"]
    assert capsys.readouterr().out == api.text(answer) + "\n"
    assert {*names["seats"], *(one.item for one in answer.more.left_out)} == {*api.load(DEMO).part}
    assert "</svg>" in names["svg"]


def printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
) -> str:
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr(sys, "argv", ["slotfit", *command.split()])
    with pytest.raises(SystemExit):
        run()
    return capsys.readouterr().out


CATALOG = api.catalog()


@pytest.mark.parametrize(
    ("command", "answer"),
    [
        ("check hba-8i-sas3 workstation", lambda: api.check("hba-8i-sas3", "workstation", CATALOG)),
        ("carriers workstation", lambda: api.carriers("workstation", CATALOG)),
        (
            "catalog list riser",
            lambda: api.listed(CATALOG, api.CatalogQuery(kind="riser")),
        ),
        ("catalog lint workstation", lambda: api.lint(CATALOG, ["workstation"])),
        (
            f"why {DEMO} nic-10 slot1 --seconds {SECONDS}",
            lambda: api.why(api.load(DEMO), "nic-10", "slot1", SECONDS),
        ),
    ],
    ids=lambda value: value.split(" --")[0] if isinstance(value, str) else "",
)
def test_an_answer_is_said_as_its_command_says_it(
    command: str, answer: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = printed(monkeypatch, capsys, command)
    assert said == api.text(answer())
    assert printed(monkeypatch, capsys, f"{command} --json") == api.json(answer())


def test_a_page_is_made_of_a_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    sheet = api.sheet(api.load(DEMO), seconds=SECONDS)
    assert api.page(sheet).rstrip().endswith("</html>")
    with pytest.raises(TypeError, match="SheetAnswer has no text"):
        api.text(sheet)


@pytest.mark.parametrize("render", [api.text, api.json, api.page, api.picture])
def test_what_cannot_be_rendered_is_a_type_error_that_says_so(render: Any) -> None:
    with pytest.raises(TypeError, match=r"list has no \w+; these have: \w+"):
        render([])


NO_WINDOWS = "examples/sequence-no-way/build.yaml"


def wrong(name: str) -> object:
    """A call with one mistake in what is asked."""
    catalog, demo = api.catalog(), api.load(DEMO)
    match name:
        case "part":
            return api.why(demo, "nope", "slot2", SECONDS)
        case "receptacle":
            return api.why(demo, "nic-25", "sloot2", SECONDS)
        case "kind of file":
            return api.new("foo", catalog)
        case "shown":
            return api.show(catalog, DEMO)
        case _:
            answer = api.sequence(api.load(NO_WINDOWS), None, SECONDS)
            return api.page(answer) if name == "page" else api.picture(answer)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("part", "there is no part nope"),
        ("receptacle", "there is no receptacle sloot2; did you mean slot2?"),
        ("kind of file", "foo is none of board, build, part, chassis, power-supply"),
        ("shown", "describes a build"),
        ("page", "no windows to draw"),
        ("picture", "no windows to draw"),
    ],
)
def test_mistakes_in_what_is_asked_are_told(name: str, says: str) -> None:
    with pytest.raises(api.InputError, match=re.escape(says)):
        wrong(name)


def test_a_path_may_be_text() -> None:
    assert api.planned(DEMO, api.catalog(), SECONDS).build == api.load(DEMO).id
