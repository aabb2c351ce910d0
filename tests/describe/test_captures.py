"""Every capture there is becomes a description that loads, with today's layout possible."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.read.join import join
from slotfit.read.sources import readings_of
from tests.describe.loading import described, loaded, refused_today
from tests.read.outside import captures, name_of

EVERY = [
    *captures("dmidecode"), *captures("lspci"), *captures("smbios", "*.bin"),
    *captures("sysfs", "*.tar.bz2"),
]  # fmt: skip


@pytest.mark.parametrize("path", EVERY, ids=name_of)
def test_it_loads_and_today_is_possible(path: Path, tmp_path: Path) -> None:
    seen = join(readings_of(path))
    made = described(seen)
    problem = loaded(made, tmp_path / "made")
    assert refused_today(problem) == {}
    records = sum(len(one.records) for one in seen.receptacles)
    told = sum(len(slot.seen.records) for slot in made.slots)
    left = [one for one in seen.receptacles if one.label in {gone.label for gone in made.omitted}]
    assert told + sum(len(one.records) for one in left) >= records
    assert len(made.slots) + len(made.omitted) == len(made.seen.receptacles)
