"""
A tree of small files with links, on disk or in memory, that cannot be left.

Readers of /sys take one of these, so that a live system, a copied tree, a tar and a bundle are the
same to them. Paths are relative, with `/`; a link that points outside the tree leads nowhere.
"""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Protocol

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
