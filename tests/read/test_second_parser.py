"""Two readers of slot records that share no line: they differ in nothing."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.read import dmidecode_text, smbios
from slotfit.read.seen import SlotSeen
from tests.read import second_parser
from tests.read.outside import captures, real_captures
from tests.read.second_parser import Fields
from tests.read.tables import Slot, dump

slots = st.builds(
    Slot,
    designation=st.sampled_from(["SLOT1", "PCIE_1_A", "", " J6B2 "]),
    kind=st.integers(0, 255),
    width=st.integers(0, 15),
    usage=st.integers(1, 5),
    slot_id=st.integers(0, 255),
    segment=st.integers(0, 0xFFFF),
    bus=st.integers(0, 255),
    devfn=st.integers(0, 255),
    level=st.sampled_from(["2.0", "2.1", "2.6", "3.2", "3.4", "3.5"]),
)


def fields(seen: SlotSeen) -> Fields:
    usage = seen.usage if seen.usage and not seen.usage.startswith("code") else None
    return {
        "designation": seen.designation,
        "lanes": seen.lanes,
        "usage": usage,
        "id": seen.slot_id,
        "address": str(seen.address) if seen.address else None,
    }


@given(st.lists(slots, max_size=5))
def test_both_read_the_same_table(made: Sequence[Slot]) -> None:
    data = dump(*(slot.pack(number) for number, slot in enumerate(made)))
    read = [fields(one) for one in smbios.parse(data, "t").slots]
    assert read == second_parser.of_table(data)


def test_both_read_the_invented_texts() -> None:
    compared = sum(compare(path.read_text("utf-8")) for path in captures("dmidecode"))
    assert compared


@pytest.mark.long
def test_both_read_the_collection() -> None:
    texts = real_captures("dmidecode")
    assert sum(compare(path.read_text("utf-8", "replace")) for path in texts) > len(texts)


def compare(text: str) -> int:
    """How many records were held against each other."""
    read = [fields(one) for one in dmidecode_text.parse(text, "t").slots]
    other = second_parser.of_text(text)
    assert read == other
    return len(read)
