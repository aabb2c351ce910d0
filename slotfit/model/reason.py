"""What a rule says, as data: equal causes are equal values, and words are made at the very end."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from slotfit.model.entity import Entity, Span
from slotfit.model.spread import Spread
from slotfit.model.units import unit_named

Named = tuple[tuple[str, Any], ...]
"""Names with their values, in the order in which a rule gives them."""


def filled(
    template: str, values: Mapping[str, Any], words: Mapping[str, Callable[[Any], str]]
) -> str:
    """A template with its values; `words` puts some of them in words first."""
    said = {name: words[name](value) if name in words else value for name, value in values.items()}
    return template.format_map(said)


def plain(value: Any) -> str:
    """A value as a part of a key: 500 mm are 500.0 mm."""
    return f"{value:g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True, slots=True)
class Cited:
    """A fact that a reason or a doubt is about."""

    role: str
    """What the thing is to the matter: part, receptacle, carrier, machine, chassis, wish ..."""
    thing: str
    """Its id."""
    entity: Entity = field(repr=False)
    path: str
    """The field, such as `plug.width`; empty: the thing itself."""

    @property
    def value(self) -> Any:
        """What is said; None if nothing is."""
        owner, name = self.written
        return getattr(owner, name, None) if name else None

    @property
    def span(self) -> Span | None:
        """Where it is written, or would be."""
        owner, name = self.written
        return owner.span(name)

    @property
    def written(self) -> tuple[Entity, str]:
        """The innermost thing that is said, and the field of it that leads to the fact."""
        owner, steps = self.entity, self.path.split(".")
        for step in steps[:-1]:
            inner = getattr(owner, step, None)
            if inner is None:
                return owner, step
            owner = inner
        return owner, steps[-1]


@dataclass(frozen=True, slots=True)
class Told:
    """One sentence for several reasons alike."""

    reasons: "tuple[No, ...]"
    text: str
    spans: tuple[Span, ...] = ()
    """Where its facts are written, if not where the reasons' are."""


@dataclass(frozen=True, slots=True)
class Wording:
    """How a rule words one kind of reason: a clause that fits after "because"."""

    claim: str
    """Names and values in braces: `{part}`, `{watts:g}`."""
    detail: str = ""
    """What follows the claim after a colon, if it comes to anything."""
    words: Mapping[str, Callable[[Any], str]] = field(default_factory=dict)
    """Name -> how to put its value in words."""
    together: "Callable[[Sequence[No], Mapping[str, Any]], Sequence[Told]] | None" = None
    """Several alike, given the parts that must be placed; None: as any reasons alike are told."""


@dataclass(frozen=True, slots=True)
class No:
    """
    A rule's reason against a seat, or for a clause.

    Equal are those of one rule and case with the same names and values.
    """

    rule: str
    case: str
    names: Named
    """Role -> the part, receptacle or machine that fills it."""
    values: Named
    detail: Named
    """Values of what the wording adds after its claim."""
    facts: tuple[Cited, ...] = field(compare=False)
    """What it rests on."""
    wording: Wording = field(compare=False, repr=False)
    by_worst: bool = False
    """What is typical of the class would do: only the worst does not."""

    @property
    def spreads(self) -> dict[str, Spread]:
        """The figures it rests on that vary within a class, by their field."""
        said = ((fact.written[1], fact.value) for fact in self.facts)
        return {name: value for name, value in said if isinstance(value, Spread)}

    @property
    def told(self) -> dict[str, Any]:
        """Everything a wording may name."""
        return dict((*self.names, *self.values, *self.detail))

    @property
    def key(self) -> str:
        """Equal for equal reasons; in order it goes by names first, then by values."""
        names = (name for _, name in self.names)
        values = (plain(value) for _, value in (*self.values, *self.detail))
        return " ".join((*names, *values, self.case, self.rule))

    def cites(self, role: str, path: str) -> bool:
        """Whether it rests on such a fact."""
        return any(fact.role == role and fact.path == path for fact in self.facts)

    @property
    def is_about_forms(self) -> bool:
        """Whether it says that a plug is of another form: of such a seat no more is to be said."""
        return self.cites("part", "plug.form")

    @property
    def claim(self) -> str:
        """The reason without what comes after its colon."""
        return filled(self.wording.claim, self.told, self.wording.words)

    @property
    def explained(self) -> str:
        """What comes after the colon; empty if nothing does."""
        detail = filled(self.wording.detail, self.told, self.wording.words)
        return "; ".join(filter(None, (detail, self.of_class)))

    @property
    def of_class(self) -> str:
        """That the worst of a class decides, where what is typical would do."""
        if not self.by_worst:
            return ""
        typical = " and ".join(
            f"{figure.typical:g} {unit_named(name)}" for name, figure in self.spreads.items()
        )
        return f"by the worst of its class (typical {typical} would fit)"

    @property
    def text(self) -> str:
        """A clause that fits after "because": lower case, no full stop, names both things."""
        why = self.explained
        return f"{self.claim}: {why}" if why else self.claim

    @property
    def spans(self) -> tuple[Span, ...]:
        """Where its facts are written, each place once."""
        return tuple(dict.fromkeys(fact.span for fact in self.facts if fact.span))


@dataclass(frozen=True, slots=True)
class Look:
    """How a rule words a fact that it doubts, and how a person finds it out."""

    label: str
    """A short name for it."""
    statement: str
    """A sentence without its full stop."""
    find_out: str
    """Where in the manual, which command, a short test."""
    decides: bool = False
    """Where it is not so, the part does not go in, does not start or is not seen."""
    likely_false: bool = False
    """It seldom is so: told before all others."""
    words: Mapping[str, Callable[[Any], str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Doubt:
    """
    Something nobody has proven yet that a seat depends on.

    Those that ask the same of the same things have one id, whichever rule asks.
    """

    id: tuple[str, ...]
    """What is asked, of what, and how much of it."""
    rule: str
    told: Named
    """Everything that its words may name."""
    facts: tuple[Cited, ...] = field(compare=False)
    """What is not known."""
    look: Look = field(compare=False, repr=False)
    settled_by: tuple[str, ...] = ()
    """Parts of which any one, sitting on the part, makes it hold."""
    settled_in: str | None = None
    """A receptacle: that something is plugged into it makes it hold."""

    @property
    def can_be_settled(self) -> bool:
        """Whether another seat may make it hold."""
        return bool(self.settled_by or self.settled_in)

    @property
    def label(self) -> str:
        """A short name for it, such as `slot4: open end`."""
        return filled(self.look.label, dict(self.told), self.look.words)

    @property
    def statement(self) -> str:
        """A sentence without its full stop."""
        return filled(self.look.statement, dict(self.told), self.look.words)

    @property
    def find_out(self) -> str:
        """How to prove it: where in the manual, which command, a short test."""
        return filled(self.look.find_out, dict(self.told), self.look.words)

    @property
    def is_about_order(self) -> bool:
        """Whether it asks which lanes of an arrangement are which."""
        return any(fact.role == "arrangement" and fact.path == "order" for fact in self.facts)

    @property
    def span(self) -> Span | None:
        """Where the fact would be written."""
        return next((fact.span for fact in self.facts if fact.span), None)


Verdict = No | Doubt


def stated(text: str) -> No:
    """What an engine lays down itself, for no rule to answer for."""
    return No("", "", (), (("text", text),), (), (), Wording("{text}"))
