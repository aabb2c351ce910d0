"""
The first start: what to look at, which commands to run, which lines to expect.

`lspci -vv` prints a trained link as `LnkSta: Speed 8GT/s, Width x8`, with `(downgraded)` behind
what is below the part's own ability (pciutils, from memory); `lspci -d ::0108` lists NVMe drives
(class 01, subclass 08 of the PCI class codes, as quoted); the kernel's words are those of Linux
6.12 drivers/pci/pci.c.
"""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.listing import in_short
from slotfit.render.steps_view import Section, Step
from slotfit.render.view import LinkView, SeatView, View
from slotfit.standards import pcie


def first_start(view: View) -> Section:
    """From the last look inside to the links."""
    if not view.seats:
        return Section("start", "First start", ())
    steps = [
        Step(
            "start/look",
            "Look once more: no tool or screw left inside, every plug and latch home, no cable in "
            "a fan.",
        ),
        Step("start/air", "Blanking plates, ducts and lid on, before any card has to work."),
        *settings_again(view),
        *link_steps(view),
    ]
    if any(seat.body and seat.body.cooling == "passive" for seat in view.seats):
        text = "Put the cards under load and watch their temperatures for half an hour."
        steps.append(Step("start/heat", text))
    return Section("start", "First start", tuple(steps))


def settings_again(view: View) -> Iterator[Step]:
    """Firmware may fall back when it finds other cards."""
    changed = [one.text for one in view.settings if one.changes and one.how == "setting"]
    if changed:
        yield Step(
            "start/settings",
            "In firmware setup, see that every choice is still there: some firmware falls back "
            "when it finds other cards.",
            tuple(f"“{text}”" for text in changed),
        )


def link_steps(view: View) -> Iterator[Step]:
    """Which device is in which slot, and how its link came up."""
    rows = list(expected(view))
    if not rows:
        return
    yield Step(
        "start/slots",
        "Find the bus address of each slot.",
        code=("sudo dmidecode -t slot | grep -E 'Designation|Bus Address'",),
    )
    drives = sum(seat.part_class == "drive" for seat, _ in rows)
    if drives:
        yield Step(
            "start/drives",
            f"Count the NVMe drives: at least {drives}.",
            code=("lspci -d ::0108 | wc -l",),
        )
    yield Step(
        "start/links",
        "Compare each link with what the plan expects (next steps).",
        code=("sudo lspci -vv | grep -E '^[0-9a-f]|LnkSta:'",),
    )
    yield from expected_lines(rows)
    slow = [seat.item for seat, link in rows if link.why]
    said = f"lines for {in_short(slow)} at most" if slow else "no line"
    yield Step(
        "start/kernel",
        f"Ask the kernel which links it finds slow: {said}.",
        code=("sudo dmesg | grep 'available PCIe bandwidth'",),
    )


def expected(view: View) -> Iterator[tuple[SeatView, LinkView]]:
    """Every link that a device of its own ends."""
    for seat in view.seats:
        for link in seat.links:
            if link.bus == "pcie" and link.lanes and not link.to:
                yield seat, link


def expected_lines(rows: list[tuple[SeatView, LinkView]]) -> Iterator[Step]:
    """The line to look for, part by part; parts that sit alike on one carrier share a step."""
    groups: dict[tuple[str, str, str], list[SeatView]] = {}
    for seat, link in rows:
        holder = "" if not seat.depth else seat.owner
        key = (holder or seat.item, line_of(link), "(downgraded) is expected" if link.why else "")
        groups.setdefault(key, []).append(seat)
    for (holder, line, remark), seats in groups.items():
        names = in_short(dict.fromkeys(seat.item for seat in seats))
        where = f"on {holder}" if seats[0].depth else f"in {seats[0].label}"
        count = f", {len(seats)} times" if len(seats) > 1 else ""
        details = (remark + ".",) if remark else ()
        # An id holds no white space (HTML standard 3.2.6).
        id_ = f"start/link/{seats[0].item}/{''.join(line.split())}"
        yield Step(id_, f"{names} {where}{count}", details, (line,))


def line_of(link: LinkView) -> str:
    """What `lspci -vv` prints."""
    if link.generation is None:
        return f"LnkSta: Width x{link.lanes}"
    return f"LnkSta: Speed {pcie.gt_s(link.generation):g}GT/s, Width x{link.lanes}"
