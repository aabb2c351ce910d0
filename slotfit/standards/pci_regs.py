"""
Configuration space: offsets, field masks and code tables a reader of register dumps needs.

Source: Linux 6.12 include/uapi/linux/pci_regs.h unless a row says otherwise. The class names are
those of the public PCI ID list, section "C" (the codes: PCI Code and ID Assignment Specification).
"""

# Type 0/1 header.
VENDOR_ID, DEVICE_ID, STATUS, REVISION, PROG_IF, CLASS = 0x00, 0x02, 0x06, 0x08, 0x09, 0x0A
HEADER_TYPE, SUBSYSTEM_VENDOR, SUBSYSTEM_ID, CAPABILITY_LIST = 0x0E, 0x2C, 0x2E, 0x34
PRIMARY_BUS, SECONDARY_BUS, SUBORDINATE_BUS = 0x18, 0x19, 0x1A
STATUS_HAS_CAPABILITIES = 0x10
HEADER_ENDPOINT, HEADER_BRIDGE, HEADER_CARDBUS = 0, 1, 2

# Capability identities.
CAP_BRIDGE_SUBSYSTEM, CAP_EXPRESS = 0x0D, 0x10
EXT_CAP_SERIAL, EXT_CAP_ACS, EXT_CAP_SRIOV = 0x0003, 0x000D, 0x0010
FIRST_EXTENDED = 0x100

# Offsets inside the PCI Express capability.
EXP_FLAGS, EXP_DEVSTA, EXP_LNKCAP, EXP_LNKSTA, EXP_SLTCAP = 0x02, 0x0A, 0x0C, 0x12, 0x14
EXP_SLTSTA, EXP_LNKCAP2 = 0x1A, 0x2C
EXP_FLAG_SLOT = 0x0100
LNKCAP_ACTIVE_REPORTING = 1 << 20
LNKSTA_TRAINING, LNKSTA_ACTIVE = 1 << 11, 1 << 13
SLTCAP_HOT_PLUG = 1 << 6
SLTSTA_PRESENT = 1 << 6

# PCI Express capability flags, bits 7:4. The words are ours and are used in every reader.
ENDPOINT, LEGACY_ENDPOINT = "endpoint", "legacy endpoint"
ROOT_PORT, UPSTREAM_PORT, DOWNSTREAM_PORT = "root port", "upstream port", "downstream port"
TO_PCI_BRIDGE, FROM_PCI_BRIDGE = "PCIe-to-PCI bridge", "PCI-to-PCIe bridge"
INTEGRATED_ENDPOINT, EVENT_COLLECTOR = "integrated endpoint", "event collector"
# A bridge whose capabilities could be read and hold none of PCI Express.
CONVENTIONAL = "conventional PCI"
PORT_TYPES: dict[int, str] = {
    0x0: ENDPOINT,
    0x1: LEGACY_ENDPOINT,
    0x4: ROOT_PORT,
    0x5: UPSTREAM_PORT,
    0x6: DOWNSTREAM_PORT,
    0x7: TO_PCI_BRIDGE,
    0x8: FROM_PCI_BRIDGE,
    0x9: INTEGRATED_ENDPOINT,
    0xA: EVENT_COLLECTOR,
}
PORTS_LEADING_DOWN = frozenset((ROOT_PORT, DOWNSTREAM_PORT))
PORTS_WITHOUT_LINK = frozenset((INTEGRATED_ENDPOINT, EVENT_COLLECTOR))
PORTS_WITH_SLOT_REGISTERS = frozenset((ROOT_PORT, DOWNSTREAM_PORT))

# LnkCap and LnkSta bits 3:0. Code 7 for generation 7: a kernel patch series, as quoted.
GENERATION_OF_SPEED_CODE: dict[int, int] = {1: 1, 2: 2, 3: 3, 4: 4, 5: 5, 6: 6, 7: 7}
# Transfer rate in GT/s as every text prints it -> generation.
GENERATION_OF_GT_S: dict[str, int] = {
    "2.5": 1, "5": 2, "5.0": 2, "8": 3, "8.0": 3, "16": 4, "16.0": 4,
    "32": 5, "32.0": 5, "64": 6, "64.0": 6, "128": 7, "128.0": 7,
}  # fmt: skip
LEGAL_LANES = frozenset((1, 2, 4, 8, 12, 16, 32))

# Device status bits: what was ever detected since the last reset -> our word.
DEVICE_STATUS: dict[int, str] = {1: "corrected", 2: "nonfatal", 4: "fatal", 8: "unsupported"}

# ACS capability and control bits -> the words of the usual listing tool.
ACS_BITS: dict[int, str] = {
    0x01: "SrcValid",
    0x02: "TransBlk",
    0x04: "ReqRedir",
    0x08: "CmpltRedir",
    0x10: "UpstreamFwd",
    0x20: "EgressCtrl",
    0x40: "DirectTrans",
}
# Linux 6.12 drivers/iommu/iommu.c, REQ_ACS_FLAGS: what must be on for a group to end here.
ACS_ISOLATING = frozenset(("SrcValid", "ReqRedir", "CmpltRedir", "UpstreamFwd"))

CLASS_HOST_BRIDGE, CLASS_PCI_BRIDGE, CLASS_NVME = 0x0600, 0x0604, 0x0108
CLASS_SYSTEM_PERIPHERAL, CLASS_USB, CLASS_CXL = 0x0880, 0x0C03, 0x0502
CLASS_SATA, CLASS_VGA = 0x0106, 0x0300

CLASS_NAMES: dict[int, str] = {
    0x0000: "Non-VGA unclassified device", 0x0001: "VGA compatible unclassified device",
    0x0100: "SCSI storage controller", 0x0101: "IDE interface",
    0x0102: "Floppy disk controller", 0x0103: "IPI bus controller",
    0x0104: "RAID bus controller", 0x0105: "ATA controller", 0x0106: "SATA controller",
    0x0107: "Serial Attached SCSI controller", 0x0108: "Non-Volatile memory controller",
    0x0109: "Universal Flash Storage controller", 0x0180: "Mass storage controller",
    0x0200: "Ethernet controller", 0x0201: "Token ring network controller",
    0x0202: "FDDI network controller", 0x0203: "ATM network controller",
    0x0204: "ISDN controller", 0x0207: "Infiniband controller", 0x0208: "Fabric controller",
    0x0280: "Network controller", 0x0300: "VGA compatible controller",
    0x0301: "XGA compatible controller", 0x0302: "3D controller", 0x0380: "Display controller",
    0x0400: "Multimedia video controller", 0x0401: "Multimedia audio controller",
    0x0402: "Computer telephony device", 0x0403: "Audio device",
    0x0480: "Multimedia controller", 0x0500: "RAM memory", 0x0501: "FLASH memory",
    0x0502: "CXL", 0x0580: "Memory controller", 0x0600: "Host bridge", 0x0601: "ISA bridge",
    0x0602: "EISA bridge", 0x0603: "MicroChannel bridge", 0x0604: "PCI bridge",
    0x0605: "PCMCIA bridge", 0x0606: "NuBus bridge", 0x0607: "CardBus bridge",
    0x0608: "RACEway bridge", 0x0609: "Semi-transparent PCI-to-PCI bridge",
    0x060A: "InfiniBand to PCI host bridge", 0x0680: "Bridge", 0x0700: "Serial controller",
    0x0701: "Parallel controller", 0x0702: "Multiport serial controller", 0x0703: "Modem",
    0x0704: "GPIB controller", 0x0705: "Smard Card controller",
    0x0780: "Communication controller", 0x0800: "PIC", 0x0801: "DMA controller",
    0x0802: "Timer", 0x0803: "RTC", 0x0804: "PCI Hot-plug controller",
    0x0805: "SD Host controller", 0x0806: "IOMMU", 0x0880: "System peripheral",
    0x0899: "Timing Card", 0x0900: "Keyboard controller", 0x0902: "Mouse controller",
    0x0980: "Input device controller", 0x0A00: "Generic Docking Station",
    0x0B40: "Co-processor", 0x0C00: "FireWire (IEEE 1394)", 0x0C01: "ACCESS Bus",
    0x0C02: "SSA", 0x0C03: "USB controller", 0x0C04: "Fibre Channel", 0x0C05: "SMBus",
    0x0C06: "InfiniBand", 0x0C07: "IPMI Interface", 0x0C08: "SERCOS interface",
    0x0C09: "CANBUS", 0x0C0A: "I3C Controller", 0x0C80: "Serial bus controller",
    0x0D10: "RF controller", 0x0D11: "Bluetooth", 0x0D20: "802.1a controller",
    0x0D21: "802.1b controller", 0x0D80: "Wireless controller", 0x0E00: "I2O",
    0x1000: "Network and computing encryption device",
    0x1010: "Entertainment encryption device", 0x1080: "Encryption controller",
    0x1100: "DPIO module", 0x1101: "Performance counters",
    0x1110: "Communication synchronizer", 0x1120: "Signal processing management",
    0x1180: "Signal processing controller", 0x1200: "Processing accelerators",
    0x1201: "SNIA Smart Data Accelerator Interface (SDXI) controller",
    0x1300: "Non-Essential Instrumentation", 0xFF00: "Unassigned class",
    0x0005: "Image coprocessor", 0x0205: "WorldFip controller", 0x0206: "PICMG controller",
    0x0901: "Digitizer Pen", 0x0903: "Scanner controller", 0x0904: "Gameport controller",
    0x0A80: "Docking Station", 0x0D00: "IRDA controller", 0x0D01: "Consumer IR controller",
    0x0D12: "Broadband", 0x0F01: "Satellite TV controller",
}  # fmt: skip
CLASS_OF_NAME: dict[str, int] = {name.lower(): code for code, name in CLASS_NAMES.items()}


def slot_power_w(value: int, scale: int) -> float | None:
    """
    Slot power limit in watts from the two SltCap fields (bits 14:7 and 16:15).

    None where nothing is said: a value of 0, or FFh at scale 0, which means "more than 600 W".
    Source: Linux 6.12 drivers/pci/of.c (reverse of of_pci_get_slot_power_limit): from F0h at scale
    0 the value is 250 + 25 * (value - F0h) W.

    >>> slot_power_w(250, 1), slot_power_w(0xF0, 0), slot_power_w(0xF2, 0), slot_power_w(0, 0)
    (25.0, 250.0, 300.0, None)
    """
    if value == 0 or (scale == 0 and value == 0xFF):
        return None
    if scale == 0 and value >= 0xF0:
        return 250.0 + 25.0 * (value - 0xF0)
    return float(f"{value * 10.0**-scale:.6g}")
