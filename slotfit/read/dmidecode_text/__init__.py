"""The SMBIOS table as text, in the wordings of the decoding tool from 2.0 to 3.6."""

from slotfit.read.dmidecode_text.records import parse

__all__ = ["parse"]
