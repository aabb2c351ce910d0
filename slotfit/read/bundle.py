"""
Opens a tar in memory: what `collect.sh` writes, or a /sys tree someone packed.

A tar from elsewhere is hostile until shown otherwise: nothing is written to disk, names are never
used as paths on disk, links are only looked up inside the tar, and members, sizes and the unpacked
whole are bounded, whatever the headers claim.
"""

from __future__ import annotations

import bz2
import io
import lzma
import tarfile
import zlib
from collections.abc import Iterator

from slotfit.read.file_tree import MemoryTree, follow
from slotfit.read.seen import Notes

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
