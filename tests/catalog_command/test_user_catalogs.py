"""Where descriptions come from: what came along, the user's, the project's, and folders named."""

from pathlib import Path

import pytest

from slotfit.cli.options import catalog_of
from slotfit.load.catalog import Catalog
from slotfit.model.part import PartSpec

NAME = "hba-8i-sas3"


@pytest.fixture(autouse=True)
def _nobodys_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A user without a catalog of their own, in an empty working folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def describe(folder: Path, name: str) -> Path:
    """A folder with one description that overrides a part which came along."""
    folder.mkdir(parents=True)
    text = f"kind: part\nid: {NAME}\nname: {name}\nplug: cem x8\n"
    (folder / f"{NAME}.yaml").write_text(text, "utf-8")
    return folder


def called(catalog: Catalog) -> str | None:
    return catalog.load(NAME, PartSpec).name


def test_without_folders_of_ones_own_nothing_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Host bus adapter" in (called(catalog_of(None)) or "")
    assert capsys.readouterr().err == ""


def test_each_folder_overrides_the_one_before_and_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = tmp_path / "project" / "build.yaml"
    describe(tmp_path / "data" / "slotfit" / "catalog", "the user's")
    assert called(catalog_of(None, build)) == "the user's"
    describe(tmp_path / "project" / "catalog" / "cards", "the project's")
    assert called(catalog_of(None, build)) == "the project's"
    named = describe(tmp_path / "named", "named")
    assert called(catalog_of([named], build)) == "named"
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 1 + 2 + 3
    assert all(line.startswith(f"{NAME}: ") and " is used, not " in line for line in told)


def test_the_projects_folder_is_beside_the_build_file(tmp_path: Path) -> None:
    """Without a build file it is in the working folder."""
    describe(tmp_path / "work" / "catalog", "the working folder's")
    describe(tmp_path / "project" / "catalog", "the project's")
    assert called(catalog_of(None)) == "the working folder's"
    assert called(catalog_of(None, tmp_path / "project" / "build.yaml")) == "the project's"
