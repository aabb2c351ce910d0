"""
A verification run again and again: one line a finding for people, figures for what watches.

The figures are OpenMetrics 1.0 text: a line each, labels in braces, `# EOF` at the end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slotfit.answers.verify.answer import Finding, VerifyAnswer
from slotfit.answers.verify.sound import SEVERITIES


def brief_text(answer: VerifyAnswer) -> str:
    """The verdict, then a line for each finding; nothing of what is as planned."""
    return "".join(f"{line}\n" for line in brief_lines(answer))


def brief_lines(answer: VerifyAnswer) -> Iterator[str]:
    """The verdict, faults, what cannot be told."""
    yield f"{answer.machine}: {answer.verdict.headline}"
    for finding in (*answer.do.faults, *answer.watch.open):
        yield f"{finding.weight}: {finding.text}{_first(finding)}"


def _first(finding: Finding) -> str:
    return f" (likely: {finding.causes[0].text})" if finding.causes else ""


Labels = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Family:
    """One kind of figure: what it is, and its samples."""

    name: str
    kind: str
    """gauge or counter."""
    says: str
    samples: tuple[tuple[Labels, float], ...]


def metrics_text(answer: VerifyAnswer) -> str:
    """Everything that can be counted of it, for an agent that collects figures from files."""
    lines: list[str] = []
    for family in _families(answer):
        lines.append(f"# TYPE {family.name} {family.kind}")
        lines.append(f"# HELP {family.name} {family.says}")
        suffix = "_total" if family.kind == "counter" else ""
        lines += [
            f"{family.name}{suffix}{{{_labels(labels)}}} {value:g}"
            for labels, value in family.samples
        ]
    return "\n".join([*lines, "# EOF", ""])


def _labels(labels: Labels) -> str:
    return ",".join(f'{name}="{_escaped(value)}"' for name, value in labels.items())


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")


def _families(answer: VerifyAnswer) -> Iterator[Family]:
    of = {"machine": answer.machine}
    findings = {
        "fault": answer.do.faults, "open": answer.watch.open, "note": answer.more.no_fault,
    }  # fmt: skip
    yield Family(
        "slotfit_verify_ok", "gauge", "1 if everything that can be seen is as planned.",
        ((of, answer.verdict.good),),
    )  # fmt: skip
    yield Family(
        "slotfit_findings", "gauge", "Findings by weight: fault, open (cannot be told), note.",
        tuple((of | {"weight": weight}, len(found)) for weight, found in findings.items()),
    )  # fmt: skip
    parts = [(of | {"part": part.item, "receptacle": part.site}, part)
             for part in answer.plan.parts]  # fmt: skip
    yield Family(
        "slotfit_part_ok", "gauge", "1 if the part is as planned; none where nothing tells.",
        tuple((labels, part.good) for labels, part in parts if part.good is not None),
    )  # fmt: skip
    links = [
        (labels | {"first_lane": str(link.at)}, link)
        for labels, part in parts
        for link in part.links
    ]
    for name, says in FIGURES.items():
        yield Family(
            f"slotfit_link_{name}", "gauge", says,
            tuple((labels, value) for labels, link in links
                  if (value := getattr(link, name)) is not None),
        )  # fmt: skip
    yield Family(
        "slotfit_link_errors", "counter",
        "Errors on the link since the system started; none where nobody counts.",
        tuple(
            (labels | {"severity": severity}, count)
            for labels, link in links
            for severity, count in zip(SEVERITIES, link.errors or (), strict=False)
        ),
    )  # fmt: skip


FIGURES = {
    "lanes": "Lanes of the link now; 0 if the part does not answer.",
    "lanes_planned": "Lanes of the link as planned.",
    "generation": "PCI Express generation of the link now; lower at rest.",
    "generation_planned": "PCI Express generation of the link as planned.",
}
"""Field of a link -> what it says."""
