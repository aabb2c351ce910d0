"""The rows of the plan: whatever is carried stands right below what carries it."""

from __future__ import annotations

from pathlib import Path

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from tests.limits import SECONDS

DISKS = """
id: disks
machines: [{id: tower, board: server-1p, base_w: 100}]
parts:
  - {id: hba, part: hba-8i-sas3}
  - {id: wire, part: cable-8643-4sas-500, count: 2}
  - {id: disk, part: hdd-sas-3.5-7200, count: 8}
"""


def test_a_disk_stands_below_its_own_cable() -> None:
    placed = best_plan(load_build_text(DISKS, standard_catalog(), beside=Path()), SECONDS)
    seats = answer_of(placed).plan.seats
    above: list[str] = []
    for seat in seats:
        del above[seat.depth :]
        assert seat.owner == (above[-1] if above else "tower")
        above.append(seat.item)
    assert [seat.depth for seat in seats] == [0, 1, 2, 2, 2, 2, 1, 2, 2, 2, 2]
