"""What a build file leaves open."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.catalog.lint.remark import Gap, Remark, gaps_in
from slotfit.model.build import Build


def build_gaps(build: Build, file: str) -> Iterator[Remark]:
    """Everything not said of the machines, and of today's layout."""
    yield from gaps_in(((machine.id, machine) for machine in build.machines), MACHINE_GAPS, file)
    yield from gaps_in([("", build)], (NO_TODAY,), file)


MACHINE_GAPS = (
    Gap(
        "power_supply",
        "POW003",
        ("place", "check"),
        lambda machine: machine.power_supply is None,
        "no power supply is named, so nobody adds up watts and counts plugs",
        "the label on its side",
    ),
    Gap(
        "base_w",
        "POW007",
        ("place", "check"),
        lambda machine: machine.base_w is None and machine.power_supply is not None,
        "what the machine draws without the parts is not said, so whether the supply suffices is "
        "in doubt",
        "measure at the wall under full load before the rebuild",
    ),
    Gap(
        "chassis",
        "FIT005",
        ("place", "check", "compare"),
        lambda machine: machine.chassis is None,
        "no chassis is named, so nobody asks about length, height, openings, bays and air",
        "its manual, or a ruler; `slotfit catalog show tower-mid` shows what to say",
    ),
)

NO_TODAY = Gap(
    "today",
    "moves",
    ("sequence", "place"),
    lambda build: not build.today,
    "where parts sit now is not said, so the way from there cannot be planned and moves are not "
    "counted",
    "`today: {part: machine/receptacle}`; `slotfit read` writes it down from a running machine",
)
