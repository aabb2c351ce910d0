"""JSON Schema (draft 2020-12) of each kind of file, made from the model, short forms included."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any, get_args

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from slotfit.catalog.field_words import class_text, field_texts
from slotfit.model.board import Board, read_split
from slotfit.model.build import Build
from slotfit.model.build_part import BuildPart
from slotfit.model.entity import Entity
from slotfit.model.futures import Addition, Futures
from slotfit.model.machine import Chassis, Machine, PowerSupply
from slotfit.model.part import Part, read_demand, read_links, read_plug
from slotfit.model.sequence import read_names
from slotfit.model.words import Form

DRAFT = "https://json-schema.org/draft/2020-12/schema"

KINDS: dict[str, type[Entity]] = {
    "part": Part,
    "board": Board,
    "chassis": Chassis,
    "power-supply": PowerSupply,
    "build": Build,
    "futures": Futures,
}
"""What a file's `kind` says -> what it describes."""

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
    (BuildPart, "part"): Part,
    (Addition, "part"): Part,
    (Machine, "board"): Board,
    (Machine, "chassis"): Chassis,
    (Machine, "power_supply"): PowerSupply,
}
"""Fields that take a catalog id, a file's path, or the thing written out."""


def schema_of(kind: str) -> JsonSchemaValue:
    """The schema of one kind of file; KeyError for a word that is not in KINDS."""
    made = KINDS[kind].model_json_schema(schema_generator=FileSchema)
    return {"$schema": DRAFT, "title": f"slotfit {kind} file", **made}


def schema_text(kind: str) -> str:
    """The same as the text of a file."""
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
