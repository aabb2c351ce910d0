"""JSON Schema (draft 2020-12) of each kind of file and each answer, made from their types."""

from __future__ import annotations

import ast
import inspect
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from importlib import import_module
from itertools import zip_longest
from types import ModuleType
from typing import Any, get_args

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from slotfit.model import board, build, machine, part, words
from slotfit.model.board import Board, read_split
from slotfit.model.build import Addition, Build, BuildPart, Futures
from slotfit.model.entity import Entity
from slotfit.model.machine import BuildMachine, Chassis, PowerSupply, read_names
from slotfit.model.part import PartSpec, read_demand, read_links, read_plug
from slotfit.model.words import Form

VOCABULARIES: tuple[ModuleType, ...] = (words, board, part, machine, build, build)
"""Modules whose named types have texts of their own."""

Declared = tuple[str, ast.expr | None, str]
"""A name, its type, and the text on the line below it."""


@cache
def field_texts(model: type) -> dict[str, str]:
    """
    Field of an entity or dataclass -> its text, those of the classes above included.

    A field without a text of its own has that of its type; one without either is left out.
    """
    found: dict[str, str] = {}
    for above in reversed(model.__mro__):
        for name, kind, text in declared(class_body(above)):
            if full := text or type_text(kind):
                found[name] = full
    return found


def class_body(model: type) -> list[ast.stmt]:
    """The statements of a class of ours; none for one of another package."""
    if not model.__module__.startswith("slotfit."):
        return []
    for statement in tree_of(sys.modules[model.__module__]).body:
        if isinstance(statement, ast.ClassDef) and statement.name == model.__name__:
            return statement.body
    return []


@cache
def tree_of(module: ModuleType) -> ast.Module:
    return ast.parse(inspect.getsource(module))


def declared(body: Iterable[ast.stmt]) -> Iterator[Declared]:
    """Every name that is declared or set."""
    statements = list(body)
    for statement, below in zip_longest(statements, statements[1:]):
        match statement:
            case ast.AnnAssign(target=ast.Name(id=name), annotation=annotation):
                yield name, annotation, text_of(below)
            case ast.Assign(targets=[ast.Name(id=name)]):
                yield name, None, text_of(below)


def text_of(statement: ast.stmt | None) -> str:
    match statement:
        case ast.Expr(value=ast.Constant(value=str(text))):
            return " ".join(text.split())
    return ""


def type_text(annotation: ast.expr | None) -> str:
    """The text of the first named type in an annotation that has one."""
    if annotation is None:
        return ""
    names = (node.id for node in ast.walk(annotation) if isinstance(node, ast.Name))
    return next((text for name in names if (text := type_texts().get(name))), "")


@cache
def type_texts() -> dict[str, str]:
    """Named type -> its text."""
    return {
        name: text
        for module in VOCABULARIES
        for name, _, text in declared(tree_of(module).body)
        if text
    }


def class_text(model: type) -> str:
    """What a class describes: the first paragraph of its docstring."""
    return " ".join((inspect.getdoc(model) or "").split("\n\n")[0].split())


DRAFT = "https://json-schema.org/draft/2020-12/schema"

KINDS: dict[str, type[Entity]] = {
    "part": PartSpec,
    "board": Board,
    "chassis": Chassis,
    "power-supply": PowerSupply,
    "build": Build,
    "futures": Futures,
}
"""What a file's `kind` says -> what it describes."""

ANSWERS = {
    "answer-place": "place.answer.PlaceAnswer",
    "answer-check": "check.answer.CheckAnswer",
    "answer-carriers": "check.answer.CarriersAnswer",
    "answer-why": "why.answer.WhyAnswer",
    "answer-no-plan": "no_plan.answer.NoPlanAnswer",
    "answer-choices": "no_plan.answer.ChoicesAnswer",
    "answer-compare": "compare.answer.CompareAnswer",
    "answer-headroom": "headroom.answer.HeadroomAnswer",
    "answer-sequence": "sequence.answer.SequenceAnswer",
    "answer-pull-first": "sequence.answer.PullFirstAnswer",
    "answer-read": "read.report.ReadAnswer",
    "answer-verify": "verify.answer.VerifyAnswer",
    "answer-catalog-list": "catalog.answer.ListAnswer",
    "answer-catalog-show": "catalog.answer.ShowAnswer",
    "answer-catalog-lint": "catalog.answer.LintAnswer",
    "answer-catalog-audit": "catalog.audit.AuditAnswer",
    "answer-catalog-add": "catalog.add.AddAnswer",
}
"""Answer -> its type, which is what `--json` prints; loaded where its schema is asked for."""

LANES = "0*([1-9]|[12][0-9]|3[0-2])"
FORMS = "|".join(get_args(Form))


def one_word(usual: list[str], pattern: str) -> JsonSchemaValue:
    """A short form: the usual words, for editors to offer, or whatever else has its shape."""
    return {"anyOf": [{"enum": usual}, {"type": "string", "pattern": pattern}]}


SHORT_FORMS: dict[Callable[[Any], Any], JsonSchemaValue] = {
    read_plug: one_word(
        ["cem x1", "cem x4", "cem x8", "cem x16", *(f for f in get_args(Form) if f != "cem")],
        rf"^({FORMS})(\s+x{LANES})?$",
    ),
    read_links: one_word(
        ["x1", "x2", "x4", "x8", "x16", "2x4", "4x4", "x8x8"],
        rf"^([0-9]{{1,2}}x{LANES}|x{LANES}(x{LANES})*)$",
    ),
    read_split: one_word(
        ["x16", "x8x8", "x8x4x4", "x4x4x8", "x4x4x4x4", "x8", "x4x4", "x4"], r"^x\d+(x\d+)*$"
    ),
    read_demand: {"type": "number", "minimum": 0, "maximum": 10_000},
    read_names: {"type": "string"},
}
"""Function that reads a short form -> what may be written for it."""

DESCRIBED: dict[tuple[type[Entity], str], type[Entity]] = {
    (BuildPart, "part"): PartSpec,
    (Addition, "part"): PartSpec,
    (BuildMachine, "board"): Board,
    (BuildMachine, "chassis"): Chassis,
    (BuildMachine, "power_supply"): PowerSupply,
}
"""Fields that take a catalog id, a file's path, or the thing written out."""


def schema_of(kind: str) -> JsonSchemaValue:
    """The schema of a kind of file or of an answer; KeyError for a word that is neither."""
    if kind in ANSWERS:
        made = TypeAdapter(answer_type(kind)).json_schema(schema_generator=FileSchema)
        # What was asked beside it has keys of its own.
        made |= {"additionalProperties": True}
        return {"$schema": DRAFT, "title": f"slotfit {kind.replace('-', ' of ')}", **made}
    made = KINDS[kind].model_json_schema(schema_generator=FileSchema)
    return {"$schema": DRAFT, "title": f"slotfit {kind} file", **made}


def answer_type(name: str) -> type:
    """The class of one of ANSWERS."""
    module, _, kind = ANSWERS[name].rpartition(".")
    found: type = getattr(import_module(f"slotfit.answers.{module}"), kind)
    return found


def schema_text(kind: str) -> str:
    """The JSON Schema of a kind of file, or of an answer such as `answer-place`; else KeyError."""
    return json.dumps(schema_of(kind), indent=1, ensure_ascii=False) + "\n"


class FileSchema(GenerateJsonSchema):
    """Pydantic's generator, told of short forms, of references and of what fields mean."""

    def field_title_should_be_set(self, schema: Any) -> bool:  # noqa: ARG002  pydantic's name
        """No titles: they would only repeat the keys."""
        return False

    def model_schema(self, schema: Any) -> JsonSchemaValue:
        """An entity: each key with its text."""
        model: type[Entity] = schema["cls"]
        made = super().model_schema(schema)
        made.pop("title", None)
        made["description"] = class_text(model)
        texts = field_texts(model)
        for name, info in model.model_fields.items():
            key = info.alias or name
            if (model, name) in DESCRIBED:
                made["properties"][key] = self.reference(model, name)
            made["properties"][key]["description"] = texts[name]
            if info.default is None or isinstance(info.default, Entity):
                made["properties"][key].pop("default", None)  # editors would write it out
        return made

    def dataclass_schema(self, schema: Any) -> JsonSchemaValue:
        """A part of an answer: every key is there, each with its text."""
        kind: type = schema["cls"]
        made = super().dataclass_schema(schema)
        made.pop("title", None)
        texts = field_texts(kind)
        for name, key in made["properties"].items():
            key.pop("default", None)
            if name in texts:
                key["description"] = texts[name]
        every = {"required": [*made["properties"]], "additionalProperties": False}
        return made | every | {"description": class_text(kind)}

    def named_tuple_schema(self, schema: Any) -> JsonSchemaValue:
        """Printed as an object."""
        properties = {one["name"]: self.generate_inner(one["schema"]) for one in schema["fields"]}
        return {
            "type": "object",
            "description": class_text(schema["cls"]),
            "properties": properties,
            "required": [*properties],
        }

    def reference(self, model: type[Entity], name: str) -> JsonSchemaValue:
        """What may stand where a thing is named or written out."""
        described = DESCRIBED[model, name]
        described.model_rebuild()
        written_out = self.generate_inner(described.__pydantic_core_schema__)
        ways = [{"type": "string", "minLength": 1}, written_out]
        if not model.model_fields[name].is_required():
            ways.append({"type": "null"})
        return {"anyOf": ways}

    def function_before_schema(self, schema: Any) -> JsonSchemaValue:
        """A field with a short form: that, or what it stands for."""
        full = super().function_before_schema(schema)
        short: Mapping[str, Any] | None = SHORT_FORMS.get(schema["function"]["function"])
        return {"anyOf": [*short.get("anyOf", [short]), full]} if short else full
