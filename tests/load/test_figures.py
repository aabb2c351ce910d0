"""Wrong units are caught where a file is read, and what is truly so can be said."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator

import pytest
import yaml

from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.load.entities import read_inline
from slotfit.load.figures import figures
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.standards.plausible import FIELDS, HEIGHTS, LENGTHS, Range
from tests.catalog.entries import CATALOG, FILES, MODELS, loaded, raw

FACTORS = (1 / 25.4, 25.4, 1 / 10, 10, 1 / 1000, 1000)

CARD = "{id: c, plug: cem x16, links: x16, length_mm: 350, height_mm: 111.15}"
BOARD = """{id: b, processors: [{id: cpu0}],
  hubs: [{id: hub, from: cpu0, generation: 4, lanes: 4, background_gb_s: 0.6}], receptacles: []}"""


def refused(text: str, model: type[Entity]) -> str:
    with pytest.raises(InputError) as error:
        read_inline(text, model, "x.yaml")
    (mistake,) = error.value.mistakes
    return str(mistake)


@pytest.mark.parametrize(
    ("text", "model", "says"),
    [
        (CARD.replace("350", "13.78"), PartSpec, "inches? write 350;"),
        (CARD.replace("350", "28"), PartSpec, "cm? write 280;"),
        (CARD.replace("350", "0.28"), PartSpec, "metres? write 280;"),
        (CARD.replace("111.15", "4.376"), PartSpec, "inches? write 111.2;"),
        ("{id: s, watts: 0.75}", PowerSupply, "kW? write 750;"),
        ("{id: s, watts: 7500}", PowerSupply, "a tenth? write 750;"),
        ("{id: s, watts: 750, plugs: {pcie-8: 300}}", PowerSupply, "1 to 60"),
        ("{id: t, card_length_mm: 33}", Chassis, "cm? write 330;"),
        ("{id: t, airflow_lfm: 1.5}", Chassis, "metres a second? write 295.3;"),
        (BOARD.replace("0.6", "600"), Board, "generation 4 x4: 0.0005 to 7.876 GB/s"),
        (BOARD.replace("0.6", "60"), Board, "gigabits? write 7.5;"),
    ],
)
def test_a_figure_in_another_unit_is_a_mistake_that_names_the_unit(
    text: str, model: type[Entity], says: str
) -> None:
    told = refused(text, model)
    assert says in told
    assert told.startswith(("x.yaml:1:", "x.yaml:2:"))


def test_a_figure_that_is_so_is_called_meant() -> None:
    probe = CARD.replace("350", "28")
    assert "add `meant: [length_mm]`" in refused(probe, PartSpec)
    read_inline(probe.replace("}", ", meant: [length_mm]}"), PartSpec, "x.yaml")
    told = refused(CARD.replace("}", ", meant: [lenght_mm]}"), PartSpec)
    assert "no figure here is called lenght_mm; did you mean length_mm?" in told


def test_one_of_several_figures_is_called_meant_by_its_id() -> None:
    slots = "[{id: a, form: cem, lanes: 16, power_w: 0.5}, {id: b, form: cem, power_w: 0.6}]"
    board = f"{{id: b, processors: [{{id: cpu0}}], meant: [a.power_w], receptacles: {slots}}}"
    assert "receptacles[1].power_w: 0.6 W" in refused(board, Board)


@pytest.mark.parametrize(
    ("written", "says"), [("base_w: 0.15", r"kW\? write 150"), ("supply_limit_percent: 0.8", "80")]
)
def test_a_machine_of_a_build_is_looked_at_too(written: str, says: str) -> None:
    text = f"id: b\nmachines:\n  - {{id: m, board: server-1p, {written}}}\n"
    with pytest.raises(InputError, match=says) as error:
        load_build_text(text, CATALOG)
    assert str(error.value).startswith("build.yaml:3:31: machines[0].")
    field = written.partition(":")[0]
    load_build_text(text.replace("}", f", meant: [{field}]}}"), CATALOG)


def told(unit: str) -> Iterator[tuple[str, str, float, Range]]:
    """Every figure of the catalog in a unit: where, the field, it, its range; zeros say none."""
    for name, entity in loaded().items():
        for _, its, field, _, figure, range_ in figures(entity, entity):
            if field.endswith(unit) and figure:
                yield name, f"{type(its).__name__}.{field}", figure, range_


def caught(unit: str) -> dict[float, tuple[int, int]]:
    """Factor -> of how many figures of the catalog it is caught, and of how many it is not."""
    found: Counter[tuple[float, bool]] = Counter()
    for _, _, figure, range_ in told(unit):
        found.update((factor, range_.holds(figure * factor)) for factor in FACTORS)
    return {factor: (found[factor, False], found[factor, True]) for factor in FACTORS}


def test_nothing_in_the_catalog_is_out_of_range() -> None:
    assert not [one for unit in ("_mm", "_w", "watts", "_lfm", "") for one in told(unit)
                if not one[3].holds(one[2])]  # fmt: skip


@pytest.mark.parametrize("factor", [1 / 25.4, 25.4, 1 / 1000, 1000])
def test_inches_and_metres_are_always_caught_in_lengths_of_cards_and_chassis(factor: float) -> None:
    kinds: tuple[str, ...] = ("PartSpec.length_mm", "PartSpec.height_mm")
    kinds += ("Chassis.card_length_mm", "Chassis.card_height_mm")
    lengths = [one for one in told("_mm") if one[1] in kinds]
    assert len(lengths) > 300
    assert not [one for one in lengths if one[3].holds(one[2] * factor)]


@pytest.mark.parametrize(
    ("unit", "least"), [("_mm", (95, 95, 75, 75, 100, 95)), ("_lfm", (100, 100, 35, 40, 100, 100))]
)
def test_most_slips_of_lengths_and_air_are_caught(unit: str, least: tuple[int, ...]) -> None:
    """Per cent of the catalog's figures, for each factor."""
    for (yes, no), wanted in zip(caught(unit).values(), least, strict=True):
        assert 100 * yes >= wanted * (yes + no), caught(unit)


def test_the_loader_says_what_the_table_says() -> None:
    """Files of the catalog with one figure a thousandfold."""
    for path in FILES[::9]:
        content = raw(path)
        for key in {"length_mm", "card_length_mm", "watts"} & content.keys():
            text = json.dumps(content | {key: content[key] * 1000})
            with pytest.raises(InputError, match=r"out of range|no figure for"):
                read_inline(text, MODELS[content["kind"]], path.name)
        read_inline(yaml.safe_dump(content), MODELS[content["kind"]], path.name)


def test_every_range_has_its_source() -> None:
    every = [*FIELDS.values(), *LENGTHS.values(), *HEIGHTS.values()]
    assert all(str(one.source) and one.least < one.most for one in every)
