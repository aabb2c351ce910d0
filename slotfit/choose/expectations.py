"""Additions named on the command line, and the carriers that are usually added."""

from __future__ import annotations

import re
from collections.abc import Sequence

from slotfit.choose.probes import Probe, expected
from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import Catalog
from slotfit.model.part import Part

EXPECTED = re.compile(r"^(?P<part>.+?)(?:=(?P<count>\d{1,3}))?$", re.DOTALL)

USUAL = ("carrier-m2x2-x8-gen4", "carrier-m2x4-gen4", "carrier-switch-m2x4-x8-gen3")
"""A passive carrier for two, one for four, and one with a switch for four; where there is one."""


def expected_parts(arguments: Sequence[str], catalog: Catalog) -> list[Probe]:
    """`nvme-2280-gen4=4`: up to four of that part. Raises InputError with every mistake."""
    probes: list[Probe] = []
    mistakes: list[Mistake] = []
    for argument in arguments:
        name, equals, said = argument.rpartition("=")
        if equals and "{" not in argument and not said.isdigit():
            text = f"{argument}: write how many as a whole number, such as {name}=4"
            mistakes.append(Mistake("--expect", "", text))
            continue
        found = EXPECTED.match(argument)
        name, count = (found["part"], found["count"]) if found else (argument, None)
        number = int(count) if count else 1
        if not 1 <= number <= 64:
            mistakes.append(Mistake("--expect", "", f"{argument}: expected 1 to 64 of a part"))
            continue
        try:
            part = catalog.given(name, Part, "--expect")
        except InputError as error:
            mistakes += error.mistakes
        else:
            probes.append(expected(part, number))
    if mistakes:
        raise InputError(mistakes)
    return probes


def usual_carriers(catalog: Catalog) -> list[Part]:
    """Those of the usual carriers that the catalog has."""
    known = set(catalog.ids(Part))
    return [catalog.load(name, Part) for name in USUAL if name in known]
