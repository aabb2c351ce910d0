"""Values of single /sys files."""

from __future__ import annotations

import re

from slotfit.read.file_tree import FileTree, text_of


def last(tree: FileTree, path: str) -> str | None:
    """The last name of a link's real path; None if it is no link."""
    real, own = tree.real(path), tree.real(path.rpartition("/")[0])
    if real is None or own is None or real == f"{own}/{path.rpartition('/')[2]}":
        return None
    return real.rpartition("/")[2] or None


def decimal(tree: FileTree, path: str) -> int | None:
    """A decimal number; None if the file is absent or holds none."""
    text = text_of(tree, path)
    return int(text) if text and re.fullmatch(r"-?[0-9]{1,18}", text) else None


def hexadecimal(tree: FileTree, path: str) -> int | None:
    """A number written `0x...`; None if the file is absent or holds none."""
    text = text_of(tree, path)
    return int(text, 16) if text and re.fullmatch(r"0x[0-9a-fA-F]{1,8}", text) else None


def digits(text: str | None) -> int | None:
    """A plain number; None if the text is none."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,9}", text) else None


def at_least_0(number: int | None) -> int | None:
    """-1 stands for "not known" in /sys."""
    return None if number is None or number < 0 else number


def first(*values: int | None) -> int | None:
    """The first value that is said."""
    return next((value for value in values if value is not None), None)
