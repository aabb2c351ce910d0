"""
Puts the catalog inside the package when a wheel is built.

The catalog lies at the top of the checkout, where people edit it.  An editable install reads it
there; listing it as `force-include` instead would leave a stale copy of it in site-packages.
"""

from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class CatalogHook(BuildHookInterface[Any]):
    """Adds `catalog/` to a real wheel as `slotfit/_catalog/`."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Hatchling's hook: `version` is "standard" or "editable"."""
        if version == "standard":
            build_data["force_include"]["catalog"] = "slotfit/_catalog"
