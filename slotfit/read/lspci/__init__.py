"""What the PCI listing tool prints: verbose text, register dumps in hex, the tree, records."""

from slotfit.read.lspci.hex import parse as parse_hex
from slotfit.read.lspci.records import parse as parse_records
from slotfit.read.lspci.text import parse as parse_text
from slotfit.read.lspci.tree import parse as parse_tree

__all__ = ["parse_hex", "parse_records", "parse_text", "parse_tree"]
