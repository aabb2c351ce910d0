"""The whole of it: from a machine to files as text, and to what must be said beside them."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from slotfit.answers.read.board import (
    Origins,
    ProcessorSocket,
    board_block,
    board_id,
    division_of,
    fitted_of,
    origins_of,
    processors_of,
)
from slotfit.answers.read.layout import PartEntry, PartFiles, assumed_fields, part_block, with_homes
from slotfit.answers.read.slots import BoardSlot, Omitted, slots_of
from slotfit.answers.read.yaml_text import (
    Places,
    YamlBlock,
    YamlComment,
    YamlField,
    YamlList,
    clean,
    said,
    slug,
    yaml_text,
)
from slotfit.errors import InputError, Mistake
from slotfit.model.build import UNKNOWN
from slotfit.read.machine import MachineSeen
from slotfit.read.pci_ids import PciIds
from slotfit.read.pci_tree import Topology

BOARD_FILE, BUILD_FILE, PARTS_FOLDER = "board.yaml", "build.yaml", "parts"


def build_block(
    name: str,
    seen: MachineSeen,
    fitted: tuple[str, ...] | None,
    parts: Sequence[PartEntry],
    slots: Sequence[BoardSlot],
    places: Places,
) -> YamlBlock:
    """The build file of the machine `name`, with today's layout and settings."""
    entries: list[YamlField | YamlComment] = [
        YamlComment(
            "The machine as it is today, read from itself. Add what is to come, then: slotfit place"
        ),
        YamlField("kind", "build"),
        YamlField("id", name),
        YamlField("machines", YamlList((_machine(name, seen, fitted, slots, places),))),
        YamlComment(),
        YamlField("parts", YamlList(tuple(_part(part) for part in parts))),
        YamlComment(),
    ]
    today = [part for part in parts if part.receptacle]
    if today:
        entries.append(
            YamlField(
                "today", YamlBlock(tuple(YamlField(one.id, str(one.receptacle)) for one in today))
            )
        )
    if settings := {f"{name}/{slot.id}": way for slot in slots if (way := division_of(slot))}:
        chosen = YamlBlock(tuple(YamlField(*one, "as its ports show") for one in settings.items()))
        entries.append(YamlField("sequence", YamlBlock((YamlField("settings_today", chosen),))))
    return YamlBlock(tuple(entries))


def _machine(
    name: str,
    seen: MachineSeen,
    fitted: tuple[str, ...] | None,
    slots: Sequence[BoardSlot],
    places: Places,
) -> YamlBlock:
    entries: list[YamlField | YamlComment] = [
        YamlField("id", name),
        YamlField("board", f"./{BOARD_FILE}"),
    ]
    if fitted is not None:
        entries.append(YamlField("processors", fitted, "the other sockets are empty"))
    if doubted := [slot for slot in slots if slot.perhaps_in_use and not slot.aside]:
        told = places.told(doubted[0].seen.occupied)
        why = f"{doubted[0].id}: {told.basis if told else ''}"
        entries.append(YamlField("perhaps_in_use", [slot.id for slot in doubted], why))
    entries += [YamlComment(text) for text in _around(seen, places)]
    return YamlBlock(tuple(entries))


def _around(seen: MachineSeen, places: Places) -> Iterator[str]:
    """Chassis and supply: what the table says of them, for whoever writes them down."""
    for one in seen.chassis[:1]:
        height = f", {one.height_u} U" if one.height_u else ""
        kind = clean(one.chassis_type or "not named")
        yield f"chassis: not described; the table says: {kind}{height} ({places.at(one.where)})"
    if not seen.chassis:
        yield "chassis: not described: room for cards, bays, air"
    yield "power_supply, base_w: not described" + "".join(_supplies(seen, places))


def _supplies(seen: MachineSeen, places: Places) -> Iterator[str]:
    known = [one for one in seen.power_supplies if one.max_power_w]
    for number, one in enumerate(known[:4]):
        lead = "; the table says: " if number == 0 else ", "
        model = said(one.model) or said(one.name) or "a supply"
        yield f"{lead}{model} of {one.max_power_w} W ({places.at(one.where)})"


def _part(part: PartEntry) -> YamlBlock:
    fields: list[YamlField | YamlComment] = [
        YamlField("id", part.id, part.title),
        YamlField("part", UNKNOWN if part.is_unknown else f"./{PARTS_FOLDER}/{part.file}.yaml"),
    ]
    if part.stays and part.receptacle:
        fields.append(YamlField("pin", part.receptacle, part.remark))
    if part.only:
        fields.append(YamlField("only", part.only))
    if not part.required:
        fields.append(YamlField("required", value=False))
        fields += [YamlComment(part.remark)] if part.remark else []
    return YamlBlock(tuple(fields))


@dataclass(frozen=True, slots=True)
class Description:
    """
    The files, by path below the folder they go to; and what they are made from.

    `odd` are doubts that arose on the way, beside the disagreements and notes of `seen`.
    """

    name: str
    title: str
    files: Mapping[str, str]
    seen: MachineSeen
    slots: tuple[BoardSlot, ...]
    omitted: tuple[Omitted, ...]
    parts: tuple[PartEntry, ...]
    sockets: tuple[ProcessorSocket, ...]
    origins: Mapping[str, str]
    """Slot -> processor or hub that its lanes come from, where it is known."""
    assumed: Mapping[str, tuple[str, ...]]
    """Part file -> its fields that nothing says."""
    odd: tuple[str, ...] = ()


def describe(
    seen: MachineSeen, name: str, places: Places, ids: PciIds | None = None
) -> Description:
    """
    Files for a machine, called `name` in its build file (made fit for an id).

    Never raises for what a machine may say; what is not known is left out of the files.
    """
    name = slug(name, "machine")
    topology = Topology({one.address: one for one in seen.functions})
    seen, adrift = with_homes(seen, topology)
    sockets = processors_of(seen, places)
    slots, omitted = slots_of(seen, topology, places)
    origins = origins_of(seen, slots, sockets, topology, places)
    layout = PartFiles(ids)
    layout.reserve((name,))
    for slot in slots:
        layout.add_slot(slot, places)
    for part, near in adrift:
        layout.add_unplaced(part, [slot for slot in slots if slot.seen in near])
    top = _processor_of(origins)
    # Processors with a part on them that answers.
    alive = frozenset(top[slot.id] for slot in slots if slot.parts and slot.id in top)
    fitted, proven = fitted_of(sockets.value, alive)
    files = {
        f"{PARTS_FOLDER}/{file}.yaml": yaml_text(part_block(piece, file, title, places))
        for file, (piece, title) in layout.files.items()
    }
    files[BOARD_FILE] = yaml_text(board_block(seen, sockets, slots, omitted, origins, places))
    files[BUILD_FILE] = yaml_text(build_block(name, seen, fitted, layout.parts, slots, places))
    return Description(
        name,
        board_id(seen)[1],
        files,
        seen,
        slots,
        omitted,
        tuple(layout.parts),
        sockets.value,
        {slot: told.value for slot, told in origins.of.items()},
        {file: assumed_fields(piece) for file, (piece, _) in layout.files.items()},
        tuple(
            f"the table calls the socket of {one} empty, and a part on it answers: taken as fitted"
            for one in proven
        ),
    )


def _processor_of(origins: Origins) -> dict[str, str]:
    """Slot -> the processor at the top of its origin."""
    above = {hub.id: hub.from_ for hub in origins.hubs.values()}
    found = {}
    for slot, told in origins.of.items():
        name = told.value
        while name in above:
            name = above[name]
        found[slot] = name
    return found


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
