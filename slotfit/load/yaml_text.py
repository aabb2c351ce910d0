"""A file's text: read with limits, decoded, and looked over for what YAML cannot hold."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import yaml

from slotfit.errors import InputError, Mistake
from slotfit.files import catalog_root
from slotfit.load.words import close_to
from slotfit.model.entity import Span

LARGEST_BYTES = 1_000_000

LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

UNPRINTABLE = re.compile(
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufeff\ufffe\uffff"
    r"\u2028-\u202e\u2066-\u2069]"
)
"""
What YAML 1.2.2 (5.1, c-printable) leaves out, and marks that break or turn a line unseen: U+0085,
line separators, and the directional controls of Unicode annex 9.
"""

WIDE_MARKS = (b"\xff\xfe", b"\xfe\xff")
"""Byte order marks of UTF-16 (and, for the first, UTF-32)."""


def shown(path: Path) -> str:
    """
    How messages name a file: from the working folder if it is below it.

    A file of the catalog that came along is `catalog/...`, wherever that is installed.
    """
    for above, below in ((Path.cwd(), ""), (catalog_root(), "catalog/")):
        try:
            return below + str(path.resolve().relative_to(above))
        except (ValueError, OSError, RuntimeError):  # a loop of links, a character no name has
            continue
    return str(path)


def folder_of(path: Path) -> Path:
    """
    The folder that paths in a file are relative to.

    What comes through a pipe (`/dev/stdin`, `/dev/fd/63`) lies in none: they start where one works.
    """
    if path.parts[:2] != ("/", "dev"):
        return path.parent
    real = path.resolve()
    return real.parent if real.is_file() else Path()


def refuse(where: Span | str, text: str) -> InputError:
    """The error for a file that cannot be read at all."""
    return InputError([Mistake(where, "", text)])


def missing(path: Path, file: str) -> InputError:
    """The error for a file that is not there, with its likeliest neighbour."""
    folder = path.parent
    if not folder.is_dir():
        return refuse(file, f"there is no folder {shown(folder)}")
    if path.is_symlink():
        return refuse(file, f"is a link to {path.readlink()}, which is not there")
    names = sorted(entry.name for entry in folder.iterdir())
    return refuse(file, f"there is no such file{close_to(path.name, names)}")


def read_bytes(path: Path, file: str) -> bytes:
    """At most `LARGEST_BYTES`; raises InputError for what cannot be read."""
    try:
        if path.is_dir():
            raise refuse(file, "this is a folder; name a file in it")
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise missing(path, file) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refuse(file, f"cannot be read: {reason}") from None
    if len(raw) > LARGEST_BYTES:
        limit = LARGEST_BYTES // 1_000_000
        raise refuse(file, f"larger than {limit} MB; a description is a few kilobytes")
    return raw


def decode(raw: bytes, file: str) -> str:
    """UTF-8 text, its byte order mark left out; InputError names the line of the first bad byte."""
    if raw.startswith(WIDE_MARKS):
        raise refuse(file, "this is UTF-16 text; save the file as UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", errors="replace")
        line, column = position(before, len(before))
        byte = raw[error.start]
        text = f"byte {error.start} (0x{byte:02x}) is not UTF-8; save the file as UTF-8"
        raise refuse(Span(file, line, column), text) from None


def position(text: str, offset: int) -> tuple[int, int]:
    """Line and column, from 1, of a character; lines end as YAML and editors end them."""
    lines = re.split(r"\r\n|\r|\n", text[:offset])
    return len(lines), len(lines[-1]) + 1


def check_characters(text: str, file: str) -> None:
    """InputError at the first character that YAML does not allow."""
    if found := UNPRINTABLE.search(text):
        line, column = position(text, found.start())
        code = f"U+{ord(found.group()):04X}"
        raise refuse(
            Span(file, line, column),
            f"unprintable character {code}; is this a text file?",
        )


def read_text(path: Path) -> tuple[str, str]:
    """A file's text, and the name to call it by."""
    file = shown(path)
    text = decode(read_bytes(path, file), file)
    check_characters(text, file)
    return text, file
