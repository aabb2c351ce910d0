"""Links and drives that work as planned and err: what they counted, and what the kernel wrote."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from slotfit.answers.verify.answer import Finding
from slotfit.answers.verify.causes import CauseEvidence, causes_of
from slotfit.answers.verify.match import Pair
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, NOTE, OPEN, Explained
from slotfit.answers.verify.trained import seen_text
from slotfit.listing import counted
from slotfit.read.seen import DriveSeen, FunctionSeen, KernelLineSeen
from slotfit.standards.soundness import (
    FEW_CORRECTED,
    HARMLESS,
    OF_THE_WIRES,
    QUIET_PER_HOUR,
    START_S,
)

SEVERITIES = ("corrected", "nonfatal", "fatal")
DROPS = ("link-down", "retrained")
OF_DRIVES = ("timeout", "reset", "slowed", "error")


Kind = tuple[str, str]
"""Severity or event, and the kernel's word for the kind of error."""


@dataclass(frozen=True, slots=True)
class Errors:
    """What was counted of one link, or of one drive, since the system started."""

    counts: Counter[Kind]
    """How often; of a log, at least so often."""
    hours: float | None
    fatal: bool = False
    """A status register remembers a fatal error, whenever that was, and nothing was counted."""

    def of(self, *severities: str) -> int:
        """How many of these, those left out that are no sign."""
        return sum(
            count
            for (severity, kind), count in self.counts.items()
            if severity in severities and kind not in HARMLESS
        )

    @property
    def rate(self) -> float | None:
        """Corrected errors an hour; None if nothing says how long the system ran."""
        return self.of("corrected") / self.hours if self.hours else None

    @property
    def weight(self) -> str | None:
        """How much it weighs; None: nothing was counted."""
        if self.of("nonfatal", "fatal", *DROPS, *OF_DRIVES):
            return FAULT
        few = self.of("corrected") <= FEW_CORRECTED
        if not few and self.rate is None:
            return OPEN
        if not few and self.rate is not None and self.rate > QUIET_PER_HOUR:
            return FAULT
        if self.fatal:
            return OPEN
        return NOTE if self.of("corrected") else None

    @property
    def wires(self) -> bool | None:
        """Whether the wires are to blame; None: the kinds do not tell."""
        kinds = {kind for severity, kind in self.counts if severity in SEVERITIES} - HARMLESS
        if kinds & OF_THE_WIRES or self.of(*DROPS) or kinds & {"Physical", "Data"}:
            return True
        return False if kinds - {""} else None


def errors_of(scene: Scene, pair: Pair) -> Errors:
    """What both ends of a link counted, each error being seen by one of them."""
    ends = ends_of_link(scene, pair)
    counts = Counter[Kind]()
    for one in ends:
        counts += _counted(one)
    counting = any(one.errors is not None for one in ends)
    at = {one.address for one in ends}
    counts += _logged([line for line in scene.seen.kernel if line.address in at], counting=counting)
    for drive in pair.end.drives:
        if drive.transport == "nvme":
            counts += _drive_counts(scene.seen.kernel, drive)
    fatal = not counting and any("fatal" in (one.flagged or ()) for one in ends)
    return Errors(counts, hours_of(scene), fatal)


def _logged(lines: Sequence[KernelLineSeen], *, counting: bool) -> Counter[Kind]:
    """What the kernel wrote of a link; errors only where it keeps no count of them."""
    return Counter(
        (line.event, line.layer or "")
        for line in lines
        if (line.event in SEVERITIES and not counting)
        or (line.event in DROPS and line.seconds >= START_S)
    )


def counted_errors(scene: Scene, pair: Pair) -> tuple[int, int, int] | None:
    """Corrected, nonfatal and fatal ones at both ends; None where the kernel counts none."""
    ends = ends_of_link(scene, pair)
    if all(one.errors is None for one in ends):
        return None
    counts = sum((_counted(one) for one in ends), Counter[Kind]())
    found = [sum(n for (of, _), n in counts.items() if of == severity) for severity in SEVERITIES]
    return found[0], found[1], found[2]


def ends_of_link(scene: Scene, pair: Pair) -> list[FunctionSeen]:
    """The functions at both ends: of the part's own device, and the port above."""
    top = pair.end.part.top.address
    own = [one for one in pair.end.part.functions
           if (one.address.domain, one.address.bus, one.address.device)
           == (top.domain, top.bus, top.device)]  # fmt: skip
    port = scene.port(pair.end)
    return [*(own or [pair.end.part.top]), *([port] if port else [])]


def _counted(one: FunctionSeen) -> Counter[Kind]:
    """By kind; the total alone where an older kernel's names were not read."""
    errors = one.errors or ()
    named = {error.severity for error in errors if error.kind != "TOTAL"}
    return Counter(
        {
            (error.severity, "" if error.kind == "TOTAL" else error.kind): error.count
            for error in errors
            if error.kind != "TOTAL" or error.severity not in named
        }
    )


def _drive_counts(lines: Sequence[KernelLineSeen], drive: DriveSeen) -> Counter[Kind]:
    names = (drive.name, *drive.way)
    spaces = f"{drive.name}n"  # nvme0n1 of nvme0
    return Counter(
        (line.event, "")
        for line in lines
        if line.event in OF_DRIVES
        and line.seconds >= START_S
        and (line.who in names or (drive.transport == "nvme" and line.who.startswith(spaces)))
    )


def hours_of(scene: Scene) -> float | None:
    """For how long the system had run."""
    return scene.seen.running_s / 3600 if scene.seen.running_s else None


def unsound(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Links that trained and err, and drives behind adapters that were reset."""
    for pair in scene.matched.pairs:
        found = errors_of(scene, pair)
        weight = found.weight
        if weight is None or told.covers([pair.unit.part]):
            continue
        yield _unsound(scene, pair, found, weight)
    if not told.all:
        yield from _drives(scene)


def _unsound(scene: Scene, pair: Pair, found: Errors, weight: str) -> Finding:
    part, where = pair.unit.part, scene.where(pair.end)
    works = "" if weight == NOTE else " and is not sound"
    text = f"{part} in {where} works at {seen_text(pair)}{works}: {said_of(found)}"
    shown = replace(
        scene.shown(pair.unit, pair.end),
        wires=found.wires,
        silent_drive=bool(found.of("timeout", "reset")) and not found.of(*SEVERITIES, *DROPS),
    )
    causes = () if weight == NOTE else causes_of("errs", shown)
    return Finding("errs", weight, (part,), pair.unit.root, text, causes)


def said_of(found: Errors) -> str:
    """`312 corrected errors (RxErr) in 3 hours, about 104 corrected ones an hour`."""
    said = [
        f"{counted(found.of(severity), f'{severity} error')}{_kinds(found, severity)}"
        for severity in SEVERITIES
        if found.of(severity)
    ]
    said += [
        WORDS[event].format(counted(found.of(event), "time"))
        for event in (*DROPS, *OF_DRIVES)
        if found.of(event)
    ]
    if found.fatal and not said:
        return "its status register remembers a fatal error, whenever that was"
    span = f" in {_span(found.hours)}" if found.hours else " since it started"
    rate = found.rate
    often = f", about {rate:.3g} corrected ones an hour" if rate and rate >= QUIET_PER_HOUR else ""
    return ", ".join(said) + span + often


WORDS = {
    "link-down": "the link went down {}",
    "retrained": "the link was trained again {}",
    "timeout": "it did not answer in time {}",
    "reset": "it was reset {}",
    "slowed": "its link was slowed down {}",
    "error": "reading or writing failed {}",
}


def _kinds(found: Errors, severity: str) -> str:
    kinds = [kind for of, kind in found.counts if of == severity and kind and kind not in HARMLESS]
    return f" ({', '.join(sorted(kinds))})" if kinds else ""


def _span(hours: float) -> str:
    if hours < 2:
        return f"{hours * 60:.0f} minutes"
    return f"{hours:.0f} hours" if hours < 72 else f"{hours / 24:.0f} days"


def _drives(scene: Scene) -> Iterator[Finding]:
    """Drives on adapters and on the board's own ports, by what the kernel wrote of them."""
    holders: list[tuple[str | None, str | None, Sequence[DriveSeen]]] = [
        (pair.unit.part, pair.unit.root, pair.end.drives) for pair in scene.matched.pairs
    ]
    holders += [(None, None, part.drives) for part in scene.seen.onboard]
    for part, root, drives in holders:
        bad = {
            drive.name: Errors(_drive_counts(scene.seen.kernel, drive), hours_of(scene))
            for drive in drives
            if drive.transport != "nvme"
        }
        bad = {name: found for name, found in bad.items() if found.weight == FAULT}
        if not bad:
            continue
        name = part or "the board's own ports"
        all_of_it = len(bad) == len(drives) > 1
        said = "; ".join(f"{one}: {said_of(found)}" for one, found in bad.items())
        text = f"drives on {name} work and are not sound: {said}"
        kind = "adapter-errs" if all_of_it else "drive-errs"
        parts = (part,) if part and all_of_it else ()
        yield Finding("errs", FAULT, parts, root, text, causes_of(kind, CauseEvidence()))
