"""Every field of every description says what it means; schema and pages are made from that."""

from collections.abc import Iterator
from typing import Any, get_args, get_origin

import pytest

from slotfit.answers.catalog.schema import class_text, field_texts
from slotfit.load.findings import branches
from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup
from slotfit.model.build import Build, Futures
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartReceptacle, PartSpec


def entities_in(annotation: Any) -> Iterator[type[Entity]]:
    for kind in branches(annotation):
        if isinstance(kind, type) and issubclass(kind, Entity):
            yield kind
        elif get_origin(kind) in (tuple, dict):
            for inner in get_args(kind):
                if inner is not Ellipsis:
                    yield from entities_in(inner)


def everything() -> list[type[Entity]]:
    """The kinds of file, and every entity that can stand in one."""
    found: list[type[Entity]] = [PartSpec, Board, Chassis, PowerSupply, Build, Futures]
    for model in found:  # grows while it is walked
        for info in model.model_fields.values():
            found += [one for one in entities_in(info.annotation) if one not in found]
    return found


@pytest.mark.parametrize("model", everything(), ids=lambda model: model.__name__)
def test_every_field_has_a_text(model: type[Entity]) -> None:
    assert class_text(model)
    assert set(model.model_fields) - set(field_texts(model)) == set()


def test_a_field_has_its_own_text_or_its_types() -> None:
    assert field_texts(Arrangement)["setting"].startswith("What to choose in the firmware menu")
    assert field_texts(Arrangement)["proof"].startswith("seen on this board |")
    assert field_texts(LaneGroup)["from_"].startswith("The processor or hub")


def test_a_field_of_a_class_above_keeps_its_text_unless_it_is_written_anew() -> None:
    assert field_texts(BoardReceptacle)["behind_mm"] == field_texts(PartReceptacle)["behind_mm"]
    assert field_texts(BoardReceptacle)["lanes"] != field_texts(PartReceptacle)["lanes"]
