"""A description put into a folder: whole or not at all, over nothing that is there unless asked."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from slotfit.errors import InputError, Mistake


def write_files(folder: Path, files: Mapping[str, str], *, force: bool) -> list[Path]:
    """
    Write files, by their path below `folder`, which is made if it is not there.

    Everything is written beside the folder first; then a new folder takes its name in one step, and
    in one that is there the files are renamed in one by one, those that others refer to first.
    Raises InputError, nothing having changed, if a file is there already and `force` is not given,
    or if the folder cannot be written.
    """
    target = Path(os.path.realpath(folder))
    check(folder, target, files, force=force)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        staged = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name[:40]}."))
    except OSError as error:
        raise refused(folder, error) from error
    try:
        stage(staged, files)
        move_in(staged, target, files)
    except OSError as error:
        raise refused(folder, error) from error
    finally:
        shutil.rmtree(staged, ignore_errors=True)
    return [folder / name for name in files]


def check(folder: Path, target: Path, files: Mapping[str, str], *, force: bool) -> None:
    """Everything that speaks against writing, before anything is written."""
    if target.exists() and not target.is_dir():
        raise InputError([Mistake(str(folder), "", "there is a file of this name; name a folder")])
    inner = {target / name for name in files} | {(target / name).parent for name in files}
    links = sorted(path for path in inner - {target} if path.is_symlink())
    if links:
        text = "a link; nothing is written through links, so that nothing lands outside the folder"
        raise InputError(Mistake(str(path), "", text) for path in links)
    there = sorted(path for path in (target / name for name in files) if path.exists())
    if there and not force:
        text = "is there already; name another folder, or give --force to write over it"
        raise InputError(
            Mistake(str(folder / path.relative_to(target)), "", text) for path in there
        )


def stage(staged: Path, files: Mapping[str, str]) -> None:
    """Every file in the folder aside, with the rights that a new file gets."""
    mask = os.umask(0)
    os.umask(mask)
    staged.chmod(0o777 & ~mask)
    for name, text in files.items():
        path = staged / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def move_in(staged: Path, target: Path, files: Mapping[str, str]) -> None:
    """The folder takes its name, or its files take theirs."""
    if not target.exists():
        staged.rename(target)
        return
    for name in files:
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        (staged / name).replace(target / name)


def refused(folder: Path, error: OSError) -> InputError:
    """The error in words."""
    reason = error.strerror or str(error)
    return InputError([Mistake(str(folder), "", f"cannot be written: {reason}")])
