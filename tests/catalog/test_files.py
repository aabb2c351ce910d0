"""Every file of the catalog is a whole description under its own name, in its own folder."""

import re
from pathlib import Path

import pytest
import yaml

from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.standards.forms import POWER_SOCKETS, fit_of
from tests.catalog.entries import (
    CATALOG,
    FILES,
    IDS,
    MODELS,
    ROOT,
    boards,
    load,
    loaded,
    parts,
    raw,
)

FOLDER_OF = {
    "host-bus-adapter": ("cards", "adapters"),  # SATA controllers on an M.2 module
    "sas-expander": ("cards",),
    "network-card": ("cards", "adapters"),
    "accelerator": ("cards", "adapters"),
    "capture-card": ("cards",),
    "sound-card": ("cards",),
    "usb-card": ("cards",),
    "serial-card": ("cards",),
    "other": ("cards",),
    "carrier": ("carriers",),
    "riser": ("risers",),
    "adapter": ("adapters",),
    "backplane": ("backplanes",),
    "port-multiplier": ("backplanes",),
    "cable": ("cables",),
    "drive": ("drives",),
    "air-mover": ("air",),
    "power-adapter": ("leads",),
    "splitter": ("leads",),
    "fan": ("air",),
    "fan-hub": ("air",),
    "network-module": ("modules",),
}
FOLDER_OF_KIND = {"board": "boards", "chassis": "chassis", "power-supply": "power"}


@pytest.mark.parametrize("path", FILES, ids=IDS)
def test_the_file_loads_under_its_own_name(path: Path) -> None:
    entity = load(path.stem, MODELS[raw(path)["kind"]])
    assert entity.id == path.stem
    assert entity.name


@pytest.mark.parametrize("path", FILES, ids=IDS)
def test_the_first_line_names_the_schema(path: Path) -> None:
    first = path.read_text("utf-8").splitlines()[0]
    kind = raw(path)["kind"]
    assert first == f"# yaml-language-server: $schema=../schema/{kind}.json"


@pytest.mark.parametrize("path", FILES, ids=IDS)
def test_writing_it_out_and_reading_it_back_changes_nothing(path: Path) -> None:
    model = MODELS[raw(path)["kind"]]
    entity = model.model_validate(raw(path))
    written = yaml.safe_dump(entity.model_dump(mode="json", by_alias=True, exclude_unset=True))
    assert model.model_validate(yaml.safe_load(written)) == entity


def test_no_id_is_used_twice() -> None:
    assert len(set(IDS)) == len(IDS)
    assert sorted(CATALOG.paths) == sorted(IDS)
    assert CATALOG.notices == []


@pytest.mark.parametrize("path", FILES, ids=IDS)
def test_it_lies_in_the_folder_of_its_kind(path: Path) -> None:
    content = raw(path)
    if content["kind"] == "part":
        assert path.parent.name in FOLDER_OF[content["class"]]
    else:
        assert path.parent.name == FOLDER_OF_KIND[content["kind"]]


def test_there_is_enough_to_choose_from() -> None:
    kinds = [type(one) for one in loaded().values()]
    assert kinds.count(PartSpec) >= 130
    assert kinds.count(Board) >= 14
    assert kinds.count(Chassis) >= 12
    assert kinds.count(PowerSupply) >= 10
    assert {part.part_class for part in parts().values()} == set(FOLDER_OF)


def test_no_schema_or_stray_file_is_taken_for_a_description() -> None:
    others = {path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*") if path.is_file()}
    others -= {path.relative_to(ROOT).as_posix() for path in FILES}
    unexpected = {name for name in others if not re.match(r"schema/.+\.json$", name)}
    assert unexpected == {"SOURCES.md"}


def test_every_part_has_somewhere_to_go() -> None:
    """Each plug fits a receptacle of some board or of some other part in the catalog."""
    on_boards = {one.form for board in boards().values() for one in board.receptacles}
    on_parts = {one.form for part in parts().values() for one in part.receptacles}
    powers = [part.power for part in parts().values() if part.power]
    caged = {port.cage for part in parts().values() for port in part.port.values()}
    fed = {str(plug) for power in powers for plug in power.aux} & set(POWER_SOCKETS)
    lost = {
        f"{name}: {plug.form}"
        for name, part in parts().items()
        for plug in (part.plug, *(extra.plug for extra in part.extra_plugs))
        if plug.form not in caged
        and not any(fit_of(plug.form, form).fits for form in (*on_boards, *on_parts, *fed))
    }
    assert lost == set()


LEAD_ELSEWHERE = {"usb-header", "sff-8088", "sff-8644"}
"""Their cables go to the front of the chassis or out of it."""


def test_every_receptacle_on_a_part_has_something_to_take() -> None:
    plugs = {part.plug.form for part in parts().values()}
    plugs |= {extra.plug.form for part in parts().values() for extra in part.extra_plugs}
    lost = {
        f"{name}: {one.form}"
        for name, part in parts().items()
        for one in part.receptacles
        if one.form not in LEAD_ELSEWHERE and not any(fit_of(plug, one.form).fits for plug in plugs)
    }
    assert lost == set()
