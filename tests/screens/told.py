"""An answer of every command, laid out as the terminal is wide at the time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from pathlib import Path

from slotfit import api
from slotfit.answers.catalog.answer import (
    CatalogQuery,
    catalog_linted,
    catalog_listed,
    description,
)
from slotfit.answers.catalog.show import show_text
from slotfit.answers.catalog.text import lint_text, list_text, overview_text
from slotfit.answers.check.asked import carriers, check
from slotfit.answers.check.text import carriers_text, check_text
from slotfit.answers.compare.text import as_text as compare_text
from slotfit.answers.headroom.text import as_text as headroom_text
from slotfit.answers.no_plan.explain import no_plan_answer
from slotfit.answers.no_plan.text import no_plan_text
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.text import as_text
from slotfit.answers.read.report import read_answer, read_text
from slotfit.answers.read.yaml_text import Places
from slotfit.answers.sequence.pull_first_text import as_text as pull_first_text
from slotfit.answers.sequence.text import as_text as sequence_text
from slotfit.answers.verify.verdict import verify_text
from slotfit.answers.why.text import why_text
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.load.catalog import told as place_told
from slotfit.model.problem import Problem
from tests.choose.finished import comparison, headroom
from tests.describe.loading import described
from tests.limits import SECONDS
from tests.sequence.finished import finished
from tests.verify import scenes

ROOT = Path(__file__).parents[2]
SHOWN = ("workstation", "hba-8i-sas3", "carrier-m2x4-gen4", "tower-large", "supply-1000w")

TIGHT = """
kind: build
id: tight
name: Two cards for one slot, in a machine of invented measures with a name of some length
machines:
  - id: box
    board:
      kind: board
      id: one
      size: atx
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 1}]
      receptacles:
        - {id: slot1, label: SLOT 1, form: cem, width: 16, open_end: false, row: rear, position: 0,
           power_w: 75, generation: 4, lanes: 16, splits: []}
parts:
  - {id: first, part: nic-25g-2p}
  - {id: second, part: nic-25g-2p}
"""
ROOMY = TIGHT.replace("- {id: second, part: nic-25g-2p}", "")
MOVES = """
kind: build
id: moves
machines: [{id: box, board: workstation, base_w: 100}]
parts:
  - {id: hba, part: hba-8i-sas3}
  - {id: nic, part: nic-10g-2p}
today: {nic: slot1}
"""


@cache
def catalog() -> Catalog:
    return standard_catalog(())


@cache
def plan(name: str) -> PlaceAnswer:
    """An example's answer."""
    return api.place(api.load(ROOT / "examples" / name / "build.yaml"), seconds=SECONDS)


@cache
def build(text: str) -> Problem:
    return load_build_text(text, catalog(), beside=Path())


@cache
def of_machines() -> Mapping[str, Callable[[], str]]:
    """What is said of a machine that was read: as planned, with a card missing, and its files."""
    seen = scenes.seen_on(scenes.planned_bus())
    gone = scenes.seen_on(scenes.without(scenes.planned_bus(), "02:00.0", "41:00.0"))
    files = [Path("marsh/board.yaml"), Path("marsh/build.yaml")]
    report = read_answer(described(seen), files, Places())
    return {
        "read": partial(read_text, report),
        "read --all": partial(read_text, report, every=True),
        "verify": partial(verify_text, scenes.held(seen)),
        "verify, faults": partial(verify_text, scenes.held(gone)),
        "verify --all": partial(verify_text, scenes.held(gone), every=True),
    }


@cache
def of_plans() -> Mapping[str, Callable[[], str]]:
    """What is said of plans, and of there being none."""
    tight, roomy = build(TIGHT), build(ROOMY)
    none = api.place(tight, seconds=SECONDS)
    why_none = no_plan_answer(api.explain(tight, seconds=SECONDS))
    moves = build(MOVES)
    elsewhere = api.why(moves, "nic", "slot3", SECONDS)
    pulls = api.pull_first(moves, "hba", SECONDS)
    return {
        "place": lambda: as_text(plan("demo")),
        "place --all": lambda: as_text(plan("demo"), every=True),
        "disks": lambda: as_text(plan("disks-20")),
        "no plan": partial(no_plan_text, none, why_none),
        "why, there": partial(why_text, api.why(roomy, "first", "slot1", SECONDS)),
        "why": partial(why_text, elsewhere),
        "why --all": partial(why_text, elsewhere, every=True),
        "sequence": partial(sequence_text, finished()),
        "sequence --all": partial(sequence_text, finished(), every=True),
        "pull first": partial(pull_first_text, pulls, every=True),
        "compare": partial(compare_text, comparison()),
        "compare --all": partial(compare_text, comparison(), every=True),
        "headroom": partial(headroom_text, headroom()),
        "headroom --all": partial(headroom_text, headroom(), every=True),
    }


@cache
def of_the_catalog() -> Mapping[str, Callable[[], str]]:
    """Lists, one description after another, and what is said of parts on boards."""
    known = catalog()
    listed = catalog_listed(known, CatalogQuery(kind="board"))
    carrier = check("carrier-m2x4-gen4", "workstation", known)
    slots = carriers("old-menu-lies", known)
    shown = {name: description(known, name) for name in SHOWN}
    return {
        "check": partial(check_text, carrier),
        "check --all": partial(check_text, carrier, every=True),
        "carriers": partial(carriers_text, slots),
        "carriers --all": partial(carriers_text, slots, every=True),
        "catalog list": partial(overview_text, listed),
        "catalog list --all": partial(list_text, listed),
        "catalog lint": partial(lint_text, catalog_linted(known, ["desktop-label-order"])),
        **{
            f"catalog show {name}": partial(show_text, one, place_told(path), name)
            for name, (path, one) in shown.items()
        },
    }


def texts() -> Iterator[tuple[str, str]]:
    """Every one of them, as wide as is laid out now."""
    for each in (of_plans(), of_machines(), of_the_catalog()):
        yield from ((name, text()) for name, text in each.items())
