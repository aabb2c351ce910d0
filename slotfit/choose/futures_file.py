"""Reads a file of likely futures."""

from __future__ import annotations

from pathlib import Path

from slotfit.choose.futures import Outlook
from slotfit.choose.probes import Probe, expected
from slotfit.load.catalog import Catalog
from slotfit.load.complaints import Complaints
from slotfit.load.entities import describe
from slotfit.load.file_text import folder_of
from slotfit.load.references import References
from slotfit.load.report import error_of
from slotfit.load.yaml_file import read_yaml
from slotfit.model.futures import Addition, Futures
from slotfit.model.part import Part


def load_futures(path: Path, catalog: Catalog) -> tuple[Outlook, ...]:
    """The futures that a file lists. Raises InputError with everything that is wrong in it."""
    written = read_yaml(path)
    outcome = describe(Futures, written)
    references = References(written, catalog, folder_of(path))
    references.mistakes += [*written.mistakes, *outcome.mistakes]
    found: list[Outlook] = []
    if outcome.entity is not None:
        futures = outcome.entity.futures
        complaints = Complaints(written, outcome.lost, references.mistakes)
        complaints.unique([(one.id, one) for one in futures], "futures")
        for one in futures:
            probes = [addition(references, wanted) for wanted in one.parts]
            found.append(Outlook(one.id, one.weight, tuple(filter(None, probes))))
    if references.mistakes or not found:
        raise error_of(references.mistakes, written.file)
    return tuple(found)


def addition(references: References, wanted: Addition) -> Probe | None:
    """What is added; None, with the mistake noted, if its part cannot be read."""
    part = references.follow(wanted, "part", Part).entity
    return expected(part, wanted.count) if part is not None else None
