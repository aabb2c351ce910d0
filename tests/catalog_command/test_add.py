"""Catalogs that others share: what is taken in, who hides whom, and what is refused."""

from __future__ import annotations

import hashlib
import io
import json
import tarfile
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from slotfit import api
from slotfit.errors import InputError
from slotfit.load.catalog import shared_root, standard_catalog
from slotfit.model.part import PartSpec
from tests.catalog_command.typed import typed

CARD = "kind: part\nid: {}\nname: A card of the shelf\nplug: cem x8\nlinks: x8\n"


@pytest.fixture(autouse=True)
def _nobodys_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def manifest(files: dict[str, str], name: str = "shelf") -> str:
    sums = {file: hashlib.sha256(text.encode()).hexdigest() for file, text in files.items()}
    lines = "".join(f"  {file}: {said}\n" for file, said in sums.items())
    return f"kind: catalog\nid: {name}\nname: The shelf\nlicence: CC0-1.0\nfiles:\n{lines}"


FILES = {
    "cards/shelf-nic.yaml": CARD.format("shelf-nic"),
    "cards/hba-8i-sas3.yaml": CARD.format("hba-8i-sas3"),
}


def folder(files: dict[str, str], said: str | None = None) -> Path:
    """A folder with these files, and a manifest of them or another."""
    made = Path("shared")
    for name, text in {**files, "MANIFEST": said or manifest(files)}.items():
        (made / name).parent.mkdir(parents=True, exist_ok=True)
        (made / name).write_text(text, "utf-8")
    return made


def tar(members: Iterable[tarfile.TarInfo | tuple[str, str]], mode: str = "w:gz") -> Path:
    """A tar with these files, or members without content."""
    made = Path("shared.tar.gz")
    with tarfile.open(made, mode) as out:  # type: ignore[call-overload]  # a mode by its word
        for one in members:
            if isinstance(one, tarfile.TarInfo):
                out.addfile(one)
                continue
            name, text = one
            info = tarfile.TarInfo(name)
            info.size = len(text.encode())
            out.addfile(info, io.BytesIO(text.encode()))
    return made


def whole(top: str = "") -> list[tuple[str, str]]:
    return [(f"{top}{name}", text) for name, text in {**FILES, "MANIFEST": manifest(FILES)}.items()]


@pytest.mark.parametrize(
    "source",
    [
        lambda: folder(FILES),
        lambda: tar(whole()),
        lambda: tar(whole(), "w"),
        lambda: tar(whole("shelf-1.2/")),
        lambda: tar(whole("./")),
    ],
    ids=["a folder", "a packed tar", "a plain tar", "in a folder of its own", "from the dot"],
)
def test_it_is_taken_in_and_used(source: Callable[[], Path]) -> None:
    answer = api.add(source())
    assert answer.ids == ("hba-8i-sas3", "shelf-nic")
    assert answer.licence == "CC0-1.0"
    catalog = standard_catalog()
    assert catalog.load("shelf-nic", PartSpec).name == "A card of the shelf"
    assert catalog.load("hba-8i-sas3", PartSpec).name == "A card of the shelf"
    assert answer.order == tuple(map(str, catalog.roots))


def test_who_hides_whom_is_said() -> None:
    """What was added comes after what came along, and before one's own."""
    done = typed("catalog", "add", str(folder(FILES)))
    assert done.code == 0
    as_json = json.loads(typed("catalog", "add", "--replace", "shared", "--json").out)
    schema = json.loads(api.schema("answer-catalog-add"))
    assert [*Draft202012Validator(schema).iter_errors(as_json)] == []
    text = " ".join(done.out.split())
    assert "The shelf: 2 descriptions, licence CC0-1.0" in text
    assert "hba-8i-sas3.yaml is used, not cards/hba-8i-sas3.yaml of slotfit's own catalog" in text
    own = shared_root().parent / "catalog"
    own.mkdir()
    (own / "shelf-nic.yaml").write_text(CARD.format("shelf-nic"), "utf-8")
    (one, other) = api.add(Path("shared"), replace=True).twice
    assert (one.id, other.id) == ("hba-8i-sas3", "shelf-nic")
    assert "catalogs/shelf" in one.used
    assert "catalogs/shelf" in other.hidden[0]


def test_one_of_that_name_is_replaced_only_if_asked() -> None:
    source = folder(FILES)
    api.add(source)
    with pytest.raises(InputError, match=r"is added already .*--replace"):
        api.add(source)
    less = {"cards/shelf-nic.yaml": FILES["cards/shelf-nic.yaml"]}
    (source / "cards/hba-8i-sas3.yaml").unlink()
    (source / "MANIFEST").write_text(manifest(less), "utf-8")
    assert api.add(source, replace=True).ids == ("shelf-nic",)
    assert [one.name for one in shared_root().iterdir()] == ["shelf"]
    assert "Host bus adapter" in (standard_catalog().load("hba-8i-sas3", PartSpec).name or "")


def link(name: str, kind: bytes = tarfile.SYMTYPE) -> tarfile.TarInfo:
    made = tarfile.TarInfo(name)
    made.type, made.linkname = kind, "/etc/passwd"
    return made


def huge(name: str) -> tuple[str, str]:
    return (name, "#" * 1_000_001)


HOSTILE: dict[str, tuple[tarfile.TarInfo | tuple[str, str], str]] = {
    "above its top": (("../outside.yaml", CARD), "'../outside.yaml' lies outside the catalog"),
    "from the root": (("/outside.yaml", CARD), "lies outside the catalog"),
    "up in the middle": (("cards/../../x.yaml", CARD), "lies outside the catalog"),
    "a link": (link("cards/link.yaml"), "is a link or a device"),
    "a hard link": (link("cards/link.yaml", tarfile.LNKTYPE), "is a link or a device"),
    "a device": (link("cards/null.yaml", tarfile.CHRTYPE), "is a link or a device"),
    "a pipe": (link("cards/pipe.yaml", tarfile.FIFOTYPE), "is a link or a device"),
    "too large": (huge("cards/huge.yaml"), "is larger than 1 MB"),
    "twice": (("MANIFEST", "kind: catalog"), "is there twice"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_tar_is_refused_whole(name: str, tmp_path: Path) -> None:
    member, says = HOSTILE[name]
    source = tar([*whole(), member])
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(InputError) as raised:
        api.add(source)
    assert says in str(raised.value)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_tar_that_unpacks_without_end_is_refused() -> None:
    Path("bomb.tar.gz").write_bytes(packed_zeros(300))
    with pytest.raises(InputError, match="larger than 64 MB"):
        api.add(Path("bomb.tar.gz"))


def packed_zeros(megabytes: int) -> bytes:
    packer = zlib.compressobj(9, zlib.DEFLATED, 31)
    packed = b"".join(packer.compress(bytes(1_000_000)) for _ in range(megabytes))
    return packed + packer.flush()


NIC = {"cards/shelf-nic.yaml": FILES["cards/shelf-nic.yaml"]}
WRONG: dict[str, tuple[dict[str, str], str, str]] = {
    "another file than was meant": (
        {"cards/shelf-nic.yaml": CARD.format("shelf-nic") + "generation: 3\n"},
        manifest(NIC),
        "not the file that was meant",
    ),
    "a file that is not there": ({}, manifest(NIC), "there is no such file"),
    "a file that it does not list": (FILES, manifest(NIC), "not listed; if it belongs to it, add"),
    "a way out of it": (NIC, manifest({"../shelf-nic.yaml": ""}), "write a file in the folder"),
    "no licence": (NIC, manifest(NIC).replace("licence: CC0-1.0\n", ""), "licence: missing"),
    "a checksum that is none": (NIC, "id: x\nlicence: x\nfiles: {a.yaml: 12ab}", "checksum of 64"),
    "a description with a mistake": (
        {"bad.yaml": "kind: part\nid: bad\nplug: cem x8\nlength: 3\n"},
        "",
        "bad.yaml:4:1: length: unknown key",
    ),
    "a name that is not its file's": ({"bad.yaml": CARD.format("good")}, "", "must agree"),
    "a build": ({"b.yaml": "kind: build\nid: b\n"}, "", "a build is no part of a catalog"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_in_it_is_said_and_nothing_is_taken_in(name: str) -> None:
    files, said, says = WRONG[name]
    with pytest.raises(InputError) as raised:
        api.add(folder(files, said))
    assert says in str(raised.value)
    assert not shared_root().is_dir() or [*shared_root().iterdir()] == []


def test_a_link_in_a_folder_is_refused() -> None:
    source = folder(FILES)
    (source / "cards" / "link.yaml").symlink_to("/etc/passwd")
    with pytest.raises(InputError, match=r"cards/link\.yaml: is a link"):
        api.add(source)


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"text", "expected a folder or a tar"), (b"\x1f\x8bxx", "breaks off")],
)
def test_what_is_no_tar_is_refused(content: bytes, says: str) -> None:
    Path("odd").write_bytes(content)
    done = typed("catalog", "add", "odd")
    assert done.code == 2
    assert says in done.err
