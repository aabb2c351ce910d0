"""JSON Schema (draft 2020-12) of each answer, made from its type, with what its fields mean."""

from __future__ import annotations

import json
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from slotfit.answers.catalog.answer import LintAnswer, ListAnswer, ShowAnswer
from slotfit.answers.catalog.schema import DRAFT, class_text, field_texts
from slotfit.answers.compare.answer import CompareAnswer
from slotfit.answers.headroom.answer import HeadroomAnswer
from slotfit.answers.read.report import ReadAnswer
from slotfit.answers.verify.answer import VerifyAnswer

ANSWERS: tuple[tuple[str, type], ...] = (
    ("compare", CompareAnswer),
    ("headroom", HeadroomAnswer),
    ("read", ReadAnswer),
    ("verify", VerifyAnswer),
    ("catalog-list", ListAnswer),
    ("catalog-show", ShowAnswer),
    ("catalog-lint", LintAnswer),
)
"""The question, as its command is called, and the type that `--json` prints."""


def answer_schema_text(question: str) -> str:
    """The schema of an answer, as the text of a file; KeyError for a question not in ANSWERS."""
    adapter: TypeAdapter[Any] = TypeAdapter(dict(ANSWERS)[question])
    made = adapter.json_schema(schema_generator=AnswerSchema, mode="serialization")
    found = {"$schema": DRAFT, "title": f"slotfit answer to {question}", **made}
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


class AnswerSchema(GenerateJsonSchema):
    """Pydantic's generator, told what classes and fields mean."""

    def field_title_should_be_set(self, schema: Any) -> bool:  # noqa: ARG002  pydantic's name
        """No titles: they would only repeat the keys."""
        return False

    def dataclass_schema(self, schema: Any) -> JsonSchemaValue:
        """Every key is printed, and has its text."""
        made = super().dataclass_schema(schema)
        made.pop("title", None)
        made["description"] = class_text(schema["cls"])
        made["required"] = list(made["properties"])
        texts = field_texts(schema["cls"])
        for name, told in made["properties"].items():
            told.pop("default", None)
            if text := texts.get(name):
                told["description"] = text
        return made

    def named_tuple_schema(self, schema: Any) -> JsonSchemaValue:
        """Printed as an object."""
        properties = {one["name"]: self.generate_inner(one["schema"]) for one in schema["fields"]}
        return {
            "type": "object",
            "description": class_text(schema["cls"]),
            "properties": properties,
            "required": list(properties),
        }
