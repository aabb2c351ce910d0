"""`slotfit collect`, `read` and `verify`: from a running machine, and back to it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.read.report import read as read_machine
from slotfit.answers.read.report import read_text
from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.planned import planned, planned_machine
from slotfit.answers.verify.verdict import verify as held_against
from slotfit.answers.verify.verdict import verify_text
from slotfit.answers.verify.watched import brief_text, metrics_text
from slotfit.cli.options import AsJson, CatalogDirs, Seconds, Sources, catalog_of
from slotfit.files import write_file
from slotfit.model.plan import Status
from slotfit.read.sources import collecting_script, machine_seen

Keep = Annotated[
    bool,
    typer.Option("--keep", help="A script that masks nothing: serial numbers stay in."),
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
    answer = read_machine(sources, output, name, force=force)
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


Brief = Annotated[
    bool, typer.Option("--brief", help="One line a finding, and nothing of what is as planned.")
]
Metrics = Annotated[
    Path | None,
    typer.Option(
        help="Also write figures to this file, as OpenMetrics text, for what watches the machine."
    ),
]
Fault = Annotated[
    str | None,
    typer.Option(
        "--fault",
        help="Parts that fail now and then, with commas: what they have in common is suspected.",
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
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Hold a running machine against the plan, part by part, with likely causes and what to try.

    Example: slotfit verify build.yaml after.tar
    """
    seen = machine_seen(sources)
    plan = planned(build, catalog_of(catalog), seconds, today=today)
    status = Status(plan.verdict.status)
    if status in (Status.IMPOSSIBLE, Status.UNKNOWN):
        print(f"{plan.verdict.headline}: there is nothing to hold it against", file=sys.stderr)
        raise typer.Exit(EXIT[plan.verdict.word])
    expected = planned_machine(plan, str(build), machine)
    failing = [name.strip() for name in (fault or "").split(",") if name.strip()]
    answer = held_against(expected, seen, "today's layout" if today else "the plan", failing)
    if metrics:
        write_file(metrics, metrics_text(answer))
    text = brief_text if brief else verify_text
    print(as_json(answer) if json else text(answer), end="")
    raise typer.Exit(EXIT[answer.verdict.word])
