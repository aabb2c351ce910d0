"""
What slotfit can do, for another program: one function a verb, each the one its command calls.

`load` reads a build file, a verb answers, and `text`, `json`, `page` and `picture` say the answer.
Mistakes in what is asked raise InputError, which names each with its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

from slotfit.answers.catalog.add import AddAnswer, add_text
from slotfit.answers.catalog.add import catalog_added as add
from slotfit.answers.catalog.answer import (
    CatalogQuery,
    LintAnswer,
    ListAnswer,
    ShowAnswer,
)
from slotfit.answers.catalog.answer import catalog_linted as lint
from slotfit.answers.catalog.answer import catalog_listed as listed
from slotfit.answers.catalog.answer import catalog_shown as show
from slotfit.answers.catalog.audit import AuditAnswer
from slotfit.answers.catalog.audit import catalog_audited as audit
from slotfit.answers.catalog.schema import schema_text as schema
from slotfit.answers.catalog.starting_file import starting_text as new
from slotfit.answers.catalog.text import audit_text, lint_text, list_text
from slotfit.answers.check.answer import CarriersAnswer, CheckAnswer
from slotfit.answers.check.asked import carriers, check
from slotfit.answers.check.machine_asked import MachineOptions
from slotfit.answers.check.text import carriers_text, check_text
from slotfit.answers.compare.answer import CompareAnswer
from slotfit.answers.compare.compare import BoardsWanted, compare
from slotfit.answers.compare.text import as_text as compare_text
from slotfit.answers.headroom.answer import HeadroomAnswer
from slotfit.answers.headroom.headroom import AdditionsWanted, headroom
from slotfit.answers.headroom.text import as_text as headroom_text
from slotfit.answers.no_plan.explain import Findings, explain, no_plan_answer
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import preferring
from slotfit.answers.place.text import as_text as place_text
from slotfit.answers.read.report import ReadAnswer, read, read_text
from slotfit.answers.sequence.answer import PullFirstAnswer, SequenceAnswer
from slotfit.answers.sequence.plan import sequence
from slotfit.answers.sequence.pull_first import pull_first
from slotfit.answers.sequence.pull_first_text import as_text as pull_first_text
from slotfit.answers.sequence.text import as_text as sequence_text
from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.answer import VerifyAnswer
from slotfit.answers.verify.planned import planned, planned_machine
from slotfit.answers.verify.verdict import verify, verify_text
from slotfit.answers.verify.watched import metrics_text as metrics
from slotfit.answers.why.answer import WhyAnswer
from slotfit.answers.why.text import why_text
from slotfit.answers.why.why import why
from slotfit.draw.boards import boards_svg
from slotfit.draw.picture import topology_svg
from slotfit.draw.row_measure import StandName
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.draw.windows import windows_svg
from slotfit.errors import InputError
from slotfit.load.build_file import load
from slotfit.load.catalog import standard_catalog as catalog
from slotfit.read.sources import collecting_script as collect
from slotfit.read.sources import machine_seen as seen
from slotfit.sheet.boards import as_page as boards_page
from slotfit.sheet.sheet import SheetAnswer, as_sheet, sheet
from slotfit.sheet.windows import as_page as windows_page

__all__ = [
    "AdditionsWanted",
    "BoardsWanted",
    "CatalogQuery",
    "InputError",
    "MachineOptions",
    "Shop",
    "add",
    "audit",
    "carriers",
    "catalog",
    "check",
    "collect",
    "compare",
    "explain",
    "headroom",
    "json",
    "lint",
    "listed",
    "load",
    "metrics",
    "new",
    "page",
    "picture",
    "place",
    "planned",
    "planned_machine",
    "preferring",
    "pull_first",
    "read",
    "schema",
    "seen",
    "sequence",
    "sheet",
    "show",
    "text",
    "verify",
    "why",
]

TEXTS: Mapping[type, Callable[[Any], str]] = {
    AddAnswer: add_text,
    AuditAnswer: audit_text,
    CarriersAnswer: carriers_text,
    CheckAnswer: check_text,
    CompareAnswer: compare_text,
    HeadroomAnswer: headroom_text,
    LintAnswer: lint_text,
    ListAnswer: list_text,
    PlaceAnswer: place_text,
    PullFirstAnswer: pull_first_text,
    ReadAnswer: read_text,
    SequenceAnswer: sequence_text,
    VerifyAnswer: verify_text,
    WhyAnswer: why_text,
}

JSONS: Mapping[type, Callable[[Any], str]] = {
    **dict.fromkeys((*TEXTS, ShowAnswer), as_json),
    Findings: lambda answer: as_json(no_plan_answer(answer)),
}

PAGES: Mapping[type, Callable[[Any], str]] = {
    CompareAnswer: boards_page,
    SequenceAnswer: windows_page,
    SheetAnswer: as_sheet,
}

PICTURES: Mapping[type, Callable[[Any], str]] = {
    CompareAnswer: lambda answer: boards_svg(answer, answer.plan.boards),
    PlaceAnswer: lambda answer: topology_svg(topology(answer)),
    SequenceAnswer: windows_svg,
}


def _rendered(table: Mapping[type, Callable[[Any], str]], answer: object, what: str) -> str:
    """An answer by the function of its type. Raises TypeError if it has none."""
    if type(answer) not in table:
        known = ", ".join(sorted(one.__name__ for one in table))
        raise TypeError(f"{type(answer).__name__} has no {what}; these have: {known}")
    return table[type(answer)](answer)


def text(answer: object) -> str:
    """The answer as its command prints it. Raises TypeError for what has no text."""
    return _rendered(TEXTS, answer, "text")


def json(answer: object) -> str:
    """The answer as its command prints it with --json. Raises TypeError for what has no JSON."""
    return _rendered(JSONS, answer, "JSON")


def page(answer: object) -> str:
    """
    The answer as one self-contained HTML page.

    Raises TypeError for what has no page, and InputError for a sequence without windows.
    """
    return _rendered(PAGES, answer, "page")


def picture(
    answer: object, view: Literal["row", "topology"] = "row", stand: StandName = "tower"
) -> str:
    """
    The answer as SVG.

    Raises TypeError for what has no picture, and InputError for a sequence without windows.

    `view` is of plans: the slot row from above, as in a tower or lying flat, or processors, lanes
    and links. Of a sequence its windows are drawn, of a comparison all boards.
    """
    if isinstance(answer, PlaceAnswer) and view == "row":
        return slot_row_svg(answer, stand)
    return _rendered(PICTURES, answer, "picture")
