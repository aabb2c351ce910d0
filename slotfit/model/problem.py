"""A build with every reference resolved and every short form spelled out: what rules reason on."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from slotfit.model.board import Arrangement, Board, Hub, LaneGroup
from slotfit.model.build import NOTHING_ASKED, BuildPart, Group, Sequence
from slotfit.model.entity import Span
from slotfit.model.fitted import Fitted, Standing, fit, standing, uplinks
from slotfit.model.keys import GroupKey
from slotfit.model.machine import BuildMachine, Chassis, PowerSupply
from slotfit.model.part import PartSpec, ReceptacleSpec
from slotfit.model.spread import at_typical
from slotfit.model.watts import Load, load_of
from slotfit.model.words import Stage
from slotfit.standards.pcie import lane_mb_s


@dataclass(frozen=True)
class Machine:
    """One machine of the build: the board in its chassis, with its supply."""

    entry: BuildMachine
    board: Board
    """With every short form expanded: each lane-carrying receptacle is in one lane group."""
    chassis: Chassis | None = None
    power_supply: PowerSupply | None = None
    inside: Mapping[str, PartSpec] = field(default_factory=dict)
    """What was in when its watts were measured."""

    @property
    def id(self) -> str:
        """The machine's id."""
        return self.entry.id

    @cached_property
    def receptacles(self) -> tuple[ReceptacleSpec, ...]:
        """The board's, and the chassis' places that are no slot."""
        places = self.chassis.mounting_places if self.chassis else ()
        return (*self.board.receptacles, *places)

    @cached_property
    def fitted(self) -> frozenset[str]:
        """Ids of the processors that are fitted."""
        said = self.entry.processors
        everyone = (processor.id for processor in self.board.processors)
        return frozenset(everyone if said is None else said)

    @cached_property
    def hubs(self) -> Mapping[str, Hub]:
        """Hub id -> hub, its uplink as with what is fitted, the slowest where that is not said."""
        return {name: min(those, key=uplink_mb_s) for name, those in self.uplinks.items()}

    @cached_property
    def uplinks(self) -> Mapping[str, tuple[Hub, ...]]:
        """Hub id -> the hub with each uplink that it may have."""
        return {
            hub.id: uplinks(hub, self.classes_above(hub), self.entry.firmware)
            for hub in self.board.hubs
        }

    @cached_property
    def classes(self) -> Mapping[str, tuple[str, ...]]:
        """Processor socket -> classes that may sit in it; none where the board has but one."""
        said = self.entry.processors
        known = said if isinstance(said, dict) else {}
        return {
            one.id: (named,) if (named := known.get(one.id)) else one.takes
            for one in self.board.processors
        }

    def classes_above(self, group: LaneGroup | Hub) -> tuple[str, ...]:
        """Classes that may sit in the socket that lanes come from; all, if it is not said."""
        every = tuple(dict.fromkeys(one for some in self.classes.values() for one in some))
        processor = self.processor_of(group.from_)
        return every if processor is None else self.classes.get(processor, ())

    @cached_property
    def as_fitted(self) -> Mapping[str, Fitted]:
        """Lane group id -> what of it there is with this processor and firmware."""
        return {
            group.id: fit(group, self.classes_above(group), self.entry.firmware)
            if self.processor_of(group.from_) in (None, *self.fitted)
            else Fitted(group)  # its lanes are dead, however they are divided
            for group in self.board.lane_groups
        }

    @cached_property
    def lane_groups(self) -> tuple[LaneGroup, ...]:
        """The board's, each with the divisions that are there, or may be."""
        return tuple(one.group for one in self.as_fitted.values())

    def standing(self, group: LaneGroup, way: Arrangement) -> Standing:
        """Whether the division is there with this processor and firmware."""
        return standing(way.needs, self.classes_above(group), self.entry.firmware)

    @cached_property
    def group_of(self) -> Mapping[str, LaneGroup]:
        """Receptacle id -> the lane group that may give it lanes."""
        return {
            receptacle: self.as_fitted[group.id].group
            for group in self.board.lane_groups
            for arrangement in group.arrangements
            for receptacle in arrangement.gives
        }

    def entry_on(self, board: Board) -> BuildMachine:
        """What is said of the machine that would still be so on another board."""
        if board is self.board:
            return self.entry
        own, new = ({one.id for one in it.devices or ()} for it in (self.board, board))
        lost = (own - new).intersection(self.entry.keeps or ())
        gone = ("processors", "firmware", "memory", "coolers", *(("keeps",) if lost else ()))
        return self.entry.model_copy(update={**dict.fromkeys(gone), "perhaps_in_use": ()})

    def hops(self, from_: str | None) -> tuple[str, ...]:
        """Hub ids from `from_` up to the processor, nearest first; none if nobody has said."""
        above = {hub.id: hub.from_ for hub in self.board.hubs}
        found: list[str] = []
        while from_ is not None and from_ in above and from_ not in found:
            found.append(from_)
            from_ = above[from_]
        return tuple(found)

    def processor_of(self, from_: str | None) -> str | None:
        """The processor at the top of `from_`; None if nobody has said where lanes come from."""
        hops = self.hops(from_)
        above = {hub.id: hub.from_ for hub in self.board.hubs}
        return above[hops[-1]] if hops else from_


def uplink_mb_s(hub: Hub) -> int:
    """How fast a hub's uplink is."""
    return lane_mb_s(hub.generation, hub.lanes)


@dataclass(frozen=True, slots=True)
class Part:
    """One part to place: what it is, and what is wished for it."""

    id: str
    spec: PartSpec
    wish: BuildPart
    companion_of: str | None = None
    """This is the extra plug of that part: both are placed or neither."""
    joins: str | None = None
    """Its lanes and those of that part, another plug of the part, make one wide port."""
    asked_of: bool = False
    """A question has it placed; in all else it stays as optional as the build says."""

    @property
    def name(self) -> str:
        """How to call it in a sentence."""
        return self.id

    @property
    def body(self) -> str:
        """The id of the part itself: its own, but for an extra plug."""
        return self.companion_of or self.id


@dataclass(frozen=True, slots=True)
class Receptacle:
    """One receptacle of one owner."""

    id: str
    """`slot1` in a build of one machine, else `machine/slot1`; `part/socket` on a part."""
    owner: str
    """Machine id or part id."""
    on_board: bool
    """On a board, or a place of its chassis."""
    spec: ReceptacleSpec

    @property
    def is_away(self) -> bool:
        """Whether it is a place that is no slot, beside the board."""
        return self.spec.form == "mounting-place"

    @property
    def row(self) -> tuple[str, str] | None:
        """The slot row (owner, row id) it stands in, if any."""
        return (self.owner, self.spec.row) if self.spec.row else None


@dataclass(frozen=True)
class Problem:
    """
    Everything a plan is made from.

    Order of machines, parts and receptacles is the order of the file and carries no meaning.
    """

    id: str
    machines: tuple[Machine, ...]
    parts: tuple[Part, ...]
    receptacles: tuple[Receptacle, ...]
    together: "tuple[Group, ...]" = ()
    apart: "tuple[Group, ...]" = ()
    today: Mapping[str, str] = field(default_factory=dict)
    """Part id -> receptacle id; receptacles that are not in this build (an old machine's) are left
    as named."""
    preferences: tuple[Stage, ...] = ()
    untouchable: tuple[str, ...] = ()
    name: str | None = None
    retire: tuple[str, ...] = ()
    """Ids of machines that are taken out of service and of parts that leave."""
    on_the_way: "Sequence | None" = None
    """Parts named by part ids, receptacles by receptacle ids; None: nothing is asked."""
    today_spans: Mapping[str, Span] = field(default_factory=dict)
    """Part id -> where the file says where it sits today."""
    price_per_kwh: float | None = None
    outside: Mapping[str, float | None] = field(default_factory=dict)
    """What stands at far ends of network cables -> rate of its port in GB/s, if anyone has said."""

    @cached_property
    def typical(self) -> "Problem":
        """With what is typical of each class in the worst's stead; itself if nothing varies."""
        specs = {id(part.spec): part.spec for part in self.parts}
        changed = {name: at_typical(spec) for name, spec in specs.items()}
        if all(changed[name] is spec for name, spec in specs.items()):
            return self
        return replace(
            self, parts=tuple(replace(one, spec=changed[id(one.spec)]) for one in self.parts)
        )

    @cached_property
    def load(self) -> Mapping[str, Load]:
        """Machine id -> what hangs on its supply."""
        return {machine.id: load_of(self, machine) for machine in self.machines}

    @property
    def sequence(self) -> "Sequence":
        """What to keep to on the way from today's layout to the plan."""
        return self.on_the_way or NOTHING_ASKED

    @cached_property
    def machine(self) -> Mapping[str, Machine]:
        """Machine id -> machine."""
        return {machine.id: machine for machine in self.machines}

    @cached_property
    def lane_groups(self) -> Mapping[GroupKey, LaneGroup]:
        """Every lane group of every machine, in the order of the file."""
        return {
            GroupKey(machine.id, group.id): group
            for machine in self.machines
            for group in machine.lane_groups
        }

    @cached_property
    def withheld(self) -> Mapping[GroupKey, tuple[Arrangement, ...]]:
        """Divisions of each lane group that need another processor or firmware than is fitted."""
        return {
            GroupKey(machine.id, name): fitted.withheld
            for machine in self.machines
            for name, fitted in machine.as_fitted.items()
        }

    def receptacles_in(self, machine: Machine) -> Iterator["Receptacle"]:
        """What takes parts in a machine of this build, as it is or would be."""
        for one in machine.receptacles:
            yield Receptacle(self.receptacle_id(machine.id, one.id), machine.id, True, one)

    def every_way(self, group: GroupKey) -> tuple[Arrangement, ...]:
        """All divisions of a lane group, those that are not there last."""
        return (*self.lane_groups[group].arrangements, *self.withheld[group])

    def arrangement(self, group: GroupKey, chosen: Mapping[GroupKey, str]) -> Arrangement:
        """
        The group's arrangement where those ids are chosen, of a plan, a layout or today.

        What the board does by itself if none is chosen for the group. Raises KeyError if no
        machine has the group.
        """
        return self.lane_groups[group].arrangement(chosen.get(group))

    @cached_property
    def settings_today(self) -> Mapping[GroupKey, str]:
        """Arrangement ids that the file says are set today."""
        said = self.sequence.settings_today
        return {key: said[str(key)] for key in self.lane_groups if str(key) in said}

    def arrangement_today(self, group: GroupKey) -> Arrangement | None:
        """What the file says is chosen there today; None if it does not say."""
        said = self.settings_today
        return self.arrangement(group, said) if group in said else None

    @cached_property
    def part(self) -> Mapping[str, Part]:
        """Part id -> part."""
        return {part.id: part for part in self.parts}

    @cached_property
    def board_receptacle(self) -> Mapping[tuple[str, str], Receptacle]:
        """Machine id and the receptacle's id on the board -> receptacle."""
        return {(one.owner, one.spec.id): one for one in self.receptacles if one.on_board}

    def receptacle_id(self, machine: str, name: str) -> str:
        """What the receptacle of that id on the machine's board is called in this build."""
        return name if len(self.machines) == 1 else f"{machine}/{name}"

    @cached_property
    def receptacle(self) -> Mapping[str, Receptacle]:
        """Receptacle id -> receptacle."""
        return {receptacle.id: receptacle for receptacle in self.receptacles}
