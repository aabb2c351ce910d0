"""`slotfit collect`, `read` and `verify`: from a running machine, and back to it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.read.report import read as read_machine
from slotfit.answers.read.report import read_text
from slotfit.answers.verify.planned import planned, planned_machine
from slotfit.answers.verify.verdict import verify as held_against
from slotfit.answers.verify.verdict import verify_text
from slotfit.answers.verify.watched import brief_text, metrics_text
from slotfit.cli.options import All, AsJson, CatalogDirs, Plain, Seconds, Sources, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.files import write_file
from slotfit.model.plan import Status
from slotfit.read.sources import collecting_script, machine_seen

Keep = Annotated[
    bool,
    typer.Option("--keep", help="Print a script that masks nothing: serial numbers stay in."),
]


def collect(keep: Keep = False) -> None:
    """
    Print a small shell script to run as root on a machine that has nothing installed.

    Example: slotfit collect | ssh root@marsh sh -s > marsh.tar
    """
    print(collecting_script(keep=keep), end="")


Folder = Annotated[
    Path,
    typer.Option(
        "-o", "--output", metavar="FOLDER", help="Write to this folder.", show_default=False
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]
Name = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Call the machine so; left out: as the folder is called."),
]


def read(
    sources: Sources,
    output: Folder,
    name: Name = None,
    force: Force = False,
    all_: All = False,
    plain: Plain = False,
    json: AsJson = False,
) -> None:
    """
    Write a board, parts and a build file with today's layout from what a machine says of itself.

    Example: slotfit read marsh.tar -o marsh
    """
    answer = read_machine(sources, output, name, force=force)
    say(answer, lambda: read_text(answer, every=all_), json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])


Plan = Annotated[
    Path,
    typer.Argument(
        metavar="BUILD",
        help="The build file, or the JSON that `slotfit place --json` printed.",
        show_default=False,
    ),
]
OneMachine = Annotated[
    str | None,
    typer.Option("--machine", metavar="ID", help="Say which machine of the plan was read."),
]
Today = Annotated[
    bool, typer.Option("--today", help="Hold it against the build's `today`, not the plan.")
]


Brief = Annotated[
    bool,
    typer.Option("--brief", help="Print one line a finding, nothing of what is as planned."),
]
Metrics = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE",
        help="Also write figures to this file, as OpenMetrics text, for what watches the machine.",
    ),
]
Fault = Annotated[
    str | None,
    typer.Option(
        "--fault",
        metavar="IDS",
        help="Name parts that fail now and then, with commas: what they share is suspected.",
    ),
]


def verify(
    build: Plan,
    sources: Sources,
    machine: OneMachine = None,
    today: Today = False,
    fault: Fault = None,
    brief: Brief = False,
    metrics: Metrics = None,
    seconds: Seconds = 60.0,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Hold a running machine against the plan, part by part, with likely causes and what to try.

    Example: slotfit verify build.yaml after.tar
    """
    seen = machine_seen(sources)
    with shown_progress() as progress:
        plan = planned(build, catalog_of(catalog), seconds, progress, today=today)
    status = Status(plan.verdict.status)
    if status in (Status.IMPOSSIBLE, Status.UNKNOWN):
        print(f"{plan.verdict.headline}: there is nothing to hold it against", file=sys.stderr)
        raise typer.Exit(EXIT[plan.verdict.word])
    expected = planned_machine(plan, str(build), machine)
    failing = [name.strip() for name in (fault or "").split(",") if name.strip()]
    answer = held_against(expected, seen, "today's layout" if today else "the plan", failing)
    if metrics:
        write_file(metrics, metrics_text(answer))

    def text() -> str:
        return brief_text(answer) if brief else verify_text(answer, every=all_)

    say(answer, text, json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])
