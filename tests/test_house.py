"""The house rules: what the project's own tools and limits ask of every file."""

import ast
import inspect
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

from slotfit import __version__

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "slotfit"
SOURCES = sorted(PACKAGE.rglob("*.py"))

BODY_LINES = 40

Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def tree_of(path: Path) -> ast.AST:
    return ast.parse(path.read_text("utf-8"))


def in_project(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tool(name: str) -> str:
    """The program installed beside the Python that runs the tests."""
    return str(Path(sys.executable).with_name(name))


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
        ["lint-imports", "--no-logo"],
    ],
    ids=" ".join,
)
def test_tool_is_content(command: list[str]) -> None:
    done = subprocess.run(
        [tool(command[0]), *command[1:]], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"\n{done.stdout}{done.stderr}"


def statements(function: Function) -> list[ast.stmt]:
    """A function's body, its docstring left out."""
    has_docstring = ast.get_docstring(function, clean=False) is not None
    return function.body[1:] if has_docstring else function.body


def long_bodies(path: Path, tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, Function) and (body := statements(node)):
            lines = (body[-1].end_lineno or 0) - body[0].lineno + 1
            if lines > BODY_LINES:
                where = f"{in_project(path)}:{node.lineno}"
                yield f"{where}: {node.name} has {lines} lines, at most {BODY_LINES}"


def calls_of(name: str, path: Path, tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id=called)) if called == name:
                yield f"{in_project(path)}:{node.lineno}: calls {name}()"


def test_no_function_is_too_long() -> None:
    assert [fault for path in SOURCES for fault in long_bodies(path, tree_of(path))] == []


def test_only_the_command_line_prints() -> None:
    elsewhere = [path for path in SOURCES if PACKAGE / "cli" not in path.parents]
    found = [fault for path in elsewhere for fault in calls_of("print", path, tree_of(path))]
    assert found == []


def test_values_and_rules_open_no_file() -> None:
    """The import contracts cannot see the built-in `open`."""
    pure = [path for path in SOURCES if path.parent.name in {"model", "standards", "rules"}]
    assert pure
    assert [fault for path in pure for fault in calls_of("open", path, tree_of(path))] == []


def limited_in(tree: ast.AST) -> dict[str, int]:
    """
    What searches for so many seconds if none are named -> which of its arguments says how many.

    By the names that a module has them under.
    """
    found: dict[str, object] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("slotfit"):
            module = import_module(node.module or "")
            for one in node.names:
                if not hasattr(module, one.name):
                    import_module(f"{node.module}.{one.name}")
                value = getattr(module, one.name)
                names = vars(value) if inspect.ismodule(value) else {}
                found |= {f"{one.asname or one.name}.{name}": verb for name, verb in names.items()}
                found[one.asname or one.name] = value
    return {
        name: [*asked].index("seconds")
        for name, value in found.items()
        if inspect.isfunction(value)
        and "seconds" in (asked := inspect.signature(value).parameters)
        and asked["seconds"].default is not inspect.Parameter.empty
    }


def left_to_the_clock(path: Path, tree: ast.AST) -> Iterator[str]:
    """Calls that search for as long as users have patience, which a busy machine may use up."""
    limited = limited_in(tree)
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="Clock"), args=[ast.Constant(value=int(seconds))]):
                told = not seconds
            case ast.Call() if (name := ast.unparse(node.func)) in limited:
                names = [one.arg for one in node.keywords]
                told = len(node.args) > limited[name] or "seconds" in names
            case _:
                continue
        if not told:
            yield f"{in_project(path)}:{node.lineno}: hand in tests.limits.SECONDS"


def test_no_test_hangs_on_the_clock() -> None:
    """What is compared is searched to the end; where time shall run out, a test says when."""
    tests = [path for path in (ROOT / "tests").rglob("*.py") if path.parent.name != "bench"]
    assert [fault for path in tests for fault in left_to_the_clock(path, tree_of(path))] == []


def test_no_module_is_a_drawer_for_leftovers() -> None:
    drawers = {"utils", "util", "helpers", "common", "misc", "manager", "base"}
    assert [in_project(path) for path in SOURCES if path.stem in drawers] == []


def test_the_guide_lists_the_layers_in_their_order() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    (layers,) = (one["layers"] for one in contracts if one["id"] == "layers")
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    told = re.findall(r"^\| `slotfit/(\w+)(?:/|\.py)` \|", guide, re.MULTILINE)
    assert told == [module for layer in layers for module in layer.split(" : ")]


def test_the_checks_above_can_fail() -> None:
    """Each limit, tried on a text that breaks it by one line."""
    path = PACKAGE / "sample.py"
    function = "def f():\n    '''Doc.'''\n" + "    pass\n" * (BODY_LINES + 1)
    assert list(long_bodies(path, ast.parse(function)))
    assert not list(long_bodies(path, ast.parse(function.removesuffix("    pass\n"))))
    assert list(calls_of("print", path, ast.parse("if x:\n    print(1)")))
    assert not list(calls_of("print", path, ast.parse("reprint(1)")))
    for loaded, call in SEARCHES:
        assert list(left_to_the_clock(path, ast.parse(f"{loaded}\n{call}(problem)"))), call
        told = ast.parse(f"{loaded}\n{call}(problem, seconds=9)")
        assert not list(left_to_the_clock(path, told)), call


SEARCHES = (
    ("from slotfit import api", "api.place"),
    ("from slotfit import api", "api.explain"),
    ("from slotfit.answers.place.plan import best_plan", "best_plan"),
    ("from slotfit.answers.place.plan import best_plan as made", "made"),
    ("from slotfit.answers.no_plan.explain import explain", "explain"),
    ("from slotfit.answers.sequence.pull_first import pull_first", "pull_first"),
)
"""How a test may come by what searches: the import, and the call."""


def test_the_changelog_is_headed_by_this_version() -> None:
    """Or by what is not released yet, while this version is in the making."""
    changelog = (ROOT / "CHANGELOG.md").read_text("utf-8")
    headings = re.findall(r"^## \[(.+?)\]", changelog, re.MULTILINE)
    assert headings[0] == ("Unreleased" if ".dev" in __version__ else __version__)
