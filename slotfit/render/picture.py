"""Pictures as files, in the format that the file's ending names."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

from slotfit.errors import InputError, InternalError, Mistake
from slotfit.render.drawn_text import markup
from slotfit.render.palette import FONT, dark_rules
from slotfit.render.topology import Topology, topology
from slotfit.render.view import View
from slotfit.written import write_file

LAYOUT_SECONDS = 120


def write_topology(view: View, file: Path) -> None:
    """The topology as .svg, .png or .dot. Raises InputError for another ending or a bad path."""
    made = topology(view)
    match file.suffix.lower():
        case ".dot":
            content: str | bytes = made.graph.source
        case ".svg":
            content = topology_svg(made)
        case ".png":
            content = laid_out(made.graph.source, "png", "-Gdpi=144")
        case _:
            raise wrong_ending(file, ".svg, .png or .dot")
    write_file(file, content)


def wrong_ending(file: Path, endings: str) -> InputError:
    """The mistake to report for a file whose ending names no format."""
    said = file.suffix or "nothing"
    return InputError([Mistake(str(file), "", f"ends in {said}; write a name in {endings}")])


def topology_svg(made: Topology) -> str:
    """The drawing as SVG with titles for screen readers, readable in the dark as well."""
    text = laid_out(made.graph.source, "svg").decode()
    text = re.sub(r"<!DOCTYPE[^>]*>\s*", "", text, count=1)
    text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.DOTALL)
    text = re.sub(r"<title>(.*?)</title>", lambda found: title(made, found[1]), text)
    text = text.replace('font-family="Helvetica,sans-Serif"', f'font-family="{FONT}"')
    name = markup(f"Topology: {made.view.title}")
    head = '<svg role="img" aria-labelledby="name says" style="max-width:100%;height:auto" '
    body = (
        f'<title id="name">{name}</title><desc id="says">{markup(described(made.view))}</desc>'
        f"<style>{dark_rules()}</style>"
    )
    text = text.replace("<svg ", head, 1)
    return re.sub(r"(<svg [^>]*>)", lambda found: found[1] + body, text, count=1)


def title(made: Topology, name: str) -> str:
    """What a node is called; edges and frames need no title of their own."""
    said = made.titles.get(name)
    return f"<title>{markup(said)}</title>" if said else ""


def described(view: View) -> str:
    """The drawing in one paragraph."""
    seats = [f"{seat.item} in {seat.label}" for seat in view.seats if not seat.depth]
    return f"{view.headline}. " + "; ".join(seats)


def laid_out(source: str, form: str, *options: str) -> bytes:
    """DOT through the layout program."""
    done = subprocess.run(
        [layout_program(), f"-T{form}", *options],
        input=source.encode(),
        capture_output=True,
        timeout=LAYOUT_SECONDS,
        check=False,
    )
    if done.returncode:
        raise InternalError(f"the layout program refused the drawing: {done.stderr.decode()}")
    return done.stdout


def layout_program() -> str:
    """`dot` if the machine has it, else the one that came with slotfit."""
    beside = Path(sys.executable).with_name("graphviz-pure")
    for found in (shutil.which("dot"), str(beside), shutil.which("graphviz-pure")):
        if found and Path(found).exists():
            return found
    text = "no layout program: install Graphviz (`dot`), or `pip install graphviz-pure`"
    raise InputError([Mistake("--draw", "", text)])
