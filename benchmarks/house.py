"""
How large slotfit is, and how far a question travels in it: `python benchmarks/house.py PATH`.

PATH is any checkout. Its sources are read and not imported, so that an old commit and a new one are
counted alike. With `--run` its commands are run as well, by the Python that runs this.
"""

from __future__ import annotations

import argparse
import ast
import io
import json
import math
import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import tokenize
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

Function = ast.FunctionDef | ast.AsyncFunctionDef
Figures = dict[str, int | float]

RULE_ID = re.compile(r"\b[A-Z]{2,6}\d{3}\b")
"""What a string constant in `rules/` looks like where it names a rule."""
LATE_IMPORT = "PLC0415"
FEW_FIELDS = 3
"""A class with fewer fields than these copies nothing worth a word."""
NOT_CODE = frozenset(["COMMENT", "NL", "NEWLINE", "INDENT", "DEDENT", "ENDMARKER"])
"""Names of the tokens that make no line a line of code."""


@dataclass(frozen=True, slots=True)
class Module:
    """One source file of the package, parsed."""

    path: Path
    """Relative to the package's folder."""
    text: str
    tree: ast.Module

    @property
    def in_rules(self) -> bool:
        """Whether it is in the folder of rules."""
        return "rules" in self.path.parts[:-1]


@dataclass(frozen=True, slots=True)
class Fields:
    """The fields of one class, each with its annotation as text."""

    module: Path
    name: str
    bases: frozenset[str]
    """Last names of the classes that it is derived from."""
    fields: frozenset[tuple[str, str]]

    def __str__(self) -> str:
        return f"{self.name} ({self.module})"


def modules_of(checkout: Path) -> list[Module]:
    """Every source file of the package; SystemExit where there is none."""
    package = checkout / "slotfit"
    found = [
        Module(path.relative_to(package), text, ast.parse(text))
        for path in sorted(package.rglob("*.py"))
        for text in [path.read_text("utf-8")]
    ]
    if not found:
        sys.exit(f"{package}: no Python files")
    return found


def nodes(modules: Sequence[Module]) -> Iterator[tuple[Module, ast.AST]]:
    """Every node of every module."""
    return ((module, node) for module in modules for node in ast.walk(module.tree))


# --- lines -------------------------------------------------------------------


def span(node: ast.stmt) -> range:
    """The numbers of the lines on which a statement stands."""
    return range(node.lineno, (node.end_lineno or node.lineno) + 1)


def is_text(node: ast.stmt) -> bool:
    """A docstring, or what is written below an attribute: a text that is a statement."""
    match node:
        case ast.Expr(value=ast.Constant(value=str())):
            return True
    return False


def code_lines(module: Module) -> set[int]:
    """The numbers of the lines that hold code: no blanks, docstrings or comments."""
    tokens = tokenize.generate_tokens(io.StringIO(module.text).readline)
    held = {
        number
        for token in tokens
        if tokenize.tok_name[token.type] not in NOT_CODE
        for number in range(token.start[0], token.end[0] + 1)
    }
    texts = {
        number
        for node in ast.walk(module.tree)
        if isinstance(node, ast.stmt) and is_text(node)
        for number in span(node)
    }
    blank = {n for n, line in enumerate(module.text.splitlines(), 1) if not line.strip()}
    return held - texts - blank


def import_lines(module: Module) -> set[int]:
    """The numbers of the lines on which import statements stand."""
    return {
        number
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for number in span(node)
    }


def body_lines(function: Function) -> int:
    """Lines of a function's body, its docstring left out."""
    has_docstring = ast.get_docstring(function, clean=False) is not None
    body = function.body[1:] if has_docstring else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def bodies(modules: Sequence[Module]) -> dict[str, int]:
    """Every function, and the lines of its body."""
    return {
        f"{node.name} ({module.path}:{node.lineno})": body_lines(node)
        for module, node in nodes(modules)
        if isinstance(node, Function)
    }


def reached_by(share: float, numbers: Sequence[int]) -> int:
    """The least of the numbers that this share of them does not pass; 0 of none."""
    return sorted(numbers)[math.ceil(share * len(numbers)) - 1] if numbers else 0


# --- imports inside functions ------------------------------------------------


def late_import_marks(module: Module) -> int:
    """Comments that allow an import which is not at the top."""
    tokens = tokenize.generate_tokens(io.StringIO(module.text).readline)
    return sum(token.type == tokenize.COMMENT and LATE_IMPORT in token.string for token in tokens)


def late_imports(module: Module) -> int:
    """Import statements inside functions, allowed by a comment or otherwise."""
    inside = {
        (node.lineno, node.col_offset)
        for function in ast.walk(module.tree)
        if isinstance(function, Function)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }
    return len(inside)


# --- rules named -------------------------------------------------------------


def constants(module: Module) -> Iterator[str]:
    """String constants, docstrings and texts below attributes left out."""
    texts = {
        id(node.value)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Expr) and is_text(node)
    }
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in texts:
            yield node.value


def rule_ids(modules: Sequence[Module]) -> frozenset[str]:
    """The ids that stand as whole constants in the folder of rules."""
    found = (text for module in modules if module.in_rules for text in constants(module))
    return frozenset(text for text in found if RULE_ID.fullmatch(text))


def rules_named(modules: Sequence[Module], ids: frozenset[str]) -> dict[str, list[str]]:
    """Module outside `rules/` -> the ids named in its constants, as often as they stand there."""
    named = {
        str(module.path): [
            word for text in constants(module) for word in RULE_ID.findall(text) if word in ids
        ]
        for module in modules
        if not module.in_rules
    }
    return {path: words for path, words in named.items() if words}


def whole_rule_ids(modules: Sequence[Module], ids: frozenset[str]) -> int:
    """Constants outside `rules/` that are a rule's id and nothing else."""
    return sum(
        text in ids for module in modules if not module.in_rules for text in constants(module)
    )


# --- classes -----------------------------------------------------------------


def classes(modules: Sequence[Module]) -> list[Fields]:
    """Every class, nested ones too, with the fields written in its own body."""
    return [
        Fields(module.path, node.name, bases_of(node), frozenset(fields_of(node)))
        for module, node in nodes(modules)
        if isinstance(node, ast.ClassDef)
    ]


def bases_of(node: ast.ClassDef) -> frozenset[str]:
    """The last name of each base: `Entity` of `entity.Entity` and of `Entity[int]`."""
    written = (ast.unparse(base).partition("[")[0] for base in node.bases)
    return frozenset(name.rpartition(".")[2] for name in written)


def fields_of(node: ast.ClassDef) -> Iterator[tuple[str, str]]:
    """Name and annotation of each annotated name in a class's body."""
    for line in node.body:
        match line:
            case ast.AnnAssign(target=ast.Name(id=name), annotation=annotation):
                yield name, ast.unparse(annotation)


def names_twice(found: Sequence[Fields]) -> dict[str, list[str]]:
    """Class names that stand more than once, and where."""
    counted = Counter(one.name for one in found)
    return {
        name: [str(one.module) for one in found if one.name == name]
        for name, count in sorted(counted.items())
        if count > 1
    }


def ancestors(found: Sequence[Fields]) -> dict[str, set[str]]:
    """Class name -> the names of all that it descends from, as far as they are known here."""
    above: dict[str, set[str]] = {}
    for one in found:
        above.setdefault(one.name, set()).update(one.bases)
    for reached in above.values():
        while more := set().union(*(above.get(name, ()) for name in reached)) - reached:
            reached.update(more)
    return above


def copies(found: Sequence[Fields]) -> dict[str, str]:
    """
    Class -> the class in which most of its fields stand, name and type alike.

    Only where that is at least half of them; a class's ancestors and descendants do not count.
    """
    above = ancestors(found)
    with_fields = [one for one in found if len(one.fields) >= FEW_FIELDS]
    pairs = (
        (one, other)
        for one in with_fields
        for other in with_fields
        if one is not other
        and 2 * len(one.fields & other.fields) >= len(one.fields)
        and other.name not in above[one.name]
        and one.name not in above[other.name]
    )
    nearest = sorted(pairs, key=lambda pair: len(pair[0].fields & pair[1].fields))
    return {str(one): str(other) for one, other in nearest}


# --- the count ---------------------------------------------------------------


def counted(modules: Sequence[Module]) -> Figures:
    """What can be read off the sources."""
    lengths = list(bodies(modules).values())
    ids = rule_ids(modules)
    named = rules_named(modules, ids)
    found = classes(modules)
    return {
        "code lines": sum(len(code_lines(module)) for module in modules),
        "lines of imports": sum(len(import_lines(module)) for module in modules),
        "modules": len(modules),
        "lines of a module, median": statistics.median(len(m.text.splitlines()) for m in modules),
        "functions": len(lengths),
        "lines of a body, median": statistics.median(lengths) if lengths else 0,
        "lines of a body, nine of ten": reached_by(0.9, lengths),
        "lines of a body, longest": max(lengths, default=0),
        "late imports, marks": sum(map(late_import_marks, modules)),
        "late imports, statements": sum(map(late_imports, modules)),
        "rules": len(ids),
        "rule ids elsewhere, whole constants": whole_rule_ids(modules, ids),
        "rule ids elsewhere, words in constants": len(list(chain.from_iterable(named.values()))),
        "modules that name rules": len(named),
        "classes": len(found),
        "class names twice or more": len(names_twice(found)),
        "classes half copied": len(copies(found)),
        "classes called ...View": sum(one.name.endswith("View") for one in found),
    }


def listed(modules: Sequence[Module]) -> Iterator[str]:
    """What stands behind the counts that are lists."""
    found = classes(modules)
    yield "Modules that name rules:"
    for path, words in rules_named(modules, rule_ids(modules)).items():
        yield f"  {path}: {len(words)}"
    yield "Class names twice or more:"
    for name, where in names_twice(found).items():
        yield f"  {name}: {', '.join(where)}"
    yield "Classes half copied:"
    for one, other in sorted(copies(found).items()):
        yield f"  {one}, from {other}"
    yield "Longest bodies:"
    lengths = bodies(modules)
    for name in sorted(lengths, key=lambda name: (-lengths[name], name))[:5]:
        yield f"  {name}: {lengths[name]}"


# --- what one run passes, and what it takes ----------------------------------

TRACED = """
import inspect, json, os, runpy, sys, threading
package, told, *sys.argv = sys.argv[1:]
passed, main = set(), os.getpid()

def note(frame, event, _):
    if event == "call":
        code = frame.f_code
        if not code.co_name.startswith("<") and code.co_filename.startswith(package):
            is_function = bool(code.co_flags & inspect.CO_OPTIMIZED)
            passed.add((code.co_filename, code.co_qualname, code.co_firstlineno, is_function))

def write():
    sys.setprofile(None)
    if os.getpid() == main:
        with open(told, "w") as file:
            json.dump(sorted(passed), file)

def leave(code):
    write()
    really_leave(code)

really_leave, os._exit = os._exit, leave
threading.setprofile(note)
sys.setprofile(note)
try:
    runpy.run_module("slotfit", run_name="__main__", alter_sys=True)
finally:
    write()
"""
"""Runs `python -m slotfit` and notes which functions below a folder are called, in any thread."""

DEMO = "examples/demo/build.yaml"
ROUNDS = 7
ANSWERED = frozenset({0, 4, 5})
"""Exit codes of a yes, with or without an if."""


def surroundings(checkout: Path) -> dict[str, str]:
    """The environment in which `slotfit` is the checkout's."""
    return os.environ | {"PYTHONPATH": str(checkout), "PYTHONDONTWRITEBYTECODE": ""}


def passed(checkout: Path) -> Figures:
    """
    Functions that one `place` of the demo calls, and the modules in which they stand.

    Classes made on the way, by modules that are loaded late, are counted with them in a second
    pair: they are run once, as functions are called. Code of modules, comprehensions and lambdas
    are left out.
    """
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder, "passed.json")
        command = [sys.executable, "-c", TRACED, f"{checkout / 'slotfit'}{os.sep}", str(told)]
        run(checkout, [*command, "slotfit", "place", str(checkout / DEMO)])
        called = json.loads(told.read_text("utf-8"))
    if not called:
        sys.exit(f"{checkout}: nothing of it was called; is another slotfit in its stead?")
    functions = [file for file, *_, is_function in called if is_function]
    return {
        "functions passed by place": len(functions),
        "modules passed by place": len(set(functions)),
        "functions passed, classes made": len(called),
        "modules passed, classes made": len({file for file, *_ in called}),
    }


def run(checkout: Path, command: Sequence[str]) -> float:
    """Processor seconds of a process and its children; SystemExit where it has no answer."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        command,
        cwd=checkout,
        env=surroundings(checkout),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode not in ANSWERED:
        sys.exit(f"{' '.join(command[:2])} ...: exit code {done.returncode}\n{done.stderr}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def ratios(checkout: Path) -> Figures:
    """How long whole commands take, against the bare import of the libraries that they need."""
    commands = {
        "place": ["-m", "slotfit", "place", str(checkout / DEMO)],
        "cp_model": ["-c", "from ortools.sat.python import cp_model"],
        "check": ["-m", "slotfit", "check", "carrier-m2x4-gen4", "workstation"],
        "typer": ["-c", "import pydantic, typer"],
    }
    least = dict.fromkeys(commands, math.inf)
    for counts in (False, *[True] * ROUNDS):  # the first round leaves bytecode behind
        for name, command in commands.items():
            took = run(checkout, [sys.executable, *command])
            if counts:
                least[name] = min(least[name], took)
    return {
        "place on the demo, of an import of cp_model": round(least["place"] / least["cp_model"], 2),
        "check, of an import of pydantic and typer": round(least["check"] / least["typer"], 2),
    }


# --- the command -------------------------------------------------------------


def table(figures: Mapping[str, int | float]) -> str:
    """The figures as a table in Markdown."""
    width = max(map(len, figures))
    head = [f"| {'':{width}} | {'':>8} |", f"|{'-' * (width + 2)}|{'-' * 9}:|"]
    return "\n".join([*head, *(f"| {name:{width}} | {f:>8,g} |" for name, f in figures.items())])


def main(arguments: Sequence[str] | None = None) -> None:
    """Print what was counted."""
    parser = argparse.ArgumentParser(description="Count what slotfit's sources hold.")
    parser.add_argument("path", type=Path, help="a checkout of slotfit")
    parser.add_argument("--run", action="store_true", help="run and time place and check as well")
    parser.add_argument("--list", action="store_true", help="name what was counted")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    asked = parser.parse_args(arguments)
    checkout = asked.path.resolve()
    modules = modules_of(checkout)
    figures = counted(modules) | (passed(checkout) | ratios(checkout) if asked.run else {})
    told = json.dumps(figures, indent=2) if asked.json else table(figures)
    named = "\n".join(["", *listed(modules)]) if asked.list else ""
    sys.stdout.write(f"{told}\n{named}".rstrip() + "\n")


if __name__ == "__main__":
    main()
