"""Pictures as files, in the format that the file's ending names."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.layout import layout_of
from slotfit.answers.place.of_plan import answer_of, nothing_placed
from slotfit.draw.svg import FONT, dark_rules, markup
from slotfit.draw.topology import TopologyDrawing, topology
from slotfit.errors import InputError, InternalError, Mistake
from slotfit.files import write_file
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating

LAYOUT_SECONDS = 120
PIXELS_A_MM = 4


def write_topology(answer: PlaceAnswer, file: Path, no_plan: Sequence[str] = ()) -> None:
    """
    The topology as .svg, .png or .dot. Raises InputError for another ending or a bad path.

    `no_plan`: why there is none and what would help, a paragraph each.
    """
    made = topology(answer, no_plan)
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


def write_svg(drawing: str, file: Path) -> None:
    """A drawing as .svg or .png. Raises InputError for another ending or a bad path."""
    match file.suffix.lower():
        case ".svg":
            write_file(file, drawing)
        case ".png":
            write_file(file, as_png(drawing, file))
        case _:
            raise wrong_ending(file, ".svg or .png")


def as_png(svg: str, file: Path) -> bytes:
    """The drawing as pixels, by a library that not everyone has installed."""
    try:
        import resvg_py  # noqa: PLC0415 - optional
    except ImportError as missing:
        text = "a slot row as .png needs the extra `png`: pip install 'slotfit[png]', or write .svg"
        raise InputError([Mistake(str(file), "", text)]) from missing
    family = plain_family(resvg_py.svg_to_bytes)
    if family is None:
        text = "no font is installed here, so that no word would show; write .svg, or install one"
        raise InputError([Mistake(str(file), "", text)])
    drawn = resvg_py.svg_to_bytes(svg_string=svg, zoom=PIXELS_A_MM / 2, sans_serif_family=family)
    return bytes(drawn)


PLAIN_FAMILIES = ("Arial", "Liberation Sans", "DejaVu Sans", "Noto Sans", "Verdana", "FreeSans")
"""Plain fonts of which most systems have one; the library itself looks for the first alone."""


def plain_family(draw: Callable[..., bytes]) -> str | None:
    """
    The first plain font with which a letter leaves a trace; None if none does.

    The library passes over text for which it finds no font.
    """
    frame = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">{}</svg>'
    letter = frame.format(f'<text y="9" font-size="9" font-family="{FONT}">M</text>')
    blank = bytes(draw(svg_string=frame.format("")))
    for family in PLAIN_FAMILIES:
        if bytes(draw(svg_string=letter, sans_serif_family=family)) != blank:
            return family
    return None


def wrong_ending(file: Path, endings: str) -> InputError:
    """The mistake to report for a file whose ending names no format."""
    said = file.suffix or "nothing"
    return InputError([Mistake(str(file), "", f"ends in {said}; write a name in {endings}")])


def topology_svg(made: TopologyDrawing, prefix: str = "") -> str:
    """
    The drawing as SVG with titles for screen readers, readable in the dark as well.

    `prefix` keeps its ids apart where several drawings are in one page.
    """
    # Edges and frames need no title of their own.
    titles = {name: f"<title>{markup(said)}</title>" for name, said in made.titles.items()}
    text = laid_out(made.graph.source, "svg").decode()
    text = text[text.index("<svg ") :]
    text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.DOTALL)
    text = re.sub(r"<title>(.*?)</title>", lambda found: titles.get(found[1], ""), text)
    text = re.sub(r' (id|class)="\w*"', "", text)
    text = re.sub(r'font-family="[^"]*"', f'font-family="{FONT}"', text)
    answer = made.answer
    called = layout_of(answer.plan).called
    seats = [f"{seat.item} in {called(seat)}" for seat in answer.plan.seats if not seat.depth]
    says = f"{answer.verdict.headline}. {'; '.join(seats)}"
    head = f'<svg role="img" aria-labelledby="{prefix}name {prefix}says" '
    body = (
        f'<title id="{prefix}name">{markup(f"Topology: {answer.title}")}</title>'
        f'<desc id="{prefix}says">{markup(says)}</desc>'
        f"<style>{dark_rules()}</style>"
    )
    text = text.replace("<svg ", head, 1)
    return re.sub(r"(<svg [^>]*>)", lambda found: found[1] + body, text, count=1)


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


def bare(problem: Problem) -> PlaceAnswer:
    """The machines as they come: no part, and what the boards do if nothing is set."""
    nothing = replace(nothing_placed(problem), left_out=())
    answer = answer_of(Placed(problem, Seating((), ()), (), Status.PROVEN, nothing))
    named = tuple(replace(machine, name=machine.board) for machine in answer.plan.machines)
    return replace(
        answer,
        verdict=replace(answer.verdict, headline=""),
        plan=replace(answer.plan, machines=named),
    )
