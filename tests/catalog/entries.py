"""The catalog that comes along, loaded once for all tests here."""

from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slotfit.files import catalog_root
from slotfit.load.catalog import Catalog
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec

Described = PartSpec | Board | Chassis | PowerSupply

MODELS: dict[str, type[Described]] = {
    "part": PartSpec,
    "board": Board,
    "chassis": Chassis,
    "power-supply": PowerSupply,
}

ROOT = catalog_root()
FILES = sorted(ROOT.glob("*/*.yaml"))
IDS = [path.stem for path in FILES]
CATALOG = Catalog([ROOT])


@cache
def raw(path: Path) -> dict[str, Any]:
    """What stands in the file, before slotfit reads anything into it."""
    content = yaml.safe_load(path.read_text("utf-8"))
    assert isinstance(content, dict), path
    return content


BOARD_IDS = [path.stem for path in FILES if raw(path)["kind"] == "board"]
PART_IDS = [path.stem for path in FILES if raw(path)["kind"] == "part"]


def load(name: str, model: type[Described]) -> Any:
    """Through the loader, every short form spelled out."""
    return CATALOG.load(name, model)


@cache
def loaded() -> dict[str, Described]:
    """Everything, by id."""
    return {path.stem: load(path.stem, MODELS[raw(path)["kind"]]) for path in FILES}


def parts() -> dict[str, PartSpec]:
    return {name: one for name, one in loaded().items() if isinstance(one, PartSpec)}


def boards() -> dict[str, Board]:
    return {name: one for name, one in loaded().items() if isinstance(one, Board)}


def of_class(part_class: str) -> dict[str, PartSpec]:
    found = {name: one for name, one in parts().items() if one.part_class == part_class}
    assert found, part_class
    return found


def lanes_of(part: PartSpec) -> int:
    return sum(link.lanes for link in part.links)
