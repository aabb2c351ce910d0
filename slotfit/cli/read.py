"""`slotfit verify`: does the machine run as planned."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import place
from slotfit.answers.read.files import describe, write_files
from slotfit.answers.read.report import read_answer, read_text
from slotfit.answers.read.yaml_text import Places
from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.planned import as_it_stands, plan_in, planned_machine
from slotfit.answers.verify.verdict import verify as held_against
from slotfit.answers.verify.verdict import verify_text
from slotfit.cli.options import AsJson, CatalogDirs, Seconds, Sources, catalog_of, machine_seen
from slotfit.cli.output import NO
from slotfit.cli.place import EXIT
from slotfit.load.build_file import load_build
from slotfit.load.yaml_text import read_text as file_text
from slotfit.read import pci_ids
from slotfit.read.sources import collecting_script

Keep = Annotated[
    bool,
    typer.Option("--keep", help="A script that keeps serial numbers, MAC addresses and UUIDs."),
]


def collect(keep: Keep = False) -> None:
    """
    Print a small shell script to run as root on a machine that has nothing installed.

    Example: slotfit collect | ssh root@marsh sh -s > marsh.tar
    """
    print(collecting_script(keep=keep), end="")


Folder = Annotated[
    Path, typer.Option("-o", "--output", help="The folder to write to.", show_default=False)
]
Force = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]
Name = Annotated[
    str | None, typer.Option(help="What to call the machine; left out: as the folder.")
]


def read(
    sources: Sources,
    output: Folder,
    name: Name = None,
    force: Force = False,
    json: AsJson = False,
) -> None:
    """
    Write a board, parts and a build file with today's layout from what a machine says of itself.

    Example: slotfit read marsh.tar -o marsh
    """
    seen = machine_seen(sources)
    places = Places(sources)
    made = describe(seen, name or output.resolve().name, places, pci_ids.load())
    written = write_files(output, made.files, force=force)
    answer = read_answer(made, written, places)
    print(as_json(answer) if json else read_text(answer), end="")


Plan = Annotated[
    Path,
    typer.Argument(
        help="The build file, or the JSON that `slotfit place --json` printed.", show_default=False
    ),
]
OneMachine = Annotated[
    str | None, typer.Option("--machine", help="Which machine of the plan was read.")
]
Today = Annotated[
    bool, typer.Option("--today", help="Hold it against the build's `today`, not the plan.")
]


def verify(
    build: Plan,
    sources: Sources,
    machine: OneMachine = None,
    today: Today = False,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Hold a running machine against the plan, part by part, with likely causes and what to try.

    Example: slotfit verify build.yaml after.tar
    """
    seen = machine_seen(sources)
    planned = planned_machine(plan_of(build, catalog, seconds, today=today), str(build), machine)
    answer = held_against(planned, seen, "today's layout" if today else "the plan")
    print(as_json(answer) if json else verify_text(answer), end="")
    raise typer.Exit(0 if answer.verdict.good else NO)


def plan_of(build: Path, catalog: list[Path] | None, seconds: float, *, today: bool) -> PlaceAnswer:
    """The plan: read from JSON, or made from a build file. Raises InputError."""
    text, file = file_text(build)
    if text.lstrip().startswith("{") and '"schema_version"' in text:
        if today:
            hint = "a plan has no `today`; name the build file"
            raise typer.BadParameter(hint, param_hint="--today")
        return plan_in(text, file)
    problem = load_build(build, catalog_of(catalog))
    found = place(as_it_stands(problem) if today else problem, seconds)
    answer = answer_of(found)
    if found.plan is None:
        print(f"{answer.verdict.headline}: there is nothing to hold it against", file=sys.stderr)
        raise typer.Exit(EXIT[found.status])
    return answer
