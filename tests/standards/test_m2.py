"""M.2 keys, sizes and lanes, against the tables of a drive manual that quotes the standard."""

import pytest

from slotfit.standards import m2


@pytest.mark.parametrize(
    ("key", "contacts", "links"),
    # PCI Express M.2 through a drive manual, p. 3.
    [
        ("A", (8, 15), (1, 1)),
        ("B", (12, 19), (2,)),
        ("E", (24, 31), (1, 1)),
        ("M", (59, 66), (4,)),
    ],
)
def test_keys(key: str, contacts: tuple[int, int], links: tuple[int, ...]) -> None:
    row = m2.KEYS[key]
    assert (row.first_contact, row.last_contact) == contacts
    assert row.links == links
    assert row.last_contact - row.first_contact == 7


@pytest.mark.parametrize(
    ("notches", "socket", "lanes"),
    # As quoted: a B+M module goes into B or M sockets, at most x2. Others only into their own.
    [
        ("M", "M", 4),
        ("B+M", "M", 2),
        ("B+M", "B", 2),
        ("B", "B", 2),
        ("A+E", "A", 1),
        ("A+E", "E", 1),
        ("M", "B", 0),
        ("B", "M", 0),
        ("E", "M", 0),
        ("M", "E", 0),
        ("B+M", "E", 0),
    ],
)
def test_modules_in_sockets(notches: str, socket: str, lanes: int) -> None:
    assert m2.lanes_at_most(notches, socket) == lanes
    assert m2.module_fits(notches, socket) == (lanes > 0)


@pytest.mark.parametrize("code", m2.USUAL_SIZES)
def test_usual_sizes_are_in_the_standard(code: str) -> None:
    width, length = m2.size_mm(code)
    assert f"{width}{length}" == code


def test_sizes_are_the_standards() -> None:
    """PCI Express M.2 through a drive manual: widths and lengths."""
    assert m2.WIDTHS_MM == (12, 16, 22, 30)
    assert m2.LENGTHS_MM == (16, 26, 30, 38, 42, 60, 80, 110)


@pytest.mark.parametrize("code", ["", "22", "2281", "2380", "22x80", "2280 ", "٢٢80"])
def test_other_sizes_are_refused(code: str) -> None:
    with pytest.raises(ValueError, match=r"no M\.2 size"):
        m2.size_mm(code)


def test_contacts_carry_a_generation_5_drive() -> None:
    """Nine contacts of 0.5 A at 3.3 V, against 11 to 14 W (both from memory)."""
    assert m2.power_contacts_limit_w() == pytest.approx(14.85)
    assert m2.MAX_GENERATION == 5


def test_drive_envelopes() -> None:
    """Watts, from memory: 8.25 is common for a 2280; generation 5 parts take 11 to 14."""
    envelopes = {name: watts for name, (watts, _) in m2.DRIVE_POWER_W.items()}
    assert envelopes == {"2280": 8.25, "2280 generation 5": 14.0}
