"""A catalog that somebody shares: a folder or tar with a manifest, taken in whole or not at all."""

from __future__ import annotations

import hashlib
import io
import os
import shutil
import tarfile
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import ENDINGS, FOLDER_KINDS, Catalog, model_named
from slotfit.load.entities import describe
from slotfit.load.findings import error_of
from slotfit.load.yaml_file import parse_yaml, span_at
from slotfit.load.yaml_text import LARGEST_BYTES, decode, read_bytes, shown
from slotfit.model.entity import Span
from slotfit.model.manifest import Manifest
from slotfit.read.file_tree import is_packed, is_tar, unpack
from slotfit.read.seen import Notes

MANIFEST = "MANIFEST"
MOST_FILES = 5_000
LARGEST_TAR = 64_000_000

Files = Mapping[str, bytes]
"""Way from the top -> content."""


def shared_files(source: Path) -> tuple[Manifest, Files]:
    """
    The manifest of a shared catalog, and the files that it lists, all of them as it says.

    Raises InputError with everything that is wrong; nothing has been written then.
    """
    where = shown(source)
    files = of_folder(source) if source.is_dir() else of_tar(read_tar(source), where)
    if MANIFEST not in files:
        text = f"no file {MANIFEST} at its top; it names the catalog, its licence and its files"
        raise InputError([Mistake(where, "", text)])
    written = parse_yaml(decode(files[MANIFEST], where), f"{where}/{MANIFEST}")
    outcome = describe(Manifest, written)
    mistakes = [*written.mistakes, *outcome.mistakes]
    if outcome.entity is not None:
        mistakes += unlike(outcome.entity, files, span_at(written, ("files",)))
    if mistakes or outcome.entity is None:
        raise error_of(mistakes)
    listed = (MANIFEST, *outcome.entity.files)
    return outcome.entity, {name: files[name] for name in listed}


def unlike(manifest: Manifest, files: Files, where: Span) -> Iterator[Mistake]:
    """What the manifest lists and is not there or is another, and what it does not list."""
    for name, said in manifest.files.items():
        if name not in files:
            yield Mistake(where, f"files.{name}", "there is no such file")
        elif (found := checksum(files[name])) != said:
            text = f"the file's checksum is {found}, not {said}: it is not the file that was meant"
            yield Mistake(where, f"files.{name}", text)
    for name in sorted(files.keys() - manifest.files.keys() - {MANIFEST}):
        if name.endswith(ENDINGS):
            text = f"not listed; if it belongs to it, add `{name}: {checksum(files[name])}`"
            yield Mistake(where, "files", text)


def checksum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def of_folder(folder: Path) -> Files:
    """Files in a folder and its folders, hidden ones left out. Raises InputError for links."""
    found: dict[str, bytes] = {}
    wrong: list[Mistake] = []
    for top, folders, names in os.walk(folder):
        folders[:] = [one for one in folders if not one.startswith(".")]
        for path in (Path(top) / one for one in (*folders, *names)):
            name = path.relative_to(folder).as_posix()
            if path.name.startswith("."):
                continue
            if path.is_symlink():
                text = "is a link; a shared catalog has plain files only"
                wrong.append(Mistake(f"{shown(folder)}/{name}", "", text))
            elif path.is_file() and (is_needed(name) or path.stat().st_size <= LARGEST_BYTES):
                found[name] = read_bytes(path, shown(path))
        if len(found) > MOST_FILES:
            raise InputError([Mistake(shown(folder), "", f"more than {MOST_FILES} files")])
    if wrong:
        raise error_of(wrong)
    return found


def is_needed(name: str) -> bool:
    """Whether it is the manifest or a description."""
    return name == MANIFEST or name.endswith(ENDINGS)


def read_tar(file: Path) -> bytes:
    """The bytes of a tar, unpacked. Raises InputError."""
    where = shown(file)
    try:
        with file.open("rb") as stream:
            data = stream.read(LARGEST_TAR + 1)
    except OSError as error:
        raise InputError([Mistake(where, "", f"cannot be read: {error.strerror}")]) from None
    notes = Notes(where)
    data = unpack(data, notes) if is_packed(data) else data
    if len(data) > LARGEST_TAR or notes.found:
        text = f"breaks off, or is larger than {LARGEST_TAR // 1_000_000} MB"
        raise InputError([Mistake(where, "", text)])
    if not is_tar(data):
        raise InputError([Mistake(where, "", "expected a folder or a tar (.tar, .tar.gz)")])
    return data


def of_tar(data: bytes, where: str) -> Files:
    """Files in a tar, without the one folder that all may be in. Raises InputError."""
    found: dict[str, bytes] = {}
    wrong: list[Mistake] = []
    try:
        with tarfile.open(fileobj=io.BytesIO(data), mode="r:") as tar:
            for count, member in enumerate(tar):
                if count >= MOST_FILES:
                    raise InputError([Mistake(where, "", f"more than {MOST_FILES} members")])
                if fault := member_fault(member, found):
                    wrong.append(Mistake(where, "", f"{member.name[:80]!r} {fault}"))
                elif member.isreg() and (stream := tar.extractfile(member)):
                    found[member.name.removeprefix("./")] = stream.read(LARGEST_BYTES)
    except (tarfile.TarError, OSError, ValueError, OverflowError, RecursionError) as error:
        wrong.append(Mistake(where, "", f"the tar breaks off: {error}"))
    if wrong:
        raise error_of(wrong)
    return without_top(found)


def member_fault(member: tarfile.TarInfo, found: Files) -> str:
    """Why a member is refused; empty if it is not."""
    steps = member.name.removeprefix("./").split("/")
    if member.name.startswith("/") or ".." in steps or "\0" in member.name:
        return "lies outside the catalog"
    if not (member.isreg() or member.isdir()) or member.issparse():
        return "is a link or a device; a shared catalog has plain files only"
    if member.size > LARGEST_BYTES:
        return f"is larger than {LARGEST_BYTES // 1_000_000} MB; a description is a few kilobytes"
    if member.name.removeprefix("./") in found:
        return "is there twice"
    return ""


def without_top(files: Files) -> Files:
    """The files seen from the folder that holds all of them, as archives of a repository have."""
    tops = {name.partition("/")[0] for name in files}
    if MANIFEST in files or len(tops) != 1:
        return files
    return {name.partition("/")[2]: content for name, content in files.items()}


def taken_in(manifest: Manifest, files: Files, into: Path, *, replace: bool) -> Path:
    """
    Write the files to a folder of their own below `into`; the folder.

    Raises InputError for what is wrong in any of them, and where the folder is there already.
    """
    target = into / manifest.id
    if target.exists() and not replace:
        text = f"is added already ({shown(target)}); --replace puts this one in its stead"
        raise InputError([Mistake(manifest.id, "", text)])
    try:
        into.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=into, prefix=".new-") as folder:
            staged = Path(folder) / manifest.id
            for name, content in files.items():
                file = staged / name
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(content)
            if wrong := [*faults(staged)]:
                raise error_of(wrong)
            if target.exists():
                shutil.move(target, Path(folder) / "old")
            staged.rename(target)
    except OSError as error:
        raise InputError([Mistake(shown(target), "", f"cannot be written: {error}")]) from error
    return target


def faults(staged: Path) -> Iterator[Mistake]:
    """What is wrong in the descriptions, each called by its place in the catalog."""
    catalog = Catalog([staged])
    for name, kind in catalog.kinds.items():
        path = catalog.paths[name].relative_to(staged).as_posix()
        if kind not in ("part", *FOLDER_KINDS.values()):
            yield Mistake(path, "kind", f"a {kind} is no part of a catalog")
            continue
        for one in catalog.look_up(name, model_named(kind)).mistakes:
            where = one.where._replace(file=path) if isinstance(one.where, Span) else path
            yield Mistake(where, one.path, one.text)
