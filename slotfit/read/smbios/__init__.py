"""SMBIOS tables in their binary form: `parse` for a dump, `parse_table` for sysfs' two files."""

from slotfit.read.smbios.records import parse, parse_table

__all__ = ["parse", "parse_table"]
