"""Files are written whole or not at all, and never over others unasked."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.read.files import write_files
from slotfit.errors import InputError

FILES = {"parts/a.yaml": "a: 1\n", "build.yaml": "b: 2\n"}


def content(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): path.read_text("utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_a_new_folder_holds_exactly_the_files(tmp_path: Path) -> None:
    write_files(tmp_path / "deep/made", FILES, force=False)
    assert content(tmp_path / "deep") == {f"made/{name}": text for name, text in FILES.items()}


def test_an_older_description_is_kept_unless_forced(tmp_path: Path) -> None:
    folder = tmp_path / "made"
    folder.mkdir()
    (folder / "build.yaml").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        write_files(folder, FILES, force=False)
    assert content(tmp_path) == {"made/build.yaml": "mine"}
    (folder / "notes.txt").write_text("mine too", encoding="utf-8")
    write_files(folder, FILES, force=True)
    assert content(folder) == {**FILES, "notes.txt": "mine too"}


def test_a_file_in_the_way_changes_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "made"
    folder.mkdir()
    (folder / "parts").write_text("in the way", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be written"):
        write_files(folder, FILES, force=True)
    assert content(tmp_path) == {"made/parts": "in the way"}
    (tmp_path / "plain").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="name a folder"):
        write_files(tmp_path / "plain", FILES, force=True)
