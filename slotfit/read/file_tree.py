"""
A tree of small files with links, on disk or in memory, that cannot be left.

Readers of /sys take one of these, so that a live system, a copied tree, a tar and a bundle are the
same to them. Paths are relative, with `/`; a link that points outside the tree leads nowhere.
"""

from __future__ import annotations

import bz2
import io
import lzma
import stat
import tarfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from slotfit.read.seen import Notes

MAX_FILE_BYTES = 1 << 20
MAX_NAMES = 20_000
_MAX_LINK_HOPS = 40


class FileTree(Protocol):
    """What a reader may ask."""

    refused: list[str]
    """Paths that exist and could not be read for lack of rights."""

    def names(self, path: str) -> list[str]:
        """Names inside a folder, sorted; empty if there is no such folder."""

    def data(self, path: str) -> bytes | None:
        """A regular file's bytes, cut at `MAX_FILE_BYTES`; None if it cannot be read."""

    def real(self, path: str) -> str | None:
        """The path with all links followed, inside the tree; None if it leads outside it."""

    def exists(self, path: str) -> bool:
        """Whether the path leads to something."""


def text_of(tree: FileTree, path: str) -> str | None:
    """A file's text without space around it; None if absent, unreadable or empty."""
    data = tree.data(path)
    if data is None:
        return None
    return data[:4096].decode("utf-8", "replace").strip("\0 \t\r\n") or None


class FolderTree:
    """A folder on disk: a live /sys, or a copy of one."""

    def __init__(self, root: Path) -> None:
        self.root = root.resolve()
        self.refused: list[str] = []
        self._known: dict[str, Path | None] = {}

    def _inside(self, path: str) -> Path | None:
        """The file itself, links followed; None if it lies outside or loops."""
        if path not in self._known:
            self._known[path] = self._followed(path)
        return self._known[path]

    def _followed(self, path: str) -> Path | None:
        """Follows only the last step; the folder above was followed before."""
        above, slash, name = path.rstrip("/").rpartition("/")
        folder = self._inside(above) if slash else self.root
        if folder is None or not name:
            return folder
        try:
            found = folder / name
            if name == ".." or found.is_symlink():
                found = found.resolve()
        except (OSError, RuntimeError, ValueError):
            return None
        return found if found.is_relative_to(self.root) else None

    def names(self, path: str) -> list[str]:
        """Names inside a folder, sorted."""
        folder = self._inside(path)
        if folder is None:
            return []
        try:
            return sorted(entry.name for entry in folder.iterdir())[:MAX_NAMES]
        except PermissionError:
            self.refused.append(path)
        except OSError:
            return []
        return []

    def data(self, path: str) -> bytes | None:
        """A regular file's bytes; pipes and devices are never opened."""
        found = self._inside(path)
        if found is None:
            return None
        try:
            if not stat.S_ISREG(found.stat().st_mode):
                return None
            with found.open("rb") as stream:
                return stream.read(MAX_FILE_BYTES)
        except PermissionError:
            self.refused.append(path)
        except OSError:
            # sysfs answers some reads with an error: a link that is down has no speed.
            return None
        return None

    def real(self, path: str) -> str | None:
        """The path with all links followed."""
        found = self._inside(path)
        return None if found is None else found.relative_to(self.root).as_posix()

    def exists(self, path: str) -> bool:
        """Whether the path leads to something in the tree."""
        found = self._inside(path)
        return found is not None and found.exists()


def _steps(path: str) -> list[str]:
    """The parts of a path, last first; `/` stands first in an absolute one."""
    parts = [part for part in path.split("/") if part not in ("", ".")]
    return [*reversed(parts), "/"] if path.startswith("/") else parts[::-1]


def follow(links: dict[str, str], path: str) -> str | None:
    """
    The path with every link in it followed; None if that leaves the top or does not end.

    >>> follow({"a/x": "../b"}, "a/x/name"), follow({"a": "../.."}, "a")
    ('b/name', None)
    """
    todo = _steps(path)
    done: list[str] = []
    hops = 0
    while todo:
        part = todo.pop()
        if part == "/":
            done = []
            continue
        if part == "..":
            if not done:
                return None
            done.pop()
            continue
        target = links.get("/".join((*done, part)))
        if target is None:
            done.append(part)
            continue
        hops += 1
        if hops > _MAX_LINK_HOPS:
            return None
        todo.extend(_steps(target))
    return "/".join(done)


class MemoryTree:
    """Files and links held in memory, as a tar or a bundle brought them."""

    def __init__(self, files: dict[str, bytes], links: dict[str, str]) -> None:
        self.files = files
        self.links = links
        self.refused: list[str] = []
        self._folders: dict[str, set[str]] = {}
        for path in (*files, *links):
            while path not in self._folders.get(above := path.rpartition("/")[0], ()):
                self._folders.setdefault(above, set()).add(path)
                if not above:
                    break
                path = above  # noqa: PLW2901 - climbing

    def names(self, path: str) -> list[str]:
        """Names inside a folder, sorted."""
        real = self.real(path)
        if real is None:
            return []
        return sorted(path.rpartition("/")[2] for path in self._folders.get(real, ()))[:MAX_NAMES]

    def data(self, path: str) -> bytes | None:
        """A file's bytes."""
        real = self.real(path)
        found = self.files.get(real) if real is not None else None
        return None if found is None else found[:MAX_FILE_BYTES]

    def real(self, path: str) -> str | None:
        """The path with all links followed; going up from the top leads outside."""
        return follow(self.links, path)

    def exists(self, path: str) -> bool:
        """Whether the path leads to something in the tree."""
        real = self.real(path)
        return real is not None and (real in self.files or real in self._folders)


class Below:
    """Part of another tree, seen as a tree; links may still lead through the whole of it."""

    def __init__(self, tree: FileTree, top: str) -> None:
        self.tree = tree
        self.top = top
        self.refused = tree.refused

    def names(self, path: str) -> list[str]:
        """Names inside a folder, sorted."""
        return self.tree.names(f"{self.top}/{path}")

    def data(self, path: str) -> bytes | None:
        """A file's bytes."""
        return self.tree.data(f"{self.top}/{path}")

    def real(self, path: str) -> str | None:
        """The whole tree's path with all links followed."""
        return self.tree.real(f"{self.top}/{path}")

    def exists(self, path: str) -> bool:
        """Whether the path leads to something in the tree."""
        return self.tree.exists(f"{self.top}/{path}")


def sys_folder(tree: FileTree, depth: int = 2) -> FileTree | None:
    """The part of the tree that is a /sys: itself, `sys` in it, or that one or two folders down."""
    if tree.exists("bus/pci/devices"):
        return tree
    if tree.exists("sys/bus/pci/devices") or tree.exists("sys/firmware/dmi"):
        return Below(tree, "sys")
    if depth == 0:
        return None
    for name in tree.names("")[:50]:
        found = sys_folder(Below(tree, name), depth - 1) if not name.startswith(".") else None
        if found:
            return found
    return None


MAX_UNPACKED_BYTES = 256 << 20
MAX_MEMBER_BYTES = 32 << 20
MAX_MEMBERS = 200_000
_TAR_MAGIC_AT, _TAR_MAGIC = 257, b"ustar"
_CHUNK = 1 << 16
_FLAT_FIRST_LINE = b"# slotfit-collect sys 1"
_TAR_ERRORS = (tarfile.TarError, OSError, ValueError, OverflowError, RecursionError, KeyError)


def is_packed(data: bytes) -> bool:
    """Whether these bytes are compressed."""
    return data.startswith((b"\x1f\x8b", b"BZh", b"\xfd7zXZ\0"))


def is_tar(data: bytes) -> bool:
    """Whether these bytes are a tar that is not compressed."""
    return data[_TAR_MAGIC_AT : _TAR_MAGIC_AT + len(_TAR_MAGIC)] == _TAR_MAGIC


def unpack(data: bytes, notes: Notes) -> bytes:
    """The bytes without compression, at most `MAX_UNPACKED_BYTES`; broken ends are noted."""
    if data.startswith(b"\x1f\x8b"):
        machine: zlib._Decompress | bz2.BZ2Decompressor | lzma.LZMADecompressor = (
            zlib.decompressobj(wbits=31)
        )
    elif data.startswith(b"BZh"):
        machine = bz2.BZ2Decompressor()
    else:
        machine = lzma.LZMADecompressor(memlimit=MAX_UNPACKED_BYTES)
    unpacked = bytearray()
    try:
        for at in range(0, len(data), _CHUNK):
            unpacked += machine.decompress(data[at : at + _CHUNK], MAX_UNPACKED_BYTES)
            if machine.eof or len(unpacked) >= MAX_UNPACKED_BYTES:
                break
    except (OSError, EOFError, zlib.error, lzma.LZMAError, ValueError) as error:
        notes.add("damaged", f"the compressed file breaks off: {error}")
    else:
        if not machine.eof:
            notes.add("damaged", "the compressed file breaks off, or unpacks to more than is read")
    return bytes(unpacked[:MAX_UNPACKED_BYTES])


def open_tar(data: bytes, notes: Notes) -> MemoryTree:
    """The regular files and links of a tar; what is left out is noted."""
    files: dict[str, bytes] = {}
    links: dict[str, str] = {}
    total = 0
    for name, content in _members(data, notes):
        if isinstance(content, str):
            links[name] = content
            continue
        total += len(content)
        if total > MAX_UNPACKED_BYTES:
            notes.add("cut", "the tar holds more than is read; the rest was left out")
            break
        files[name] = content
    _spread(files, links, notes)
    return MemoryTree(files, links)


def _members(data: bytes, notes: Notes) -> Iterator[tuple[str, bytes | str]]:
    """Name with bytes for a file, with the target for a link."""
    last = -1
    try:
        with tarfile.open(fileobj=io.BytesIO(data), mode="r:") as tar:
            for count, member in enumerate(tar):
                # Crafted sizes can send the library back to a header it has read.
                if count >= MAX_MEMBERS or member.offset <= last:
                    notes.add("cut", "the tar's members do not end; the rest was left out")
                    return
                last = member.offset
                name = _safe_name(member.name, notes)
                found = _content(tar, member, notes) if name else None
                if name and found is not None:
                    yield name, found
    except _TAR_ERRORS as error:
        notes.add("damaged", f"the tar breaks off: {error}")


def _safe_name(name: str, notes: Notes) -> str | None:
    """The name relative to the tar's top; None, with a note, if it would leave it."""
    parts = [part for part in name.replace("\0", "").split("/") if part not in ("", ".")]
    if ".." in parts:
        notes.add("odd", f"a member of the tar would lie outside it, left out: {name[:80]!r}")
        return None
    return "/".join(parts) or None


def _content(tar: tarfile.TarFile, member: tarfile.TarInfo, notes: Notes) -> bytes | str | None:
    """Bytes of a file, target of a link; None for folders, devices and what is too large."""
    if member.issym():
        return member.linkname
    if member.islnk():
        return "/" + member.linkname.lstrip("/")
    if not member.isreg():
        return None
    if member.issparse() or not 0 <= member.size <= MAX_MEMBER_BYTES:
        text = f"{member.name[:80]!r} claims {member.size} bytes; left out"
        notes.add("cut", text)
        return None
    stream = tar.extractfile(member)
    content = stream.read(MAX_MEMBER_BYTES) if stream else b""
    if len(content) < member.size:
        notes.add("damaged", f"{member.name[:80]!r} breaks off")
    return content


def _spread(files: dict[str, bytes], links: dict[str, str], notes: Notes) -> None:
    """
    Turns the flat list of `sys.txt` into files and links.

    Each line is a path, a tab, and the first line of that file, or `-> ` and a link's target. The
    list names files through links (a device's folder is one), so links are put in first, those
    nearest the top before the rest, and everything is kept under its real path.
    """
    lines: list[tuple[str, str]] = []
    for name in [name for name, data in files.items() if data.startswith(_FLAT_FIRST_LINE)]:
        top = name.rpartition("/")[0]
        for line in files[name].decode("utf-8", "replace").split("\n")[1:]:
            path, tab, value = line.partition("\t")
            safe = _safe_name(f"{top}/{path}", notes) if tab else None
            if safe:
                lines.append((safe, value))
    listed = sorted((path.count("/"), path, value) for path, value in lines if value[:3] == "-> ")
    for _, path, value in listed:
        folder, _, name = path.rpartition("/")
        real = follow(links, folder)
        if real is not None:
            links[f"{real}/{name}"] = value[3:]
    for path, value in lines:
        real = follow(links, path) if value[:3] != "-> " else None
        if real:
            files[real] = value.encode()
