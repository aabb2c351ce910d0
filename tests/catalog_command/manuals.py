"""
Slot tables of manuals, each worded in another way, all invented; and what is true of each board.

`truth`: receptacle -> its fields as a board's file has them. What the table leaves open, or says in
a way that may mean two things, is not in it. Lanes that are shared stand in `groups`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Fields = dict[str, Any]


@dataclass(frozen=True)
class Manual:
    """One manual; `understood` and `listed` count lines."""

    text: str
    truth: dict[str, Fields]
    understood: int
    listed: int = 0
    groups: list[dict[str, list[Any]]] = field(default_factory=list)
    """Each division that is said of lanes that are shared."""
    processors: int = 1


def cem(width: int, lanes: int | None = None, generation: int | None = None, **more: Any) -> Fields:
    found = {"form": "cem", "width": width, "lanes": lanes, "generation": generation, **more}
    return {key: value for key, value in found.items() if value is not None}


def m2(lanes: int | None, generation: int, *lengths: int, **more: Any) -> Fields:
    found: Fields = {"form": "m2-m", "generation": generation, **more}
    found |= {"lanes": lanes} if lanes else {}
    return found | ({"drive_lengths": list(lengths)} if lengths else {})


MANUALS = {
    "sentences": Manual(
        "SLOT1: PCIe 4.0 x16\n"
        "SLOT2: PCIe 3.0 x1, from the chipset\n"
        "SLOT3: PCIe 4.0 x16 (x8 lanes)\n"
        "When SLOT3 is populated, SLOT1 runs at x8.\n"
        "M2_2: M.2 key M 2280, PCIe 3.0 x4 or SATA\n"
        "SATA1-4: four 6 Gb/s ports\n",
        {"SLOT1": cem(16, None, 4), "SLOT2": cem(1, 1, 3), "SLOT3": cem(16, 8, 4),
         "M2_2": {"form": "m2-m", "drive_lengths": [80]}},
        4, 1,
        [{"slot1": [16]}, {"slot1": [8], "slot3": [8]}, {"m2_2": [4]}, {"m2_2": ["sata"]}],
    ),
    "markdown, both widths": Manual(
        "| Slot | Physical | Electrical | PCIe Gen | CPU |\n|---|---|---|---|---|\n"
        "| SLOT1 | x16 | x16 | 5.0 | CPU1 |\n| SLOT2 | x16 | x8 | 5.0 | CPU2 |\n"
        "| SLOT3 | x8 | x4 | 4.0 | CPU2 |\n",
        {"SLOT1": cem(16, 16, 5, **{"from": "cpu0"}), "SLOT2": cem(16, 8, 5, **{"from": "cpu1"}),
         "SLOT3": cem(8, 4, 4, **{"from": "cpu1"})},
        3, processors=2,
    ),
    "csv, numbers alone": Manual(
        "Name,Connector size,Lanes,Generation,Source\nPCIE1,16,16,4,CPU0\nPCIE2,16,8,4,CPU1\n"
        "PCIE3,8,4,3,PCH\n",
        {"PCIE1": cem(16, 16, 4, **{"from": "cpu0"}), "PCIE2": cem(16, 8, 4, **{"from": "cpu1"}),
         "PCIE3": cem(8, 4, 3)},
        3, processors=2,
    ),
    "csv with semicolons and notes": Manual(
        "Slot;Lanes;Notes\nSLOT1;x16;PCIe 4.0\nSLOT2;x4;PCIe 3.0, in x8 slot, chipset\n"
        "SLOT3;x4;reserved for the management card\n",
        {"SLOT1": {"form": "cem", "lanes": 16, "generation": 4},
         "SLOT2": {"form": "cem", "lanes": 4, "generation": 3}},
        1, 2,
    ),
    "in brackets": Manual(
        "- PCIEX16_1 (PCIe 5.0 x16, CPU)\n- PCIEX16_2 (PCIe 4.0 x4 in x16 slot, chipset)\n"
        "- PCIEX1_1 (PCIe 3.0 x1, chipset)\n",
        {"PCIEX16_1": cem(16, 16, 5, **{"from": "cpu0"}), "PCIEX16_2": cem(16, 4, 4),
         "PCIEX1_1": cem(1, 1, 3)},
        3,
    ),
    "runs at": Manual(
        "Slot 1 - PCI Express 3.0 x16 slot running at x8\n"
        "Slot 2 - PCI Express 3.0 x8 slot wired as x4\n"
        "Slot 3 - PCI Express 3.0 x4, open-ended\n",
        {"Slot 1": cem(16, 8, 3), "Slot 2": cem(8, 4, 3), "Slot 3": cem(4, 4, 3, open_end=True)},
        3,
    ),
    "shares, and not how": Manual(
        "SLOT1: PCIe 4.0 x16, shares bandwidth with SLOT2\nSLOT2: PCIe 4.0 x8\n"
        "SLOT4: PCIe 4.0 x4\n",
        {"SLOT1": cem(16, None, 4), "SLOT2": cem(8, None, 4), "SLOT4": cem(4, 4, 4)},
        3,
    ),
    "disabled when": Manual(
        "M2_1: PCIe 4.0 x4, 2280\nSLOT5: PCIe 4.0 x4, disabled when M2_1 is in use\n",
        {"M2_1": m2(4, 4, 80), "SLOT5": cem(4, None, 4)},
        2, groups=[{"slot5": [4]}, {"m2_1": [4]}],
    ),
    "a note at the end": Manual(
        "SLOT1: PCIe 4.0 x16\nSLOT2: PCIe 4.0 x8\n* SLOT2 loses its link with older processors\n",
        {"SLOT1": cem(16, 16, 4)},
        1, 2,
    ),
    "risers": Manual(
        "RISER1: PCIe 4.0 x16 riser slot, CPU1\nRISER2: PCIe 4.0 x16 riser slot, CPU2\n"
        "Riser card A offers two x8 slots\n",
        {"RISER1": cem(16, 16, 4, **{"from": "cpu0"}),
         "RISER2": cem(16, 16, 4, **{"from": "cpu1"})},
        2, 1, processors=2,
    ),
    "cables and bays": Manual(
        "MCIO1: MCIO 8i, PCIe 5.0 x8, CPU1\nMCIO2: MCIO 8i, PCIe 5.0 x8, CPU2\n"
        "SLIM1: SlimSAS 8i, PCIe 4.0 x8 or 8 SATA\nU2_1: U.2, PCIe 4.0 x4\nOCP1: OCP 2.0 x16\n",
        {"MCIO1": {"form": "mcio-8", "generation": 5, "lanes": 8, "from": "cpu0"},
         "MCIO2": {"form": "mcio-8", "generation": 5, "lanes": 8, "from": "cpu1"},
         "U2_1": {"form": "u2", "generation": 4, "lanes": 4}},
        3, 2, processors=2,
    ),
    "keys of M.2": Manual(
        "M.2_1: M-key, PCIe Gen5 x4, 2260/2280/22110\nM.2_2: E-key, for wireless\n"
        "M.2_3: PCIe 3.0 x2\nM.2_4: PCIe Gen4 x4\n",
        {"M.2_1": m2(4, 5, 60, 80, 110), "M.2_4": m2(4, 4)},
        2, 2,
    ),
    "watts and brackets": Manual(
        "SLOT1: PCIe 4.0 x16, 75 W, full-height\nSLOT2: PCIe 4.0 x8, 25W, low-profile\n"
        "SLOT3: PCIe 4.0 x8, max. 40 W with side plug\n",
        {"SLOT1": cem(16, 16, 4, power_w=75, bracket="full"),
         "SLOT2": cem(8, 8, 4, power_w=25, bracket="low")},
        2, 1,
    ),
    "older buses beside": Manual(
        "PCI1: PCI 32-bit/33 MHz\nMINI1: Mini PCIe x1\nPCIE1: PCIe 2.0 x16\n",
        {"PCIE1": cem(16, 16, 2)},
        1, 2,
    ),
    "processors in names": Manual(
        "CPU1_SLOT1: PCIe 5.0 x16\nCPU2_SLOT2: PCIe 5.0 x16 (CPU1)\n"
        "CPU2_SLOT3: PCIe 5.0 x8 (in x16)\n",
        {"CPU1_SLOT1": cem(16, 16, 5, **{"from": "cpu0"}),
         "CPU2_SLOT3": cem(16, 8, 5, **{"from": "cpu1"})},
        2, 1, processors=2,
    ),
    "the same name twice": Manual(
        "SLOT1: PCIe 4.0 x16\nSLOT1: PCIe 4.0 x8 with two processors\nSLOT2: PCIe 4.0 x16 or x8\n",
        {}, 0, 3,
    ),
}  # fmt: skip
