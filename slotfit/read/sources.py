"""
Opens any source a user may name, by what is in it and not by what it is called.

A folder is a /sys tree or holds dumps; a file is a tar (compressed or not), a binary table, or a
text in which several listings may stand one after the other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from slotfit.errors import InputError, Mistake
from slotfit.read import dmidecode_text, file_tree, lspci_other, smbios
from slotfit.read.file_tree import FileTree, FolderTree, MemoryTree, sys_folder
from slotfit.read.join import join
from slotfit.read.kernel_log import looks_like_log, parse_log
from slotfit.read.lspci_other import looks_like_records, looks_like_tree
from slotfit.read.lspci_text import parse_text
from slotfit.read.machine import MachineSeen
from slotfit.read.pasted import decode, lines_of
from slotfit.read.seen import Note, Notes, Reading, Where
from slotfit.read.sysfs import read_sys

MASKING = "\nkeep=0\n"


def collecting_script(*, keep: bool = False) -> str:
    """The shell script that collects; `keep`: it masks nothing."""
    text = (files("slotfit.read") / "collect.sh").read_text(encoding="ascii")
    return text.replace(MASKING, "\nkeep=1\n", 1) if keep else text


MAX_SOURCE_BYTES = 512 << 20
MAX_FILES = 200
_TABLES = "firmware/dmi/tables"
_ANCHORS = (b"_SM3_", b"_SM_", b"_DMI_")
_DMIDECODE = re.compile(
    r"^\W*(?:# dmidecode \d|Handle 0x[0-9A-Fa-f]{4}|System Slot Information|# No SMBIOS nor DMI"
    r"|Designation: \S|Base Board Information|Scanning /dev/mem for entry point)",
    re.MULTILINE,
)
_LSPCI = re.compile(
    r"[0-9a-fA-F]{1,2}:[0-9a-fA-F]{2}\.[0-7] \S|LnkCap:|Capabilities:|\.[0-7]$", re.MULTILINE
)
_HEX = re.compile(r"^\W*0?00:(?: [0-9a-fA-F]{2}){4}", re.MULTILINE)
# In a bundle these hold what its tree holds too, or what it is about.
_NOT_SOURCES = ("sys.txt", "about.txt", "not-read.txt", "DMI", "smbios_entry_point")


STANDARD_INPUT = Path("/dev/stdin")


def machine_seen(sources: Sequence[Path]) -> MachineSeen:
    """
    The one machine that the sources speak of; `-` is standard input.

    Raises InputError if they say nothing of any.
    """
    readings: list[Reading] = []
    mistakes: list[Mistake] = []
    for source in sources:
        try:
            readings += readings_of(STANDARD_INPUT if str(source) == "-" else source)
        except OSError as error:
            reason = error.strerror or str(error)
            mistakes.append(Mistake(str(source), "", f"cannot be read: {reason}"))
    if mistakes:
        raise InputError(mistakes)
    seen = join(readings)
    if not (seen.receptacles or seen.functions or seen.boards or seen.processors):
        said = [f"{note.text} ({note.where})" for note in seen.notes]
        text = "; ".join(said) or "nothing in it speaks of slots, boards or devices; was it root?"
        raise InputError([Mistake(", ".join(map(str, sources)), "", text)])
    return seen


def readings_of(path: Path) -> tuple[Reading, ...]:
    """
    Every reading a source gives, the better-founded first.

    Raises OSError if the path cannot be opened; everything else odd is a note in a reading. A
    source that holds nothing known gives one empty reading with a note that says so.
    """
    name = str(path)
    if path.is_dir():
        return _folder(path)
    with path.open("rb") as stream:
        data = stream.read(MAX_SOURCE_BYTES)
    return _known_or_note(readings_of_bytes(data, name), name)


def readings_of_bytes(data: bytes, name: str) -> tuple[Reading, ...]:
    """The readings of one file's content; empty if nothing known is in it."""
    notes = Notes(name)
    if file_tree.is_packed(data):
        data = file_tree.unpack(data, notes)
    if file_tree.is_tar(data):
        found = _tree(file_tree.open_tar(data, notes), name)
    elif data.startswith(_ANCHORS) or _is_bare_table(data):
        found = [smbios.parse(data, name)]
    else:
        found = _text(decode(data), name)
    if found and notes.found:
        found[0] = found[0].with_notes(*notes.done())
    return tuple(found)


def _known_or_note(found: tuple[Reading, ...], name: str) -> tuple[Reading, ...]:
    if found:
        return found
    text = (
        "nothing known is in it; expected: the tar of `slotfit collect`, a /sys folder, the text "
        "of lspci -vv or dmidecode, lspci -xxxx, or a binary SMBIOS table"
    )
    return (Reading("unknown", name, notes=(Note("odd", text, Where(name)),)),)


def _is_bare_table(data: bytes) -> bool:
    """Whether this is a table without an entry point: it has zero bytes and its walk succeeds."""
    if b"\0\0" not in data[:4096] or data[:1] > b"\x7f":
        return False
    reading = smbios.parse(data, "")
    return bool(reading.slots_read) and not any(note.kind == "damaged" for note in reading.notes)


def _folder(path: Path) -> tuple[Reading, ...]:
    tree = FolderTree(path)
    system = sys_folder(tree)
    if system:
        return tuple(_system(system, str(path)))
    found: list[Reading] = []
    for entry in sorted(path.iterdir())[:MAX_FILES]:
        if entry.is_file():
            found += readings_of_bytes(entry.read_bytes()[:MAX_SOURCE_BYTES], str(entry))
    return _known_or_note(tuple(found), str(path))


def _tree(tree: MemoryTree, name: str) -> list[Reading]:
    """A tar: its /sys part, then each other file for itself."""
    system = sys_folder(tree)
    found = _system(system, name) if system else []
    found += _loose_table(tree, name)
    others = [path for path in tree.files if not _inside_sys(path)]
    for path in sorted(others)[:MAX_FILES]:
        data = tree.files[path]
        if path.rpartition("/")[2] not in _NOT_SOURCES and not file_tree.is_packed(data):
            found += readings_of_bytes(data, f"{name}/{path}") if not file_tree.is_tar(data) else ()
    if found:
        found[0] = found[0].with_notes(*_not_read(tree, name))
    return found


def _inside_sys(path: str) -> bool:
    return bool(re.search(r"(?:^|/)(?:sys|proc)/", path))


def _system(system: FileTree, name: str) -> list[Reading]:
    """A /sys tree, and the table it holds."""
    found = [read_sys(system, name)]
    table = system.data(f"{_TABLES}/DMI")
    if table:
        entry = system.data(f"{_TABLES}/smbios_entry_point")
        found.append(smbios.parse_table(table, entry, f"{name}/{_TABLES}/DMI"))
    return found


def _loose_table(tree: MemoryTree, name: str) -> list[Reading]:
    """The table beside the lists of a bundle."""
    for path, data in tree.files.items():
        if path.rpartition("/")[2] == "DMI" and not _inside_sys(path):
            entry = tree.files.get(path.removesuffix("DMI") + "smbios_entry_point")
            return [smbios.parse_table(data, entry, f"{name}/{path}")]
    return []


def _not_read(tree: MemoryTree, name: str) -> list[Note]:
    """What the collecting script could not read, in its own words."""
    path = next((one for one in tree.files if one.rpartition("/")[2] == "not-read.txt"), None)
    if path is None:
        return []
    lines = tree.files[path][:65536].decode("utf-8", "replace").splitlines()[:100]
    return [
        Note("not-read", line, Where(f"{name}/{path}", line=number))
        for number, line in enumerate(lines, start=1)
        if line.strip()
    ]


def _text(text: str, name: str) -> list[Reading]:
    """Every listing in a text; what it holds is looked for as the readers see it."""
    found: list[Reading] = []
    shown = "\n".join(line for _, line in lines_of(text))
    if _DMIDECODE.search(shown):
        found.append(dmidecode_text.parse(text, name))
    if _HEX.search(shown):
        found.append(lspci_other.parse_hex(text, name))
    if _LSPCI.search(shown):
        found.append(parse_text(text, name))
    if looks_like_records(shown):
        found.append(lspci_other.parse_records(text, name))
    if looks_like_tree(text):
        found.append(lspci_other.parse_tree(text, name))
    if looks_like_log(shown):
        found.append(parse_log(text, name))
    return [one for one in found if _says_something(one)]


def _says_something(one: Reading) -> bool:
    of_machine = one.functions or one.slots or one.boards or one.processors or one.onboard
    return bool(of_machine or one.notes or one.running_s)
