"""A page that needs nothing but itself, from a template and files that lie beside it."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from markupsafe import Markup

from slotfit.draw.svg import dark_rules, plain

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"


def html_page(
    template: str,
    styles: Sequence[str],
    values: Mapping[str, object],
    scripts: Sequence[str] = (),
) -> str:
    """
    The page as text.

    `styles` and `scripts` name files beside the template, `page.css` being of every page; the page
    allows no others (Content Security Policy Level 3). Everything else comes from files that people
    write: it is escaped, unless it is `Markup`.
    """
    style, code = ("".join(map(own_file, names)) for names in (["page.css", *styles], scripts))
    return (
        environment()
        .get_template(template)
        .render(
            values,
            style=Markup(style),  # noqa: S704 - our own files
            style_hashes=Markup(" ".join(map(hash_of, (style, dark_rules())))),  # noqa: S704 - base64
            script=Markup(code),  # noqa: S704 - our own file
            script_hash=Markup(hash_of(code)),  # noqa: S704 - base64
        )
    )


@cache
def environment() -> Environment:
    """How templates are read."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415 - jinja2

    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=clean,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def clean(value: object) -> object:
    """Texts lose what no document may hold; drawings and numbers stay as they are."""
    return plain(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def own_file(name: str) -> str:
    """A file that lies beside the template."""
    return (TEMPLATES / name).read_text("utf-8")


def hash_of(text: str) -> str:
    """A source expression that allows exactly this text (Content Security Policy Level 3)."""
    return f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
