"""What arrives, what trains, and what it carries (docs/explanation/lanes.md, lane by lane)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache

from tests.second_judge.build import FORM_LANES, Build, Link, Part, Site

WIDTHS = (32, 16, 12, 8, 4, 2, 1)

LINES = {
    "pcie": {1: 2500, 2: 5000, 3: 8000, 4: 16000, 5: 32000, 6: 64000, 7: 128000},
    "sata": {1: 1500, 2: 3000, 3: 6000},
    "sas": {1: 3000, 2: 6000, 3: 12000, 4: 22500},
}

PACKETS = {"pcie": (256, 24), "sata": (8192, 512), "sas": (1024, 96)}


def bits(bus: str, generation: int) -> tuple[int, int]:
    if bus == "sas":
        return (128, 150) if generation == 4 else (8, 10)
    if bus == "sata" or generation <= 2:
        return 8, 10
    return (128, 130) if generation <= 5 else (1, 1)


@cache
def usable(bus: str, generation: int | None, lanes: int) -> int:
    """MB/s each way; docs/explanation/preferences.md, "What a link carries"."""
    if bus == "usb":
        return 0
    generation = generation or 1
    data, line = bits(bus, generation)
    encoded = LINES[bus][generation] * lanes * data // (line * 8)
    payload, overhead = PACKETS[bus]
    return encoded * payload * 985 // ((payload + overhead) * 1000)


@dataclass(frozen=True)
class Segment:
    """Lanes that train as one link, or one SATA or SAS lane."""

    first: int
    lanes: int
    bus: str
    generation: int | None


@dataclass(frozen=True)
class Trained:
    """What a link trains at; no lanes: it stays dark."""

    lanes: int
    generation: int | None
    mb_s: int


DARK = Trained(0, None, 0)


def least(*generations: int | None) -> int | None:
    return min((one for one in generations if one is not None), default=None)


@dataclass
class Plan:
    """Seats and divisions, and what follows from them."""

    build: Build
    seats: Mapping[str, str]
    """Part -> receptacle."""
    division: Mapping[str, Mapping[str, list[int | str]]]
    """Lane group -> receptacle of its board -> segments."""
    known: dict[str, tuple[Segment, ...]] = field(default_factory=dict)
    trainings: dict[str, list[Trained]] = field(default_factory=dict)

    def part(self, name: str) -> Part:
        return self.build.parts[name]

    def arriving(self, site: str) -> tuple[Segment, ...]:
        """Segments at a receptacle."""
        if site not in self.known:
            here = self.build.sites[site]
            self.known[site] = tuple(
                self.from_board(here) if here.part is None else self.from_part(here)
            )
        return self.known[site]

    def from_board(self, site: Site) -> Iterable[Segment]:
        key = self.build.group_of.get(site.id)
        if key is None:
            return []
        group = self.build.groups[key]
        processor = self.build.processor(group.machine, group.source)
        if processor is not None and processor not in self.build.fitted(group.machine):
            return []
        given = self.division.get(key, {}).get(site.own, [])
        return side_by_side(given, group.bus, group.generation, apart=site.said["form"] in APART)

    def from_part(self, site: Site) -> Iterable[Segment]:
        part = self.part(site.part or "")
        return self.handed_on(part, site) if part.wiring == "passive" else self.made(part, site)

    def feeder(self, part: Part, site: Site) -> Part:
        """The plug through which a part's own receptacle gets its lanes."""
        for other in self.build.parts.values():
            if other.whole == part.id and other.extra and site.own in other.extra.get("feeds", ()):
                return other
        return part

    def handed_on(self, part: Part, site: Site) -> Iterable[Segment]:
        """What wires of a passive part bring to one of its receptacles."""
        plug = self.feeder(part, site)
        if plug.id not in self.seats:
            return
        arriving, offset = self.arriving(self.seats[plug.id]), 0
        for link in plug.links:
            if site.own in link.to:
                for segment in cut(arriving, link):
                    first = segment.first - link.at + offset
                    yield Segment(first, segment.lanes, segment.bus, segment.generation)
                offset += link.lanes

    def made(self, part: Part, site: Site) -> Iterable[Segment]:
        """What a switch or controller brings to one of its receptacles."""
        plug = self.feeder(part, site)
        if plug.id not in self.seats or not any(one.lanes for one in self.trained(plug.id)):
            return
        bus = site.said.get("bus", "pcie")
        own = part.said.get("generation") if bus == "pcie" else None
        generation = site.said.get("generation", own)
        lanes = site.said.get("lanes", FORM_LANES.get(site.said["form"], 0))
        given: list[int | str] = [lanes] if bus == "pcie" else [bus] * lanes
        yield from side_by_side(given, bus, generation, apart=False)

    def trained(self, name: str) -> list[Trained]:
        """Each link of a placed part, in the order of its links."""
        if name not in self.trainings:
            arriving = self.arriving(self.seats[name])
            self.trainings[name] = [train(link, arriving) for link in self.part(name).links]
        return self.trainings[name]

    def carries(self, name: str) -> int:
        """MB/s each way of all its links that end in it."""
        pairs = zip(self.part(name).links, self.trained(name), strict=True)
        return sum(trained.mb_s for link, trained in pairs if not link.to)

    def root(self, name: str) -> str:
        """The board receptacle at the lower end of the pile that a part is on."""
        site = self.build.sites[self.seats[name]]
        while site.part is not None:
            plug = self.feeder(self.part(site.part), site)
            site = self.build.sites[self.seats[plug.id]]
        return site.id

    def below(self, name: str) -> list[str]:
        """Receptacles that bear a part, its own first."""
        found = [self.seats[name]]
        while (bearer := self.build.sites[found[-1]].part) is not None:
            found.append(self.seats[bearer])
        return found

    def processor(self, name: str) -> tuple[str, str | None]:
        """Machine and processor that a part hangs on."""
        site = self.build.sites[self.root(name)]
        key = self.build.group_of.get(site.id)
        source = self.build.groups[key].source if key else None
        machine = site.machine or ""
        return machine, self.build.processor(machine, source)


APART = ("u2",)
"""Forms in which SATA and SAS have contacts beside the PCIe ones."""


def side_by_side(
    given: Iterable[int | str], bus: str, generation: int | None, *, apart: bool
) -> Iterable[Segment]:
    """Segments from lane 0 up."""
    lane = {"pcie": 0, "other": 0}
    for one in given:
        of, lanes = (bus, one) if isinstance(one, int) else (one, 1)
        row = "other" if apart and of != "pcie" else "pcie"
        yield Segment(lane[row], lanes, of, generation if of == bus else None)
        lane[row] += lanes


def cut(arriving: Iterable[Segment], wire: Link) -> Iterable[Segment]:
    """Segments that begin on a wire, as far as it goes."""
    end = wire.at + wire.lanes
    for one in arriving:
        if one.bus != "pcie":
            yield from (
                Segment(lane, 1, one.bus, rated(one, wire))
                for lane in range(one.first, one.first + one.lanes)
                if wire.at <= lane < end
            )
        elif wire.at <= one.first < end:
            lanes = min(one.lanes, end - one.first)
            yield Segment(one.first, lanes, one.bus, rated(one, wire))


def rated(segment: Segment, wire: Link) -> int | None:
    """Generations count within their bus."""
    own = wire.generation if wire.bus == segment.bus else None
    return least(segment.generation, own)


def train(link: Link, arriving: Iterable[Segment]) -> Trained:
    """The link on these lanes."""
    if link.bus == "pcie":
        for one in arriving:
            if one.bus == "pcie" and one.first == link.at:
                lanes = next(width for width in WIDTHS if width <= min(link.lanes, one.lanes))
                generation = least(link.generation, one.generation)
                return Trained(lanes, generation, usable("pcie", generation, lanes))
        return DARK
    return serial(link, [lane for one in arriving for lane in single(one)])


def single(segment: Segment) -> Iterable[Segment]:
    for lane in range(segment.first, segment.first + segment.lanes):
        yield Segment(lane, 1, segment.bus, segment.generation)


def serial(link: Link, lanes: list[Segment]) -> Trained:
    """A SATA or SAS link: each lane that follows without a gap is a port."""
    good = {one.first: one for one in lanes if one.bus in {link.bus, *BACKWARD[link.bus]}}
    count = 0
    while count < link.lanes and link.at + count in good:
        count += 1
    if not count:
        return DARK
    arriving = least(*(ran_at(good[link.at + n], link.bus) for n in range(count)))
    generation = least(link.generation, arriving)
    return Trained(count, generation, usable(link.bus, generation, count))


BACKWARD: dict[str, tuple[str, ...]] = {"sata": ("sas",), "sas": (), "usb": ()}


def ran_at(lane: Segment, bus: str) -> int | None:
    """A lane's generation as one of another bus counts it."""
    if lane.bus == bus or lane.generation is None:
        return lane.generation
    return min(lane.generation + 1, 3)
