"""`slotfit check`: will this part work here, and what would make it work."""

from __future__ import annotations

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.check.asked import carriers as carriers_by_slot
from slotfit.answers.check.asked import check as check_part
from slotfit.answers.check.text import carriers_text, check_text
from slotfit.cli.options import (
    All,
    AsJson,
    Board,
    CatalogDirs,
    InChassis,
    OneMachine,
    Part,
    Plain,
    Processors,
    Slot,
    Supply,
    With,
    around,
    catalog_of,
    file_of,
)
from slotfit.cli.output import say


def check(
    part: Part,
    board: Board,
    slot: Slot = None,
    with_: With = None,
    machine: OneMachine = None,
    chassis: InChassis = None,
    power_supply: Supply = None,
    processors: Processors = None,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say whether a part works in each receptacle of a board, and what would make it work.

    Example: slotfit check carrier-m2x4-gen4 desktop-steered --with nvme-2280-gen4
    """
    known = catalog_of(catalog, file_of(board))
    there = around(chassis, power_supply, processors, machine)
    answer = check_part(part, board, known, there, with_ or (), slot)
    say(answer, lambda: check_text(answer, every=all_), json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])


def carriers(
    board: Board,
    slot: Slot = None,
    with_: With = None,
    machine: OneMachine = None,
    chassis: InChassis = None,
    power_supply: Supply = None,
    processors: Processors = None,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say, slot by slot, which kinds of drive carrier would show how many drives.

    Example: slotfit carriers old-menu-lies
    """
    known = catalog_of(catalog, file_of(board))
    there = around(chassis, power_supply, processors, machine)
    answer = carriers_by_slot(board, known, there, with_ or (), slot)
    say(answer, lambda: carriers_text(answer, every=all_), json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])
