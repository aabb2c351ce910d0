"""JSON Schema (draft 2020-12) of what `--json` prints, made from the answers' own types."""

from __future__ import annotations

import json
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from slotfit.answers.catalog.schema import DRAFT, class_text, field_texts
from slotfit.answers.sequence.answer import PullFirstAnswer, SequenceAnswer

ANSWERS: dict[str, type] = {"sequence": SequenceAnswer, "pull-first": PullFirstAnswer}
"""Name in the schema's file -> the answer."""


def answer_schema(name: str) -> JsonSchemaValue:
    """The schema of one answer; KeyError for a word that is not in ANSWERS."""
    made = TypeAdapter(ANSWERS[name]).json_schema(
        schema_generator=AnswerSchema, mode="serialization"
    )
    return {"$schema": DRAFT, "title": f"slotfit {name} answer", **made}


def answer_schema_text(name: str) -> str:
    """The same as the text of a file."""
    return json.dumps(answer_schema(name), indent=1, ensure_ascii=False) + "\n"


class AnswerSchema(GenerateJsonSchema):
    """Pydantic's generator, told what classes and fields mean."""

    def field_title_should_be_set(self, schema: Any) -> bool:  # noqa: ARG002  pydantic's name
        """No titles: they would only repeat the keys."""
        return False

    def dataclass_schema(self, schema: Any) -> JsonSchemaValue:
        """A part of an answer: each key with its text; `--json` leaves none out."""
        made = super().dataclass_schema(schema)
        made.pop("title", None)
        made["description"] = class_text(schema["cls"])
        texts = field_texts(schema["cls"])
        for name, field in made["properties"].items():
            field.pop("default", None)
            if name in texts:
                field["description"] = texts[name]
        made["required"] = list(made["properties"])
        return made
