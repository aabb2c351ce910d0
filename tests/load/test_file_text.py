"""What cannot be read as a description's text is refused with its reason and its line."""

import os
from pathlib import Path

import pytest

from slotfit.errors import InputError
from slotfit.load.entities import read_file
from slotfit.load.yaml_file import read_yaml
from slotfit.load.yaml_text import LARGEST_BYTES
from slotfit.model.part import PartSpec

GOOD = b"id: nic\nplug: cem x8\n"


def said(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_yaml(path)
    return str(caught.value)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_missing_file_names_its_neighbour(here: Path) -> None:
    (here / "build.yaml").write_bytes(GOOD)
    assert said(Path("biuld.yaml")) == "biuld.yaml: there is no such file; did you mean build.yaml?"


@pytest.mark.usefixtures("here")
def test_a_missing_folder_is_said() -> None:
    assert said(Path("there/build.yaml")) == "there/build.yaml: there is no folder there"


def test_a_folder_is_no_file(here: Path) -> None:
    (here / "parts").mkdir()
    assert said(Path("parts")) == "parts: this is a folder; name a file in it"


def test_a_file_as_a_folder(here: Path) -> None:
    (here / "a.yaml").write_bytes(GOOD)
    assert said(Path("a.yaml/b.yaml")).startswith("a.yaml/b.yaml: ")


def test_the_line_of_a_byte_that_is_not_utf8(here: Path) -> None:
    (here / "a.yaml").write_bytes(b"id: nic\nplug: cem x8\nname: caf\xe9\n")
    assert said(Path("a.yaml")) == (
        "a.yaml:3:10: byte 30 (0xe9) is not UTF-8; save the file as UTF-8"
    )


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_wide_text_is_refused(here: Path, encoding: str) -> None:
    (here / "a.yaml").write_bytes(GOOD.decode().encode(encoding))
    assert said(Path("a.yaml")) in (
        "a.yaml: this is UTF-16 text; save the file as UTF-8",
        "a.yaml:1:1: unprintable character U+0000; is this a text file?",
        "a.yaml:1:2: unprintable character U+0000; is this a text file?",
    )


def test_a_byte_order_mark_of_utf8_is_no_mistake(here: Path) -> None:
    (here / "a.yaml").write_bytes(b"\xef\xbb\xbf" + GOOD)
    outcome = read_file(here / "a.yaml", PartSpec)
    assert outcome.mistakes == []
    assert outcome.entity is not None
    assert outcome.entity.id == "nic"


@pytest.mark.parametrize("ending", [b"\r\n", b"\n"])
def test_lines_count_alike_whatever_ends_them(here: Path, ending: bytes) -> None:
    (here / "a.yaml").write_bytes(ending.join([b"id: nic", b"plug: cem x8", b"price: x"]))
    outcome = read_file(Path("a.yaml"), PartSpec)
    assert [str(one) for one in outcome.mistakes] == ["a.yaml:3:1: price: expected a number, not x"]


def test_a_huge_file_is_not_read(here: Path) -> None:
    (here / "a.yaml").write_bytes(b"#" * (LARGEST_BYTES + 1))
    assert said(Path("a.yaml")) == "a.yaml: larger than 1 MB; a description is a few kilobytes"


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no endless file on this system")
def test_an_endless_file_ends() -> None:
    assert "larger than 1 MB" in said(Path("/dev/zero"))


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_one_may_not_read(here: Path) -> None:
    (here / "a.yaml").write_bytes(GOOD)
    (here / "a.yaml").chmod(0)
    assert said(Path("a.yaml")) == "a.yaml: cannot be read: Permission denied"


def test_a_loop_of_links(here: Path) -> None:
    (here / "a.yaml").symlink_to("b.yaml")
    (here / "b.yaml").symlink_to("a.yaml")
    assert said(here / "a.yaml").endswith(
        "a.yaml: cannot be read: Too many levels of symbolic links"
    )


def test_a_name_no_file_can_have() -> None:
    assert "cannot be read" in said(Path("a\0b.yaml"))
