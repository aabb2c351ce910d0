"""Tars from strangers: hostile names, links, sizes and broken ends."""

from __future__ import annotations

import bz2
import gzip
import io
import lzma
import tarfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit.read import file_tree
from slotfit.read.seen import Notes
from slotfit.read.sources import readings_of, readings_of_bytes
from tests.read.registers import Function
from tests.read.tables import Slot, dump


def packed(*members: tuple[tarfile.TarInfo, bytes]) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w") as tar:
        for member, data in members:
            tar.addfile(member, io.BytesIO(data))
    return out.getvalue()


def member(name: str, data: bytes = b"x", **changes: object) -> tuple[tarfile.TarInfo, bytes]:
    info = tarfile.TarInfo(name)
    info.size = len(data)
    for field, value in changes.items():
        setattr(info, field, value)
    return info, data


@pytest.mark.parametrize("name", ["../up", "a/../../up", "/../up", "..", "a/.."])
def test_names_that_leave_the_tar_are_left_out(name: str) -> None:
    notes = Notes("t")
    tree = file_tree.open_tar(packed(member(name), member("good")), notes)
    assert set(tree.files) == {"good"}
    assert "outside" in notes.found[0].text


def test_absolute_names_and_links_are_looked_up_inside_only() -> None:
    notes = Notes("t")
    link, hard = tarfile.SYMTYPE, tarfile.LNKTYPE
    tree = file_tree.open_tar(
        packed(
            member("/etc/passwd", b"inside"),
            member("soft", b"", type=link, linkname="/etc/passwd"),
            member("hard", b"", type=hard, linkname="etc/passwd"),
            member("away", b"", type=link, linkname="../../etc/passwd"),
            member("device", b"", type=tarfile.CHRTYPE),
        ),
        notes,
    )
    assert [tree.data(name) for name in ("soft", "hard", "away", "device")] == [
        b"inside", b"inside", None, None,
    ]  # fmt: skip


def test_a_claim_of_gigabytes_is_not_believed() -> None:
    info, _ = member("big")
    info.size = 8 << 30
    data = info.tobuf(tarfile.GNU_FORMAT) + b"little" + bytes(2048)
    notes = Notes("t")
    assert file_tree.open_tar(data, notes).files == {}
    assert "claims 8589934592 bytes" in notes.found[0].text


@pytest.mark.parametrize("pack", [gzip.compress, bz2.compress, lzma.compress])
def test_a_bomb_stops_at_the_limit(
    pack: Callable[[bytes], bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(file_tree, "MAX_UNPACKED_BYTES", 1 << 20)
    notes = Notes("t")
    # lzma is told the limit as memory too, and refuses
    assert len(file_tree.unpack(pack(bytes(64 << 20)), notes)) <= 1 << 20
    assert notes.found


@pytest.mark.parametrize("pack", [lambda data: data, gzip.compress, bz2.compress, lzma.compress])
def test_every_packing_is_opened(pack: Callable[[bytes], bytes], tmp_path: Path) -> None:
    table = dump(Slot().pack(1))
    text = Function().dump().encode()
    path = tmp_path / "a.tar"
    path.write_bytes(pack(packed(member("x/lspci.txt", text), member("x/table.bin", table))))
    kinds = {reading.kind for reading in readings_of(path)}
    assert kinds == {"lspci hex", "lspci text", "smbios table"}


GOOD = packed(
    member("c/sys.txt", b"# slotfit-collect sys 1\nsys/bus/pci/devices/0000:00:01.0/vendor\t0x1\n"),
    member("c/pci-config.txt", Function().dump().encode()),
    member("c/DMI", dump(Slot().pack(1))[32:]),
)


@given(st.integers(0, len(GOOD)))
def test_a_cut_tar_gives_what_stood_before_the_cut(end: int) -> None:
    readings = readings_of_bytes(GOOD[:end], "t")
    assert all(reading.file for reading in readings)


@given(st.lists(st.tuples(st.integers(0, len(GOOD) - 1), st.integers(0, 255)), max_size=30))
@settings(max_examples=200)
def test_changed_bytes_never_raise(changes: list[tuple[int, int]]) -> None:
    data = bytearray(GOOD)
    for at, value in changes:
        data[at] = value
    readings = readings_of_bytes(bytes(data), "t")
    assert len(readings) <= 10


@pytest.mark.parametrize("size", [b"-0000000512\0", b"\xff" * 11 + b"\xf0", b"\x80" + b"\xff" * 11])
def test_sizes_that_lead_backwards_end(size: bytes) -> None:
    # Crafted sizes sent a library back to headers it had read; here the walk must end.
    data = bytearray(GOOD)
    data[124:136] = size
    data[148:156] = b"        "
    data[148:156] = b"%06o\0 " % sum(data[:512])
    readings = readings_of_bytes(bytes(data), "t")
    assert len(readings) <= 10


def test_nothing_known_says_what_was_expected(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear all, the server is slow.")
    (reading,) = readings_of(path)
    assert reading.kind == "unknown"
    assert "expected" in reading.notes[0].text
