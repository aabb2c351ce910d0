"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from slotfit.errors import InputError
from slotfit.files import write_file


def test_a_file_is_written_and_rewritten(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    write_file(file, "é\n")
    write_file(file, b"two\n")
    assert file.read_bytes() == b"two\n"
    assert list(tmp_path.iterdir()) == [file]


def test_a_new_file_gets_the_usual_permissions(tmp_path: Path) -> None:
    plain, made = tmp_path / "plain", tmp_path / "made"
    plain.write_text("")
    write_file(made, "")
    assert made.stat().st_mode == plain.stat().st_mode


def test_a_rewritten_file_keeps_its_permissions_and_its_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_file(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("name", ["no/such/folder.txt", ""])
def test_a_place_that_cannot_be_written_is_an_input_error(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_file(tmp_path / name, "x")
    assert list(tmp_path.iterdir()) == []


def test_what_fails_half_way_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a.txt"
    file.write_text("old")

    def full(*_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fchmod", full)
    with pytest.raises(InputError, match="No space left on device"):
        write_file(file, "new")
    assert file.read_text() == "old"
    assert os.listdir(tmp_path) == ["a.txt"]  # noqa: PTH208 - hidden files count too


def test_a_device_is_written_through() -> None:
    write_file(Path("/dev/null"), "gone")
    assert not Path("/dev/null").is_file()
