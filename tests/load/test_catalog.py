"""The catalog finds descriptions by name alone, and later folders add to earlier ones."""

from pathlib import Path
from typing import Any

import pytest

from slotfit.errors import InputError
from slotfit.load import catalog as module
from slotfit.load import yaml_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.board import Board
from slotfit.model.machine import Chassis
from slotfit.model.part import PartSpec

PART = "kind: part\nid: {id}\nname: {name}\nplug: cem x8\n"


def write(path: Path, name: str, text: str = PART) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.format(id=path.stem, name=name), encoding="utf-8")
    return path


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write(tmp_path / "first/cards/nic.yaml", "of the first")
    write(tmp_path / "first/drives/ssd.yaml", "of the first")
    write(tmp_path / "second/nic.yaml", "of the second")
    write(tmp_path / "second/cards/hba.yml", "of the second")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def catalog_of(folders: Path) -> Catalog:
    return Catalog([folders / "first", folders / "second"])


def said(ask: Any) -> str:
    with pytest.raises(InputError) as caught:
        ask()
    return str(caught.value)


def test_later_folders_add_and_override_with_notice(folders: Path) -> None:
    catalog = catalog_of(folders)
    assert catalog.load("ssd", PartSpec).name == "of the first"
    assert catalog.load("hba", PartSpec).name == "of the second"
    assert catalog.load("nic", PartSpec).name == "of the second"
    assert catalog.notices == ["nic: second/nic.yaml is used, not first/cards/nic.yaml"]


def test_only_the_file_asked_for_is_read(folders: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    real = yaml_text.read_bytes

    def counted(path: Path, file: str) -> bytes:
        read.append(path.name)
        return real(path, file)

    monkeypatch.setattr(yaml_text, "read_bytes", counted)
    write(folders / "first/cards/worse.yaml", "", "{{not YAML")
    catalog = catalog_of(folders)
    catalog.load("ssd", PartSpec)
    catalog.load("ssd", PartSpec)
    assert read == ["ssd.yaml"]


def test_an_unknown_id_names_the_likeliest(folders: Path) -> None:
    catalog = catalog_of(folders)
    assert said(lambda: catalog.load("nics", PartSpec)) == (
        "nics: nothing in the catalog is called nics; did you mean nic?"
    )


@pytest.mark.parametrize(
    ("name", "way"),
    [("n", "search n` lists what is like it"), ("furnace", "list` has every id")],
)
def test_an_id_like_no_other_is_told_how_to_list_them(folders: Path, name: str, way: str) -> None:
    catalog = catalog_of(folders)
    assert said(lambda: catalog.load(name, PartSpec)) == (
        f"{name}: nothing in the catalog is called {name}; `slotfit catalog {way}"
    )


def test_a_path_is_relative_to_the_file_that_names_it(folders: Path) -> None:
    write(folders / "build/parts/own.yaml", "my own")
    catalog = catalog_of(folders)
    assert catalog.load("parts/own.yaml", PartSpec, folders / "build").name == "my own"
    assert catalog.load("own.yaml", PartSpec, folders / "build/parts").name == "my own"
    assert said(lambda: catalog.load("own.yaml", PartSpec, folders / "build")) == (
        "build/own.yaml: there is no such file"
    )


def test_a_file_outside_the_catalog_may_be_called_as_it_likes(folders: Path) -> None:
    path = write(folders / "own.yaml", "")
    path.write_text(PART.format(id="other", name="x"), encoding="utf-8")
    assert catalog_of(folders).load("./own.yaml", PartSpec).id == "other"


def test_in_a_catalog_file_name_and_id_agree(folders: Path) -> None:
    path = write(folders / "first/cards/gpu.yaml", "")
    path.write_text(PART.format(id="gpu2", name="x"), encoding="utf-8")
    assert said(lambda: catalog_of(folders).load("gpu", PartSpec)) == (
        "first/cards/gpu.yaml:2:1: id: the file is called gpu; file name and id must agree"
    )


def test_an_argument_may_be_a_description(folders: Path) -> None:
    catalog = catalog_of(folders)
    part = catalog.given("{id: p, plug: cem x8, links: x8}", PartSpec, "PART")
    assert (part.id, len(part.links)) == ("p", 1)
    assert catalog.given("nic", PartSpec, "PART").id == "nic"
    assert said(lambda: catalog.given("{id: p, plug: cem x8, link: x8}", PartSpec, "PART")) == (
        "PART:1:23: link: unknown key; did you mean links?"
    )


def test_every_looks_at_one_kind_only(folders: Path) -> None:
    write(folders / "first/chassis/tower.yaml", "", "id: {id}\nopenings: 7\n")
    write(folders / "second/boards/small.yaml", "", "kind: board\nid: {id}\n")
    catalog = catalog_of(folders)
    assert catalog.ids(PartSpec) == ["hba", "nic", "ssd"]
    assert catalog.ids(Chassis) == ["tower"]
    outcomes = list(catalog.every(Board))
    assert [str(mistake) for one in outcomes for mistake in one.mistakes] == [
        "second/boards/small.yaml:1:1: processors: missing",
        "second/boards/small.yaml:1:1: receptacles: missing",
    ]


def test_standard_folders_in_order(folders: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "catalog_root", lambda: folders / "first")
    monkeypatch.setenv("XDG_DATA_HOME", str(folders / "home"))
    write(folders / "home/slotfit/catalog/mine.yaml", "the user's")
    write(folders / "home/slotfit/catalog/nic.yaml", "the user's")
    write(folders / "project/catalog/nic.yaml", "the project's")
    catalog = standard_catalog(project=folders / "project")
    assert catalog.load("mine", PartSpec).name == "the user's"
    assert catalog.load("nic", PartSpec).name == "the project's"
    catalog = standard_catalog([folders / "second"], folders / "project")
    assert catalog.load("nic", PartSpec).name == "of the second"
    assert len(catalog.notices) == 3


def test_a_folder_that_is_not_there_is_said(folders: Path) -> None:
    assert said(lambda: standard_catalog([folders / "third"])) == (
        f"{folders / 'third'}: there is no such folder"
    )


def test_the_same_folder_twice_counts_once(folders: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "catalog_root", lambda: folders / "first")
    assert standard_catalog([folders / "first"]).notices == []
