"""
Slot tables of fifteen more manuals, all invented, by somebody who saw neither code nor examples.

The texts were written first and have stayed as they were, and so have form, width, lanes,
generation and origin in `truth`: what a careful reader takes from a table, of shared lanes the
most that the slot is ever given. Lengths of drives, open ends and numbers of processors were read
from the texts afterwards; lines understood and listed, and groups, are counted from what the code
makes. What is no slot, and a form that a board's file has no word for, is not in it.
"""

from __future__ import annotations

from typing import Any

from tests.catalog_command.manuals import Fields, Manual, cem, m2

ON = [{"from": f"cpu{number}"} for number in range(2)]


def socket_m(lanes: int, generation: int, *lengths: int, **more: Any) -> Fields:
    return m2(lanes, generation, *lengths, width=4, **more)


MANUALS_OF_OTHERS = {
    "columns by spaces": Manual(
        """\
2.4 Expansion slots

Slot name    Slot type     Bandwidth                 Connected to
------------------------------------------------------------------
PCIE1        x16 slot      PCIe 5.0 x16              CPU
PCIE2        x1 slot       PCIe 3.0 x1               Chipset
PCIE3        x16 slot      PCIe 4.0 x4               Chipset
PCIE4        x4 slot       PCIe 3.0 x2               Chipset
M2_1         M.2 Key M     PCIe 5.0 x4               CPU
M2_2         M.2 Key M     PCIe 4.0 x4               Chipset
M2_3         M.2 Key M     PCIe 4.0 x4 or SATA       Chipset
M2_WIFI      M.2 Key E     PCIe 3.0 x1 + USB 2.0     Chipset
LAN1         onboard       PCIe 3.0 x1               Chipset

Note: LAN1 is a soldered network controller.
""",
        {
            "PCIE1": cem(16, 16, 5, **ON[0]),
            "PCIE2": cem(1, 1, 3),
            "PCIE3": cem(16, 4, 4),
            "PCIE4": cem(4, 2, 3),
            "M2_1": socket_m(4, 5, **ON[0]),
            "M2_2": socket_m(4, 4),
            "M2_3": socket_m(4, 4),
            "M2_WIFI": {"form": "m2-e", "lanes": 1, "generation": 3},
        },
        7, 5, groups=[{"m2_3": [4]}, {"m2_3": ["sata"]}],
    ),
    "one of each, named in brackets": Manual(
        """\
Expansion Slots

- 1 x PCI Express 4.0 x16 slot (PCIEX16), running at x16, from the CPU
- 1 x PCI Express 3.0 x16 slot (PCIEX4), running at x4, from the chipset
  * The PCIEX4 slot shares bandwidth with the M2B_SB connector. PCIEX4 becomes
    unavailable when a device is installed in M2B_SB.
- 2 x PCI Express 3.0 x1 slots (PCIEX1_1, PCIEX1_2), from the chipset
- 1 x M.2 connector (M2A_CPU), Socket 3, M key, type 2280, PCIe 4.0 x4, from the CPU
- 1 x M.2 connector (M2B_SB), Socket 3, M key, type 22110/2280, PCIe 3.0 x4/x2 or SATA 6Gb/s, \
from the chipset
- 1 x M.2 connector for a wireless module (M2_WIFI), Socket 1, E key
- 4 x SATA 6Gb/s connectors
- Onboard 2.5 GbE controller (PCIe 3.0 x1)
""",
        {
            "PCIEX16": cem(16, 16, 4, **ON[0]),
            "PCIEX4": cem(16, 4, 3),
            "PCIEX1_1": cem(1, 1, 3),
            "PCIEX1_2": cem(1, 1, 3),
            "M2A_CPU": socket_m(4, 4, 80, **ON[0]),
            "M2B_SB": socket_m(4, 3, 110, 80),
            "M2_WIFI": {"form": "m2-e"},
        },
        3, 7,
    ),
    "csv of a machine with two processors": Manual(
        """\
Designation,Connector,Signal,Source,Remark
SLOT1,PCIe x8 (open ended),Gen3 x4,PCH,
SLOT2,PCIe x16,Gen4 x8,CPU2,disabled when CPU2 not populated
SLOT3,PCIe x16,Gen4 x16,CPU2,disabled when CPU2 not populated
SLOT4,PCIe x8,Gen4 x8,CPU1,
SLOT5,PCIe x16,Gen4 x16,CPU1,
SLOT6,PCIe x16,Gen4 x16,CPU1,
J_M2_A,M.2 2280/22110 key M,Gen3 x4,PCH,"shares with SLOT1, x2/x2"
J_SLIM1,SlimSAS x8 (SFF-8654),Gen4 x8,CPU2,"2 NVMe drives, disabled when CPU2 not populated"
J_OCP,OCP NIC 3.0 SFF,Gen4 x16,CPU1,
BMC,soldered,Gen2 x1,PCH,not an expansion slot
""",
        {
            "SLOT1": cem(8, 4, 3, open_end=True),
            "SLOT2": cem(16, 8, 4, **ON[1]),
            "SLOT3": cem(16, 16, 4, **ON[1]),
            "SLOT4": cem(8, 8, 4, **ON[0]),
            "SLOT5": cem(16, 16, 4, **ON[0]),
            "SLOT6": cem(16, 16, 4, **ON[0]),
            "J_M2_A": socket_m(4, 3, 80, 110),
            "J_SLIM1": {"form": "slimsas-8", "width": 8, "lanes": 8, "generation": 4, **ON[1]},
            "J_OCP": {"form": "ocp3-sff", "width": 16, "lanes": 16, "generation": 4, **ON[0]},
        },
        5, 5, processors=2,
    ),
    "markdown, both widths and divisions": Manual(
        """\
### Slot overview

| Slot | Mechanical | Electrical | PCIe gen. | Root | Notes |
|:-----|:----------:|:----------:|:---------:|:-----|:------|
| PCIE_1 | x16 | x16/x8 | 4.0 | CPU | x8 when PCIE_3 is populated[^1] |
| PCIE_2 | x1 | x1 | 3.0 | PCH | |
| PCIE_3 | x16 | x0/x8 | 4.0 | CPU | |
| PCIE_4 | x4 | x4 | 3.0 | PCH | shares with M2_3 |
| M2_1 | M.2 (M) | x4 | 4.0 | CPU | 2260/2280 |
| M2_2 | M.2 (M) | x2 | 3.0 | PCH | 2280, PCIe only |
| M2_3 | M.2 (M) | x4 | 3.0 | PCH | 2280/22110, PCIe or SATA |
| M2_E | M.2 (E) | x1 | 3.0 | PCH | CNVi, 2230 |

[^1]: Lane switching happens automatically at power-on.
""",
        {
            "PCIE_1": cem(16, 16, 4, **ON[0]),
            "PCIE_2": cem(1, 1, 3),
            "PCIE_3": cem(16, 8, 4, **ON[0]),
            "PCIE_4": cem(4, 4, 3),
            "M2_1": socket_m(4, 4, 60, 80, **ON[0]),
            "M2_2": socket_m(2, 3, 80),
            "M2_3": socket_m(4, 3, 80, 110),
            "M2_E": {"form": "m2-e", "lanes": 1, "generation": 3, "drive_lengths": [30]},
        },
        4, 6,
    ),
    "columns that wrap": Manual(
        """\
Table 1-3. Riser and mezzanine connectors

Connector     Type / description                      Lanes and        Processor
                                                      generation
------------  --------------------------------------  ---------------  ---------
RISER_L       Left riser connector, proprietary,      PCIe 4.0 x32     CPU1
              takes riser cards R1 and R2
RISER_R       Right riser connector, proprietary,     PCIe 4.0 x32     CPU2
              only when the second processor is
              populated
OCP1          OCP NIC 3.0 mezzanine (small form       PCIe 4.0 x16     CPU1
              factor)
MCIO_1        MCIO 8i, for the NVMe backplane         PCIe 5.0 x8      CPU1
MCIO_2        MCIO 8i, for the NVMe backplane         PCIe 5.0 x8      CPU2
M2_SSD        M.2 socket, key M, 2280                 PCIe 3.0 x2      PCH
BMC_LAN       RJ-45, dedicated management port        -                -
""",
        {
            "OCP1": {"form": "ocp3-sff", "width": 16, "lanes": 16, "generation": 4, **ON[0]},
            "MCIO_1": {"form": "mcio-8", "width": 8, "lanes": 8, "generation": 5, **ON[0]},
            "MCIO_2": {"form": "mcio-8", "width": 8, "lanes": 8, "generation": 5, **ON[1]},
            "M2_SSD": socket_m(2, 3, 80),
        },
        1, 8, processors=2,
    ),
    "two languages": Manual(
        """\
Steckplaetze / Slots of the board

Steckplatz 1: PCI-Express 3.0 x16, mechanisch x16, elektrisch x16, angebunden an Prozessor
Steckplatz 2: PCI-Express 3.0 x1, offen am Ende, angebunden an Chipsatz
Steckplatz 3: PCI 32 Bit / 33 MHz, 5 V (over PCIe-to-PCI bridge)
Steckplatz 4: PCI-Express 3.0 x4 in a x16 Slot mechanically, angebunden an Chipsatz
Steckplatz 5: PCI-Express 2.0 x8 (nur x4 beschaltet), angebunden an Chipsatz
M.2-Sockel 1: Key M, 2280, PCI-Express 3.0 x4 oder SATA, angebunden an Chipsatz
M.2-Sockel 2: Key E, 2230, fuer WLAN-Karte
Mini-PCIe-Sockel: halbe Baulaenge, PCI-Express 2.0 x1 und USB 2.0
Speichersockel: 4x DDR4-DIMM
Hinweis: Steckplatz 2 und M.2-Sockel 2 can not be used in the same time.
""",
        {
            "Steckplatz 1": cem(16, 16, 3, **ON[0]),
            "Steckplatz 2": cem(1, 1, 3, open_end=True),
            "Steckplatz 4": cem(16, 4, 3),
            "Steckplatz 5": cem(8, 4, 2),
            "M.2-Sockel 1": socket_m(4, 3, 80),
            "M.2-Sockel 2": {"form": "m2-e", "drive_lengths": [30]},
        },
        0, 11,
    ),
    "under headings": Manual(
        """\
EXPANSION
From the processor:
  PCIEX16_1   PCIe 5.0 x16 (x16/x0 or x8/x8 with PCIEX16_2)
  PCIEX16_2   PCIe 5.0 x16 (electrical x8; x16/x0 or x8/x8 with PCIEX16_1)
  M2_1        PCIe 5.0 x4, key M, 2242/2260/2280
  M2_2        PCIe 4.0 x4, key M, 2280
From the chipset:
  PCIEX16_3   PCIe 4.0 x16 (electrical x4)
  PCIEX1      PCIe 3.0 x1
  M2_3        PCIe 4.0 x4 or SATA, key M, 22110. SATA mode disables SATA6G_2.
  M2_4        PCIe 4.0 x4, key M, 2280. Shares with PCIEX16_3.
  WIFI        key E, 2230, module preinstalled
Other:
  TB_HEADER   add-in card header, no PCIe lanes
""",
        {
            "PCIEX16_1": cem(16, 16, 5, **ON[0]),
            "PCIEX16_2": cem(16, 8, 5, **ON[0]),
            "M2_1": socket_m(4, 5, 42, 60, 80, **ON[0]),
            "M2_2": socket_m(4, 4, 80, **ON[0]),
            "PCIEX16_3": cem(16, 4, 4),
            "PCIEX1": cem(1, 1, 3),
            "M2_3": socket_m(4, 4, 110),
            "M2_4": socket_m(4, 4, 80),
            "WIFI": {"form": "m2-e", "drive_lengths": [30]},
        },
        5, 9,
    ),
    "prose": Manual(
        """\
The board carries seven slots for full-height cards. Slot 7, nearest to the
processor, is a PCIe 3.0 x16 slot wired with all sixteen lanes to CPU 1. Slot 6 is
a PCIe 3.0 x8 slot, also on CPU 1. Slot 5 is a PCIe 3.0 x16 slot and belongs to
CPU 2; without a second processor it stays dead. Slot 4 is a PCIe 3.0 x8 slot with
only four lanes wired, coming from the PCH. Slot 3 is a PCIe 2.0 x4 slot from the
PCH. Slots 1 and 2 are old 32-bit PCI slots at 33 MHz, served by a bridge chip.
There is one M.2 socket, M2_A, with key M for 2280 modules, connected by PCIe 3.0
x4 to the PCH. The graphics of the management controller is soldered and takes one
PCIe 2.0 lane of the PCH.
""",
        {
            "Slot 7": cem(16, 16, 3, **ON[0]),
            "Slot 6": cem(8, 8, 3, **ON[0]),
            "Slot 5": cem(16, 16, 3, **ON[1]),
            "Slot 4": cem(8, 4, 3),
            "Slot 3": cem(4, 4, 2),
            "M2_A": socket_m(4, 3, 80),
        },
        0, 3, processors=2,
    ),
    "columns with footnotes": Manual(
        """\
No.  Label    Form        Link        Host   Hot-plug  Footnote
1    J5       PCIe x16    G5 x16      P0     no        (a)
2    J6       PCIe x16    G5 x8       P0     no        (a)(b)
3    J7       PCIe x8     G4 x8       P1     no        (c)
4    J8       PCIe x4     G3 x1       PCH    no
5    J20      MCIO x8     G5 x8       P0     yes       (d)
6    J21      MCIO x8     G5 x8       P1     yes       (c)(d)
7    J22      MCIO x4     G5 x4       P1     yes       (c)
8    J30      M.2 M 2280  G3 x4       PCH    no        (e)
9    J40      OCP 3.0     G5 x16      P0     no

(a) J5 and J6 take double-width cards.
(b) Only eight of the sixteen lanes are wired.
(c) Needs the second processor P1.
(d) Can be split x4/x4 in the setup; or SATA by cable, 8 ports.
(e) Operates with SATA modules as well.
P0 = first processor, P1 = second processor
""",
        {
            "J5": cem(16, 16, 5, **ON[0]),
            "J6": cem(16, 8, 5, **ON[0]),
            "J7": cem(8, 8, 4, **ON[1]),
            "J8": cem(4, 1, 3),
            "J20": {"form": "mcio-8", "width": 8, "lanes": 8, "generation": 5, **ON[0]},
            "J21": {"form": "mcio-8", "width": 8, "lanes": 8, "generation": 5, **ON[1]},
            "J22": {"form": "mcio-4", "width": 4, "lanes": 4, "generation": 5, **ON[1]},
            "J30": socket_m(4, 3, 80),
        },
        0, 12, processors=2,
    ),
    "bulleted, older buses": Manual(
        """\
Slots:
 * 1x PCIe 3.0 x16 (PEG1, x16 mode or x8/x8 with PEG2)
 * 1x PCIe 3.0 x16 (PEG2, x8 mode)
 * 1x PCIe 2.0 x16 (PE3, max. x4 mode, black)  [1]
 * 2x PCIe 2.0 x1 (PE4 + PE5)                  [1]
 * 2x PCI (PCI1, PCI2)
 * 1x mini-PCIe, half size (MPE1), PCIe 2.0 x1 + USB 2.0, with Wi-Fi card
 * 1x mSATA (shares the socket MPE1; no PCIe when an mSATA module is fitted)
Storage:
 * 6x SATA 6 Gb/s (4 from chipset, 2 from onboard controller)
[1] PE4 and PE5 are switched off when PE3 runs in x4 mode. Default x1.
""",
        {
            "PEG1": cem(16, 16, 3),
            "PEG2": cem(16, 8, 3),
            "PE3": cem(16, 4, 2),
            "PE4": cem(1, 1, 2),
            "PE5": cem(1, 1, 2),
        },
        1, 10,
    ),
    "csv in two languages": Manual(
        """\
Name;Bauform / form factor;Lanes (el.);Gen;Anbindung;Bemerkung
PCIe-1;x16;16;4;CPU;auch 8+8 mit PCIe-2
PCIe-2;x16;8;4;CPU;nur wenn PCIe-1 auf x8
PCIe-3;x4;4;3;Chipsatz;
PCIe-4;x1;1;3;Chipsatz;entfaellt bei Nutzung von M.2-C
M.2-A;M.2 2280 (Key M);4;4;CPU;
M.2-B;M.2 2280 (Key M);2;3;Chipsatz;oder SATA
M.2-C;M.2 2242 (Key B);1;3;Chipsatz;LTE/5G, mit USB 3.0
M.2-D;M.2 2230 (Key E);1;3;Chipsatz;WLAN
U.2-1;U.2 (SFF-8639);4;3;Chipsatz;
TPM;Stiftleiste 2x7;;;;kein Steckplatz
""",
        {
            "PCIe-1": cem(16, 16, 4, **ON[0]),
            "PCIe-2": cem(16, 8, 4, **ON[0]),
            "PCIe-3": cem(4, 4, 3),
            "PCIe-4": cem(1, 1, 3),
            "M.2-A": socket_m(4, 4, 80, **ON[0]),
            "M.2-B": socket_m(2, 3, 80),
            "M.2-C": {"form": "m2-b", "lanes": 1, "generation": 3, "drive_lengths": [42]},
            "M.2-D": {"form": "m2-e", "lanes": 1, "generation": 3, "drive_lengths": [30]},
            "U.2-1": {"form": "u2", "width": 4, "lanes": 4, "generation": 3},
        },
        1, 9,
    ),
    "by kind of processor": Manual(
        """\
1.2  Specifications (excerpt)

Expansion       Processors of the 1st kind (with 24 lanes):
                - PCIEX16_1: PCIe 4.0 x16
                Processors of the 2nd kind (with integrated graphics):
                - PCIEX16_1: PCIe 3.0 x8
                Chipset:
                - PCIEX16_2: PCIe 3.0 x16 slot (x4 mode)
                - PCIEX1_1, PCIEX1_2: PCIe 3.0 x1 slots
Storage         Processor:
                - M2_1 (M key), 2242-2280: PCIe 4.0 x4 with the 1st kind,
                  PCIe 3.0 x4 with the 2nd kind; SATA is possible too
                Chipset:
                - M2_2 (M key), 2242-22110: PCIe 3.0 x4
                - 6 x SATA 6Gb/s ports
Wireless        - Wi-Fi module on the V-M.2 socket (E key), occupied
LAN             1 x Gigabit controller
""",
        {
            "PCIEX16_1": cem(16, 16, 4, **ON[0]),
            "PCIEX16_2": cem(16, 4, 3),
            "PCIEX1_1": cem(1, 1, 3),
            "PCIEX1_2": cem(1, 1, 3),
            "M2_1": socket_m(4, 4, **ON[0]),
            "M2_2": socket_m(4, 3),
            "V-M.2": {"form": "m2-e"},
        },
        1, 14,
    ),
    "a grid": Manual(
        """\
+----------+-------------------------+--------------+-----------+
| Slot     | Physical connector      | Bus          | Comes     |
|          |                         |              | from      |
+==========+=========================+==============+===========+
| SLOT A   | PCI-E x16, closed end   | PCI-E Gen 3  | CPU1      |
|          |                         | x16          |           |
+----------+-------------------------+--------------+-----------+
| SLOT B   | PCI-E x8, open end, so  | PCI-E Gen 3  | CPU1      |
|          | that x16 cards fit      | x8           |           |
+----------+-------------------------+--------------+-----------+
| SLOT C   | PCI-E x8                | PCI-E Gen 3  | CPU2      |
|          |                         | x4           |           |
+----------+-------------------------+--------------+-----------+
| SLOT D   | PCI-E x4                | PCI-E Gen 2  | PCH       |
|          |                         | x4           |           |
+----------+-------------------------+--------------+-----------+
| SLOT E   | PCI-X 64 bit, 133 MHz   | PCI-X        | bridge    |
+----------+-------------------------+--------------+-----------+
| SLOT F   | PCI 32 bit, 3.3 V       | PCI          | bridge    |
+----------+-------------------------+--------------+-----------+
| SAS      | onboard controller, no  | PCI-E Gen 3  | CPU2      |
|          | slot                    | x8           |           |
+----------+-------------------------+--------------+-----------+
""",
        {
            "SLOT A": cem(16, 16, 3, open_end=False, **ON[0]),
            "SLOT B": cem(8, 8, 3, open_end=True, **ON[0]),
            "SLOT C": cem(8, 4, 3, **ON[1]),
            "SLOT D": cem(4, 4, 2),
        },
        3, 4, processors=2,
    ),
    "capitals": Manual(
        """\
System slots
CPU1 SLOT2 PCI-E 4.0 X16
CPU1 SLOT4 PCI-E 4.0 X16
CPU2 SLOT6 PCI-E 4.0 X8 (IN X16)
CPU2 SLOT7 PCI-E 4.0 X16
PCH SLOT1 PCI-E 3.0 X4 (IN X8)
JM2-1 M.2 PCI-E 3.0 X4 (PCH), M-KEY 2280/22110
JNVME1-4 SLIMSAS X4 PCI-E 4.0 X4 EACH (CPU2)
JSATA1 4 SATA PORTS (PCH)
JLAN1/2 DUAL 10GBASE-T, ONBOARD, PCI-E 3.0 X4
JVGA1 VGA CONNECTOR
""",
        {
            "CPU1 SLOT2": cem(16, 16, 4, **ON[0]),
            "CPU1 SLOT4": cem(16, 16, 4, **ON[0]),
            "CPU2 SLOT6": cem(16, 8, 4, **ON[1]),
            "CPU2 SLOT7": cem(16, 16, 4, **ON[1]),
            "PCH SLOT1": cem(8, 4, 3),
            "JM2-1": socket_m(4, 3, 80, 110),
            "JNVME1": {"form": "slimsas-4", "width": 4, "lanes": 4, "generation": 4, **ON[1]},
            "JNVME2": {"form": "slimsas-4", "width": 4, "lanes": 4, "generation": 4, **ON[1]},
            "JNVME3": {"form": "slimsas-4", "width": 4, "lanes": 4, "generation": 4, **ON[1]},
            "JNVME4": {"form": "slimsas-4", "width": 4, "lanes": 4, "generation": 4, **ON[1]},
        },
        6, 5, processors=2,
    ),
    "markdown, how it is mounted": Manual(
        """\
| Connector on the board | What it is | Lanes mech. | Lanes el. | Generation | Source | Remarks |
|---|---|---|---|---|---|---|
| XPEG | PCIe slot | 16 | 16 (8 if XPE2 used) | 5.0 | CPU | reinforced |
| XPE2 | PCIe slot | 16 | 8 (0 if empty) | 5.0 | CPU | |
| XPE3 | PCIe slot | 8 | 4 | 4.0 | PCH | open-ended *) |
| XPE4 | PCIe slot | 1 | 1 | 3.0 | PCH | shares with XWLAN |
| XM2A | M.2 key M socket, 2280 | 4 | 4 | 5.0 | CPU | |
| XM2B, XM2C | M.2 key M sockets, 2280 | 4 | 4 | 4.0 | PCH | XM2C: or SATA |
| XWLAN | M.2 key E socket | - | 1 | 3.0 | PCH | Wi-Fi, or CNVi |
| XSLIM | SlimSAS 4i | 4 | 4 | 4.0 | PCH | or 4x SATA |
| XMPE | mini-PCIe, full size | 1 | n/a | n/a | - | USB 2.0 only, no PCIe |
| U14 | Network controller (soldered) | - | 1 | 3.0 | PCH | no slot |

*) takes x16 cards as well
""",
        {
            "XPEG": cem(16, 16, 5, **ON[0]),
            "XPE2": cem(16, 8, 5, **ON[0]),
            "XPE3": cem(8, 4, 4, open_end=True),
            "XPE4": cem(1, 1, 3),
            "XM2A": socket_m(4, 5, 80, **ON[0]),
            "XM2B": socket_m(4, 4, 80),
            "XM2C": socket_m(4, 4, 80),
            "XWLAN": {"form": "m2-e", "lanes": 1, "generation": 3},
            "XSLIM": {"form": "slimsas-4", "width": 4, "lanes": 4, "generation": 4},
        },
        2, 9,
    ),
}  # fmt: skip
