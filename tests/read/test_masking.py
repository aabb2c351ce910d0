"""Secrets planted everywhere, tables damaged at random: nothing of them is collected."""

from __future__ import annotations

import random
import shutil
import string
from collections.abc import Callable
from pathlib import Path

import pytest

from slotfit.read import smbios
from slotfit.read.seen import Notes
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.tables import END, Slot, structure
from tests.read.test_collect import collect, members

SHELLS = ["dash", "busybox sh"]
BYTES = string.ascii_letters + string.digits


class Secrets:
    """Makes them, and remembers them all."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.made: list[str] = []

    def one(self, length: int = 12) -> str:
        """A new one, that no other word of the machine looks like."""
        made = "".join(self.dice.choices(BYTES, k=length))
        self.made.append(made)
        return made

    def seen_in(self, data: bytes) -> list[str]:
        """Those of which six signs in a row are there, in plain bytes or as hexadecimal."""
        parts = (
            (one, one[at : at + 6].encode())
            for one in self.made
            for at in range(0, len(one) - 5, 3)
        )
        return sorted(
            {one for one, part in parts if part in data or part.hex(" ").encode() in data}
        )


def described(kind: int, secrets: Secrets) -> bytes:
    """
    A structure of a type that is read: its own strings plain, all others secret (DSP0134 7).

    Each string is named by one field, as the firmware of whole machines does it.
    """
    dice, hidden = secrets.dice, secrets.one
    handle = dice.randrange(0xFF00)
    if kind == 1:
        rest = bytes((1, 2, 3, 4)) + hidden(16).encode() + bytes((6, 5, 6))
        return structure(1, handle, rest, "Maker", "Model", "Rev 1", hidden(), hidden(), hidden())
    if kind == 2:
        rest = bytes((1, 2, 3, 4, 5, 9, 6, 3, 0, 10, 0))
        return structure(2, handle, rest, "Maker", "Board", "B", hidden(), hidden(), hidden())
    if kind == 3:
        rest = bytes((1, 0x17, 2, 3, 4)) + hidden(8).encode() + bytes((2, 1, 0, 0, 5))
        return structure(3, handle, rest, "Maker", hidden(), hidden(), hidden(), hidden())
    if kind == 4:
        body = bytearray(0x30 - 4)
        body[0], body[3], body[12], body[20] = 1, 2, 3, 0x41
        body[4:12], body[28:31] = hidden(8).encode(), bytes((4, 5, 6))
        return structure(
            4, handle, bytes(body), "CPU 1", "Maker", "A chip", hidden(), hidden(), hidden()
        )
    if kind == 39:
        rest = bytes((0, 1, 2, 3, 4, 5, 6, 7)) + (800).to_bytes(2, "little") + bytes(8)
        names = (hidden(), "PSU 1", hidden(), hidden(), hidden(), "P-800", hidden())
        return structure(39, handle, rest, *names)
    if kind == 41:
        return structure(41, handle, bytes((1, 0x85, 1, 0, 0, 2, 0)), "LAN 1")
    if kind == 10:
        return structure(10, handle, bytes((0x85, 1, 0x83, 2)), "LAN 1", "VGA 1")
    peers = [(0, dice.randrange(256), 0, 8)] * dice.choice((0, 0, 1, 3))
    return Slot(f"SLOT{dice.randrange(9)}", peers=peers, gap=dice.random() < 0.3).pack(handle)


def foreign(secrets: Secrets) -> bytes:
    """A structure of any other type: memory, strings of the maker, and what no table has."""
    dice = secrets.dice
    kind = dice.choice((0, 5, 11, 12, 16, 17, 22, 27, 43, 45, 126, 128, 130, 200, 221, 255))
    rest = secrets.one(dice.choice((12, 16, 36))).encode()
    return structure(kind, dice.randrange(0xFF00), rest, *(secrets.one() for _ in range(3)))


READ = (1, 2, 3, 4, 9, 9, 9, 10, 39, 41)


def structures(secrets: Secrets) -> list[bytes]:
    """The structures of a machine, in any order."""
    made = [described(kind, secrets) for kind in READ] + [foreign(secrets) for _ in range(5)]
    secrets.dice.shuffle(made)
    return made


Damage = Callable[[list[bytes], random.Random], bytes]


def whole(table: list[bytes], dice: random.Random) -> bytes:  # noqa: ARG001 - as called
    return b"".join(table) + END


def short(table: list[bytes], dice: random.Random) -> bytes:
    """One structure says that it is shorter than its own header."""
    at = dice.randrange(len(table))
    table[at] = table[at][:1] + bytes((dice.randrange(4),)) + table[at][2:]
    return whole(table, dice)


def longer(table: list[bytes], dice: random.Random) -> bytes:
    """Structures say another length than they have."""
    for at in dice.sample(range(len(table)), 5):
        table[at] = table[at][:1] + bytes((dice.randrange(4, 256),)) + table[at][2:]
    return whole(table, dice)


def cut(table: list[bytes], dice: random.Random) -> bytes:
    data = whole(table, dice)
    return data[: dice.randrange(len(data))]


def flip(table: list[bytes], dice: random.Random) -> bytes:
    data = bytearray(whole(table, dice))
    for _ in range(dice.randrange(1, 6)):
        data[dice.randrange(len(data))] = dice.randrange(256)
    return bytes(data)


def lose(table: list[bytes], dice: random.Random) -> bytes:
    """Bytes are lost, and others come in."""
    data = bytearray(whole(table, dice))
    for _ in range(dice.randrange(1, 4)):
        del data[dice.randrange(len(data))]
        data.insert(dice.randrange(len(data)), dice.randrange(256))
    return bytes(data)


def other(table: list[bytes], dice: random.Random) -> bytes:
    """Structures of no use say that they are of use."""
    table = [bytes((dice.choice(READ), *one[1:])) if one[0] not in READ else one for one in table]
    return whole(table, dice)


def renamed(table: list[bytes], dice: random.Random) -> bytes:
    """A field of strings names another string."""
    for at in range(len(table)):
        place = dice.randrange(4, 8)
        new = bytes((dice.randrange(9),))
        table[at] = table[at][:place] + new + table[at][place + 1 :]
    return whole(table, dice)


DAMAGES: list[Damage] = [whole, short, longer, cut, flip, lose, other, renamed]


def machine(place: Path, secrets: Secrets, table: bytes) -> Path:
    """A machine in whose names, registers and table secrets are planted."""
    dice, hidden = secrets.dice, secrets.one
    one, two = port("0000:00:01.0", 1, number=3), endpoint("0000:01:00.0")
    write_sys(place, [Placed(one), Placed(two, ("0000:00:01.0",), driver="nvme")])
    real = place / "sys/devices/pci0000:00/0000:00:01.0/0000:01:00.0"
    space = bytearray((real / "config").read_bytes())
    for at in (0x10, 0x90, 0xC0, 0x200, dice.randrange(0x110, 0xF00)):
        space[at : at + 12] = hidden().encode()
    (real / "config").write_bytes(space)
    for kind in ("net", "infiniband", "scsi_host", "nvme"):
        for name in (
            hidden(),
            f"enx{hidden()}",
            f"eth{hidden()}",
            f"a b\n{hidden()}\t-> {hidden()}",
        ):
            (real / kind / name).mkdir(parents=True)
            (real / kind / name / "model").write_text("A drive\n")
            (place / "sys/class" / kind).mkdir(parents=True, exist_ok=True)
            (place / "sys/class" / kind / name).symlink_to(
                f"../../devices/pci0000:00/0000:00:01.0/0000:01:00.0/{kind}/{name}"
            )
    for name in (hidden(), f"1-{hidden()}", f"U78.{hidden()}-P1"):
        (place / "sys/bus/pci/slots" / name).mkdir(parents=True)
        (place / "sys/bus/pci/slots" / name / "address").write_text("0000:01:00\n")
    (real / "numa_node").write_text(f"{hidden()}\n")
    (place / "sys/bus/pci/devices" / hidden()).symlink_to(real)
    firmware = place / "sys/firmware/dmi/tables"
    firmware.mkdir(parents=True)
    (firmware / "smbios_entry_point").write_bytes(b"_SM3_" + hidden(27).encode())
    (firmware / "DMI").write_bytes(table)
    return place


def leaves_no_secret(shell: str, damage: Damage, seed: int, place: Path) -> None:
    secrets = Secrets(seed)
    table = damage(structures(secrets), secrets.dice)
    gathered = collect(shell.split(), machine(place, secrets, table))
    assert secrets.seen_in(gathered) == [], (shell, damage.__name__, seed)
    got = members(gathered)
    assert len(got["DMI"]) == len(table)
    said = got["not-read.txt"].decode()
    before, after = kinds_of(table), kinds_of(got["DMI"])
    # What is not there any more was said to be blanked.
    assert before == after or "not understood" in said


def kinds_of(table: bytes) -> list[int]:
    """The types of the structures that are read, as a reader finds them."""
    found = smbios.structures(smbios.SmbiosTable(table), Notes(""))
    return [one.kind for one in found if one.kind in READ]


def shells() -> list[str]:
    return [shell for shell in SHELLS if shutil.which(shell.split()[0])]


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda one: str(one.__name__))
def test_no_secret_is_collected_whatever_the_table_and_the_names_are(
    damage: Damage, tmp_path: Path
) -> None:
    """Each damage in one of the shells; the long run tries every damage in each."""
    number = DAMAGES.index(damage)
    shell = SHELLS[number % 2]
    if shell not in shells():
        pytest.skip(f"{shell} is not installed")
    leaves_no_secret(shell, damage, number, tmp_path)


def test_a_sound_table_is_read_masked_as_it_is_read_whole(tmp_path: Path) -> None:
    secrets = Secrets(7)
    table = whole(structures(secrets), secrets.dice)
    got = members(collect(["sh"], machine(tmp_path, secrets, table)))["DMI"]
    plain, masked = smbios.parse(table, "t"), smbios.parse(got, "t")
    assert plain.slots
    assert plain.power_supplies
    assert masked == plain


@pytest.mark.long
@pytest.mark.parametrize("damage", DAMAGES, ids=lambda one: str(one.__name__))
def test_no_secret_is_collected_at_length(damage: Damage, tmp_path: Path) -> None:
    for seed in range(100, 104):
        for shell in shells():
            leaves_no_secret(shell, damage, seed, tmp_path / f"{seed}-{shell[0]}")
