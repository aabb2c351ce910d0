"""
The pages of docs/reference that follow from the code: file formats, rules, commands, JSON, Python.

`pytest tests/docs --update` writes them anew.
"""

from __future__ import annotations

import dataclasses
import inspect
import types
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from slotfit import api
from slotfit.answers.catalog.schema import DESCRIBED, KINDS, class_text, field_texts
from slotfit.load.findings import branches, may_spread
from slotfit.model import words
from slotfit.model.board import read_split
from slotfit.model.entity import Entity
from slotfit.model.machine import read_names
from slotfit.model.part import read_demand, read_links, read_plug
from slotfit.model.spread import MaySpread, TypicalAndWorst
from slotfit.model.units import unit_named
from slotfit.rule import SeatRule
from slotfit.rulebook import RULES
from slotfit.standards.forms import FORMS, PLUG_FORMS, plug_fits

VOCABULARIES = {"Form": words.Form, "PartClass": words.PartClass, "Stage": words.Stage}

ONE_WORD: dict[Callable[[Any], Any], str] = {
    read_plug: "`cem x8`",
    read_links: "`x8`, `4x4`, `x8x8`",
    read_split: "`x8x8`",
    read_demand: "a number for either direction",
    read_names: "one name",
}
"""Function that reads a short form -> how it is written."""

GENERATED = "<!-- Written from the code by `pytest tests/docs --update`. -->\n"


def anchor(name: str) -> str:
    return f"[{title_of(name)}](#{title_of(name).lower().replace(' ', '-')})"


def title_of(name: str) -> str:
    """`BoardReceptacle` -> `Board receptacle`."""
    spaced = "".join(
        f" {one.lower()}" if one.isupper() else one for one in name.removesuffix("Spec")
    )
    return spaced.strip().capitalize()


def row(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    head = list(head)
    return row(*head) + "|" + "---|" * len(head) + "\n" + "".join(row(*one) for one in rows) + "\n"


# --- file formats ---------------------------------------------------------------------------------


def files_page() -> str:
    """Every kind of file, every field."""
    text = f"# File formats\n\n{GENERATED}\n{INTRODUCTION}\n"
    seen: set[type[Entity]] = set()
    for kind, model in KINDS.items():
        text += f"## `kind: {kind}`\n\n"
        for entity in reached(model):
            if entity not in seen:
                seen.add(entity)
                text += section(entity)
    return text + vocabularies()


INTRODUCTION = """\
One YAML file describes one thing; its `kind` says what. A catalog's file is called as its `id`.
Only plain YAML: no anchors, tags or merge keys. A field that is left out is *not known*, which is
never zero: `[]` says "none there", `0` says zero. Where a field can be written in one word, the
table says so. For editors: `slotfit catalog schema KIND` prints the same as JSON Schema, and a
first line `# yaml-language-server: $schema=FILE` leads them to it (`slotfit new` writes that line).
"""


def reached(model: type[Entity]) -> list[type[Entity]]:
    """The entity and all that can stand in it, in the order of its fields."""
    found = [model]
    for one in found:  # grows while it is walked
        for info in one.model_fields.values():
            found += [inner for inner in entities_in(info.annotation) if inner not in found]
    return found


def entities_in(annotation: Any) -> Iterator[type[Entity]]:
    if may_spread(annotation):
        yield TypicalAndWorst
    for kind in branches(annotation):
        if isinstance(kind, type) and issubclass(kind, Entity):
            yield kind
        elif get_origin(kind) in (tuple, dict):
            for inner in get_args(kind):
                if inner is not Ellipsis:
                    yield from entities_in(inner)


def section(model: type[Entity]) -> str:
    texts = field_texts(model)
    rows = []
    for name, info in model.model_fields.items():
        key = info.alias or name
        kind = (
            "id, file, or written out"
            if (model, name) in DESCRIBED
            else kind_words(annotation_of(info))
        )
        if short := short_form(annotation_of(info)):
            kind += f"; in one word: {short}"
        rows.append((f"`{key}`", kind, unit_named(key), default(info), texts[name]))
    head = ("field", "type", "unit", "if left out", "meaning")
    return f"### {title_of(model.__name__)}\n\n{class_text(model)}\n\n" + table(head, rows)


def annotation_of(info: Any) -> Any:
    """The field's type with the constraints that pydantic keeps beside it."""
    return Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation


def short_form(annotation: Any) -> str:
    """How the field is written in one word; empty if it is not."""
    for one in (*getattr(annotation, "__metadata__", ()), *get_args(annotation)):
        if found := ONE_WORD.get(getattr(one, "func", len)):
            return found
        if found := short_form(one):
            return f"each {found}" if get_origin(annotation) is tuple else found
    return ""


def default(info: Any) -> str:
    if info.is_required():
        return "required"
    value = info.default
    if value is None or value in ((), {}) or isinstance(value, Entity):
        return ""
    return ", ".join(map(str, value)) if isinstance(value, tuple) else f"`{str(value).lower()}`"


def kind_words(annotation: Any, limits: str = "") -> str:
    """
    What may be written: `whole number, 1 to 32`, `list of Link`, `one of a, b`.

    That a thing may be left out is said elsewhere.
    """
    origin, args = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        alone = kind_words(args[0], limits_of(args[1:]) or limits)
        varies = any(isinstance(one, MaySpread) for one in args[1:])
        return f"{alone}, or {anchor(TypicalAndWorst.__name__)}" if varies else alone
    if origin in (Union, types.UnionType):
        texts = [kind_words(one, limits) for one in args if one is not type(None)]
        return " or ".join(dict.fromkeys(texts))
    if origin is Literal:
        return literal_words(annotation)
    if origin is tuple:
        return f"list of {inner_words(args[0])}"
    if origin is dict:
        return f"mapping of {inner_words(args[0])} to {inner_words(args[1])}"
    if isinstance(annotation, type) and issubclass(annotation, Entity):
        return anchor(annotation.__name__)
    plain = {int: "whole number", float: "number", str: "text", bool: "`true` or `false`"}
    word = "name" if annotation is str and limits == "name" else plain.get(annotation, "anything")
    return f"{word}, {limits}" if limits and limits != "name" else word


def inner_words(annotation: Any) -> str:
    return kind_words(annotation).replace("one of ", "")


def literal_words(annotation: Any) -> str:
    for name, vocabulary in VOCABULARIES.items():
        if annotation == vocabulary:
            return anchor(name)
    listed = ", ".join(f"`{one}`" for one in get_args(annotation))
    return f"one of {listed}" if len(get_args(annotation)) > 1 else listed


def limits_of(metadata: Iterable[Any]) -> str:
    """`1 to 32`, `more than 0`, or `name` for what is an id."""
    found: dict[str, Any] = {}
    for one in flat(metadata):
        for word in ("ge", "gt", "le", "lt", "pattern"):
            if (value := getattr(one, word, None)) is not None:
                found[word] = value
    if "pattern" in found:
        return "name" if found["pattern"].startswith("^[A-Za-z0-9]") else ""
    low = f"{found['ge']:g}" if "ge" in found else ""
    low = f"more than {found['gt']:g}" if "gt" in found else low
    high = f"{found['le']:g}" if "le" in found else ""
    if low and high:
        return f"{low} to {high}"
    return f"{low} or more" if low else f"at most {high}" if high else ""


def flat(metadata: Iterable[Any]) -> Iterator[Any]:
    """Constraints, those inside `Field(...)` included."""
    for one in metadata:
        yield one
        yield from getattr(one, "metadata", ())


def vocabularies() -> str:
    text = f"## Vocabularies\n\n### {title_of('Form')}\n\n{FORM_INTRODUCTION}\n"
    rows = [
        (
            f"`{form}`",
            made.title,
            ", ".join(f"x{lanes}" for lanes in made.lanes) or "none",
            ", ".join(made.buses) or "none",
            str(made.max_generation or ""),
            ", ".join(f"`{one}`" for one in FORMS if one != form and plug_fits(form, one)),
            str(made.source),
        )
        for form, made in PLUG_FORMS.items()
        if form in get_args(words.Form)
    ]
    columns = (
        "form",
        "what it is",
        "lanes",
        "buses",
        "newest PCIe",
        "plug also goes into",
        "source",
    )
    text += table(columns, rows)
    for name in ("PartClass", "Stage"):
        listed = "\n".join(f"- `{one}`" for one in get_args(VOCABULARIES[name]))
        text += f"### {title_of(name)}\n\n{listed}\n\n"
    return text.rstrip() + "\n"


FORM_INTRODUCTION = """\
The shape of a plug or a receptacle. `lanes` are the widths it is made in; a file can say less is
wired. "Newest PCIe" is what its contacts are good for in practice, where somebody says so. A plug
goes into a receptacle of its own form, and into those that the table names beside it.
"""


# --- rules ----------------------------------------------------------------------------------------


def rules_page() -> str:
    text = f"# Rules\n\n{GENERATED}\n{RULES_INTRODUCTION}\n"
    for rule in RULES:
        judges = "one part in one receptacle" if isinstance(rule, SeatRule) else "the whole plan"
        weight = WEIGHTS[rule.severity]
        text += f"## {rule.id}: {rule.title}\n\n{rule.why}\n\n"
        text += f"Judges {judges}; {weight}. Source: {rule.source}.\n\n"
    return text.rstrip() + "\n"


WEIGHTS = {
    "forbids": "forbids",
    "darkens": "forbids, though the part can be there and draws its watts",
    "asks": "asks: it was wished for",
}
"""What a rule's severity comes to."""

RULES_INTRODUCTION = """\
What makes a plan impossible, or makes it rest on something that is not proven. A rule that judges
one part in one receptacle may also say "not known": the plan then rests on that fact and tells how
to find it out. The same rules serve `place`, `check`, `why`, `compare` and `sequence`; none is
written twice. The marks behind a source are those of `catalog/SOURCES.md`.
"""


# --- commands -------------------------------------------------------------------------------------


def commands_page() -> str:
    """What each verb prints when it is asked for help."""
    from slotfit.cli.main import VERBS  # noqa: PLC0415
    from tests.docs.console import run  # noqa: PLC0415

    text = f"# Commands\n\n{GENERATED}\n{COMMANDS_INTRODUCTION}\n"
    for verb in VERBS:
        verbs = [[verb, *under] for under in ([], *SUBCOMMANDS.get(verb, []))]
        for words_ in verbs:
            _, printed = run(["slotfit", *words_, "--help"])
            block = "\n".join(line.rstrip() for line in printed).strip("\n")
            text += (
                f"{'#' * (len(words_) + 1)} slotfit {' '.join(words_)}\n\n```text\n{block}\n```\n\n"
            )
    return text.rstrip() + "\n"


UNDER_CATALOG = ("list", "search", "show", "lint", "audit", "add", "schema")
SUBCOMMANDS = {"catalog": [[name] for name in UNDER_CATALOG]}

COMMANDS_INTRODUCTION = """\
Every command has `--help` with an example, and [exit codes](exit-codes.md) that a script can rely
on. `--json` prints [JSON](json.md). `--catalog DIR` adds a folder of descriptions, after the one
that came along, your own and the project's; where a later one overrides an id, that is told.
"""


# --- JSON -----------------------------------------------------------------------------------------


@cache
def answers() -> dict[str, type]:
    """Command -> the dataclass whose fields its `--json` prints."""
    from slotfit.answers.catalog.add import AddAnswer  # noqa: PLC0415
    from slotfit.answers.catalog.answer import (  # noqa: PLC0415
        LintAnswer,
        ListAnswer,
        ShowAnswer,
    )
    from slotfit.answers.catalog.audit import AuditAnswer  # noqa: PLC0415
    from slotfit.answers.check.answer import CarriersAnswer, CheckAnswer  # noqa: PLC0415
    from slotfit.answers.compare.answer import CompareAnswer  # noqa: PLC0415
    from slotfit.answers.headroom.answer import HeadroomAnswer  # noqa: PLC0415
    from slotfit.answers.no_plan.answer import ChoicesAnswer, NoPlanAnswer  # noqa: PLC0415
    from slotfit.answers.place.answer import PlaceAnswer  # noqa: PLC0415
    from slotfit.answers.read.report import ReadAnswer  # noqa: PLC0415
    from slotfit.answers.sequence.answer import (  # noqa: PLC0415
        PullFirstAnswer,
        SequenceAnswer,
    )
    from slotfit.answers.verify.answer import VerifyAnswer  # noqa: PLC0415
    from slotfit.answers.why.answer import WhyAnswer  # noqa: PLC0415

    return {
        "place": PlaceAnswer,
        "place, key `explanation` (no plan)": NoPlanAnswer,
        "place, key `choices` (--also, --elsewhere, --if-false)": ChoicesAnswer,
        "check": CheckAnswer,
        "carriers": CarriersAnswer,
        "why": WhyAnswer,
        "compare": CompareAnswer,
        "headroom": HeadroomAnswer,
        "sequence": SequenceAnswer,
        "sequence --pull-first": PullFirstAnswer,
        "read": ReadAnswer,
        "verify": VerifyAnswer,
        "catalog list and search": ListAnswer,
        "catalog show": ShowAnswer,
        "catalog lint": LintAnswer,
        "catalog audit": AuditAnswer,
        "catalog add": AddAnswer,
    }


def json_page() -> str:
    text = f"# JSON\n\n{GENERATED}\n{JSON_INTRODUCTION}\n"
    seen: set[type] = set()
    for command, root in answers().items():
        text += f"## {command}\n\n"
        for view in views_in(root):
            if view not in seen:
                seen.add(view)
                text += view_section(view)
            elif view is root:
                text += f"As {view_link(view)}.\n\n"
    return text.rstrip() + "\n"


JSON_INTRODUCTION = """\
`--json` prints one object. `schema_version` is raised when a key changes its meaning or goes away,
not when one is added. Quantities have their unit in the key: `_mb_s` megabytes per second, `_w`
watts. `null` means not known, never zero. `catalog show --json` prints `file` and `described`: the
description by the keys of its [file format](files.md), short forms spelled out. A JSON Schema
of each lies in `catalog/schema`: `answer-place.json` and so on.
"""


def views_in(root: type) -> list[type]:
    found = [root]
    for one in found:  # grows while it is walked
        for hint in get_type_hints(one).values():
            found += [inner for inner in records_in(hint) if inner not in found]
    return found


def records_in(annotation: Any) -> Iterator[type]:
    if is_record(annotation):
        yield annotation
    for inner in get_args(annotation):
        yield from records_in(inner)


def is_record(annotation: Any) -> bool:
    """A data class or a named tuple: both are objects in JSON."""
    return isinstance(annotation, type) and (
        dataclasses.is_dataclass(annotation) or hasattr(annotation, "_fields")
    )


def fields_of(view: type) -> list[str]:
    named: tuple[str, ...] | None = getattr(view, "_fields", None)
    return [*named] if named else [one.name for one in dataclasses.fields(view)]


def view_title(view: type) -> str:
    """Its name; with its answer's where another view is called so too."""
    everyone = {one for root in answers().values() for one in views_in(root)}
    alike = [one for one in everyone if one.__name__ == view.__name__]
    of = view.__module__.removesuffix(".view").rpartition(".")[2].removesuffix("_view")
    return title_of(view.__name__) + (f" of {of}" if len(alike) > 1 else "")


def view_link(view: type) -> str:
    title = view_title(view)
    return f"[{title}](#{title.lower().replace(' ', '-')})"


def view_section(view: type) -> str:
    hints, texts = get_type_hints(view), field_texts(view)
    rows = [(f"`{name}`", json_words(hints[name]), texts.get(name, "")) for name in fields_of(view)]
    title = f"### {view_title(view)}\n\n{class_text(view)}\n\n"
    return title + table(("key", "type", "meaning"), rows)


def json_words(annotation: Any) -> str:
    """The type as JSON has it."""
    origin, args = get_origin(annotation), get_args(annotation)
    if origin in (Union, types.UnionType):
        return " or ".join("null" if one is type(None) else json_words(one) for one in args)
    if origin is Literal:
        return ", ".join(f'`"{one}"`' for one in args)
    if origin is tuple and args[-1:] != (Ellipsis,):
        return "[" + ", ".join(map(json_words, args)) + "]"
    if origin in (tuple, list):
        return f"list of {json_words(args[0])}"
    if origin is not None and issubclass(origin, dict | Mapping):
        return f"object: {json_words(args[0])} to {json_words(args[1])}"
    if is_record(annotation):
        return view_link(annotation)
    plain = {int: "whole number", float: "number", str: "text", bool: "true or false"}
    return plain.get(annotation, "any")


# --- from Python ----------------------------------------------------------------------------------

FROM_PYTHON = {
    "Reading": ("load", "catalog", "preferring", "planned", "planned_machine", "seen"),
    "Answers": (
        "place", "explain", "check", "carriers", "why", "compare", "headroom", "sequence",
        "pull_first", "sheet", "read", "verify",
    ),
    "The catalog": ("listed", "show", "lint", "audit", "add", "new", "schema", "collect"),
    "Saying them": ("text", "json", "metrics", "page", "picture"),
    "What is handed in": (
        "MachineOptions", "BoardsWanted", "AdditionsWanted", "CatalogQuery", "Shop", "InputError",
    ),
}  # fmt: skip
"""Heading -> names of `slotfit.api` below it."""


def api_page() -> str:
    """Every name of `slotfit.api`."""
    told = [name for names in FROM_PYTHON.values() for name in names]
    assert sorted(told) == api.__all__, "FROM_PYTHON has each name once"
    text = f"# From Python\n\n{GENERATED}\n{inspect.getdoc(api)}\n\n{ANSWERS_TOLD}\n"
    for heading, names in FROM_PYTHON.items():
        text += f"## {heading}\n\n"
        for name in names:
            value = getattr(api, name)
            signature = f"```python\n{signature_text(name, value)}\n```\n\n"
            text += f"### `{name}`\n\n{signature}{inspect.getdoc(value)}\n\n"
            if isinstance(value, type) and dataclasses.is_dataclass(value):
                texts = field_texts(value)
                rows = [(f"`{key}`", texts[key]) for key in texts]
                text += table(("field", "meaning"), rows) if any(texts.values()) else ""
    return text.rstrip("\n") + "\n"


ANSWERS_TOLD = """\
The fields of answers are those of their JSON: [JSON](json.md). A command's exit code is not among
them; `verdict` says what it depends on. `progress` is called with the name of a stage, its number
from 0, and how many there are; `stop.asked` is read between two searches.
"""


def signature_text(name: str, value: Callable[..., object]) -> str:
    """One line, or one a parameter where that is too long."""
    signature = inspect.signature(value)
    if isinstance(value, type) and issubclass(value, Exception):
        return name
    told = [parameter_text(one) for one in signature.parameters.values()]
    if any(one.kind is one.KEYWORD_ONLY for one in signature.parameters.values()):
        first = [one.kind is one.KEYWORD_ONLY for one in signature.parameters.values()].index(True)
        told.insert(first, "*")
    returned = "" if isinstance(value, type) else f" -> {signature.return_annotation}"
    line = f"{name}({', '.join(told)}){returned}"
    return line if len(line) <= 88 else f"{name}(\n    " + ",\n    ".join(told) + f",\n){returned}"


def parameter_text(one: inspect.Parameter) -> str:
    """`seconds: float = 60.0`."""
    text = f"{one.name}: {one.annotation}"
    if one.default is one.empty:
        return text
    named = getattr(one.default, "__name__", None)
    if dataclasses.is_dataclass(one.default) or isinstance(one.default, Path):
        named = f"{'Path' if isinstance(one.default, Path) else type(one.default).__name__}()"
    return f"{text} = {named or repr(one.default)}"


PAGES: dict[str, Callable[[], str]] = {
    "api.md": api_page,
    "files.md": files_page,
    "rules.md": rules_page,
    "commands.md": commands_page,
    "json.md": json_page,
}
"""Page -> what it must say."""
