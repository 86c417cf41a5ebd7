"""The rig as the file says it: checked, typed, every figure with its origin; nothing derived."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, TypeAlias

from ohmwright.kinds.base import Kind, Pole
from ohmwright.rig.standing import Standing
from ohmwright.shelf.record import Record
from ohmwright.working import NOWHERE, Absent, Figure, Given, Position, Unknown
from ohmwright.working.quickly import quickly_made

Figures: TypeAlias = Mapping[str, Given]
ABSENT = Absent()
ByLabel: TypeAlias = Mapping[str, Given]
"""A figure by season or mode; the label "" holds for all."""


@dataclass(frozen=True, slots=True)
class Source:
    """A document or person that figures come from."""

    tag: str
    title: str
    dated: str = ""
    file: str = ""


@dataclass(frozen=True, slots=True)
class Job:
    """What the file is about. `rules` is the rule set ("us-vehicle") and `edition` its year."""

    id: str
    title: str = ""
    based_on: str = ""
    revision: str = ""
    stage: str = ""
    units: Literal["metric", "us"] = "metric"
    currency: str = ""
    rules: str = ""
    edition: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    paper: Literal["", "a4", "letter"] = ""
    """Size of the sheets of text; "" is as units and rule set say."""
    sheets: Literal["", "iso", "us"] = ""
    """Series of the drawing sheets; "" is as the rule set says."""
    symbols: Literal["", "iec", "us"] = ""
    """Symbols of the circuit sheets; "" is as the rule set says."""
    language: str = ""
    """Of the papers; "" is English."""
    options: tuple[str, ...] = ()
    """Rig files beside this one, or `@B`: what the quote offers as well."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something that throws a shadow on modules. `at` and `size` in metres on the surface's outline."""

    id: str
    at: tuple[float, float] | None
    size: tuple[float, float] | None
    height: Given
    open: Given = ABSENT
    above: Given = ABSENT
    note: str = ""


@dataclass(frozen=True, slots=True)
class Trees:
    """Trees in a sector of the compass, clockwise from `first` to `last`, as high as `up_to` seen from the array."""

    id: str
    first: Given
    last: Given
    up_to: Given
    leaf_on: Given = ABSENT
    leaf_off: Given = ABSENT
    evergreen: bool = False


@dataclass(frozen=True, slots=True)
class Vent:
    """A vent with its own free area; `at` its middle, `size` width and height of its frame, metres seen from in front."""

    id: str
    area: Given
    at: tuple[float, float] | None = None
    size: tuple[float, float] | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where parts sit. `at` in metres on the host's axes, `size` width, depth, height in metres."""

    id: str
    regime: str
    at: tuple[float, float, float] | None = None
    size: tuple[float, float, float] | None = None
    figures: Figures = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    planes: Mapping[str, Mapping[str, Given | str]] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)
    outline: tuple[float, float] | None = None
    """Size of the surface that carries modules, metres; its middle stands at `at`."""
    board: tuple[float, float] | None = None
    """Width and height of the board that parts are screwed to, metres."""
    obstacles: Mapping[str, Obstacle] = field(default_factory=dict)
    horizon: Mapping[float, Given] = field(default_factory=dict)
    trees: Mapping[str, Trees] = field(default_factory=dict)
    opening_at: tuple[float, float] | None = None
    """Lower left corner of the clear opening, seen from in front, metres from the place's own."""
    vent_low: tuple[float, float] | None = None
    """Middle of the lower vent, seen in the same way."""
    vent_high: tuple[float, float] | None = None
    board_at: tuple[float, float] | None = None
    """Lower left corner of the board, seen in the same way."""
    vents: Mapping[str, Vent] = field(default_factory=dict)
    """Its vents one by one, where the file has them so."""


@dataclass(frozen=True, slots=True)
class Way:
    """A cable way between two places."""

    id: str
    a: str
    b: str
    length: Given
    glands: int = 0
    words: Mapping[str, str] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Host:
    """What carries the rig."""

    kind: str
    masses: Figures = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    ways: Mapping[str, Way] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Metal:
    """A conducting body: one node. `joined` conducts, `wet` is only a path for corrosion."""

    id: str
    joined: tuple[str, ...] = ()
    wet: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Join:
    """How the members of a group hang together."""

    how: Literal["chain", "busbars", "series"]
    link: "Cable | None" = None
    link_length: Given = ABSENT
    takeoff: Literal["diagonal", "same-end", ""] = ""
    plus: str = ""
    minus: str = ""
    lead: "Cable | None" = None
    lead_length: Given = ABSENT
    post_length: Given | None = None
    """Between a member's post and its own device; None: bolted onto the post."""


@dataclass(frozen=True, slots=True)
class Part:
    """An instance of a shelf entry. A member of a group or an array is a part of its own (`B.2`, `M.1.3`, `B.2.F`).

    `figure(name)` answers from the file first, then from the record; a class default only through
    `with_default`, which says so in its origin.
    """

    id: str
    record: Record
    place: str = ""
    figures: Figures = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    ways: Mapping[str, Given] = field(default_factory=dict)
    way_words: Mapping[str, str] = field(default_factory=dict)
    strings: int = 0
    per_string: int = 0
    count: int = 1
    join: Join | None = None
    group: str = ""
    found: str = ""
    position: Position = field(default=NOWHERE, compare=False)
    plane: Mapping[str, Given | str] = field(default_factory=dict)
    laid: tuple[float, float] | None = None
    """Where the module's first corner lies on the outline of its place, metres."""
    turned: bool = False
    """True when its long side lies across, along the second length of the outline."""
    standing: Standing | None = None
    """Where it stands in its place or on the board of it, as far as the file says."""
    _asked: dict[str, Given] = field(default_factory=dict, init=False, repr=False, compare=False)
    """Figures already told, with their addresses."""

    @property
    def kind(self) -> Kind:
        """The kind of the part's record."""
        return self.record.kind

    def figure(self, name: str) -> Given:
        """The figure of the file, else of the record, else Absent; it knows its address."""
        told = self._asked.get(name)
        if told is None:
            told = self._asked[name] = self._told(name)
        return told

    def _told(self, name: str) -> Given:
        address = f"{self.id}.{name}"
        given = self.figures.get(name)
        if given is None:
            given = self.record.figures.get(name, Absent())
        if isinstance(given, Figure):
            return given.at(address)
        return Unknown(given.asked, address) if isinstance(given, Unknown) else type(given)(address=address)

    def with_default(self, name: str) -> Given:
        """As `figure`, with the kind's class default where nobody was ever asked."""
        given = self.figure(name)
        if isinstance(given, Absent) and (spec := self.kind.figures.get(name)) and spec.default:
            from ohmwright.working import parse

            default = parse(f"{spec.default} (class)", spec.unit)
            return default.at(f"{self.id}.{name}") if isinstance(default, Figure) else default
        return given

    def word(self, name: str) -> str:
        """The word of the file, else of the record, else of the kind, else ""."""
        spec = self.kind.words.get(name)
        return self.words.get(name) or self.record.words.get(name) or (spec.default if spec else "")


@dataclass(frozen=True, slots=True)
class Load:
    """Something that takes power. `fed` maps "dc"/"ac"/"" to a panel way; without it, it has its own terminals."""

    id: str
    fed: Mapping[str, str] = field(default_factory=dict)
    wired: Literal["", "dc", "ac"] = ""
    power: ByLabel = field(default_factory=dict)
    energy: ByLabel = field(default_factory=dict)
    hours: ByLabel = field(default_factory=dict)
    duty: ByLabel = field(default_factory=dict)
    surge: Given = ABSENT
    standby: Given = ABSENT
    length: Given = ABSENT
    priority: str = ""
    only: tuple[str, ...] = ()
    takes: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)
    place: str = ""
    figures: Figures = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Stay:
    """A time at one place in one mode; a passage has `start` and `end` places instead of one."""

    first: tuple[int, int]
    last: tuple[int, int]
    place: str = ""
    start: str = ""
    end: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float | None = None
    mode: str = ""
    nights: int | None = None
    shore: str = ""
    supply: str = ""
    coldest: Given = ABSENT
    hottest: Given = ABSENT
    set: Mapping[str, str] = field(default_factory=dict)
    figures: Figures = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)
    horizon: Mapping[float, Given] = field(default_factory=dict)
    trees: Mapping[str, Trees] = field(default_factory=dict)
    under_trees: Given = ABSENT
    heading: Given = ABSENT


@dataclass(frozen=True, slots=True)
class Promise:
    """What the owner was told: `nights` without outside power, or loads that run together."""

    name: str
    words: Mapping[str, str]
    figures: Figures = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Use:
    """How the rig is lived with."""

    loads: Mapping[str, Load] = field(default_factory=dict)
    stays: tuple[Stay, ...] = ()
    promises: tuple[Promise, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    generator: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Cable:
    """What a run is made of. `area_mm2` None: not known. `system` says how the size was told."""

    text: str
    cores: int = 1
    area_mm2: float | None = None
    size: str = ""
    system: Literal["", "AWG", "SAE", "mm2"] = ""
    insulation_degC: float | None = None
    use: str = ""
    material: Literal["copper", "tinned", "cca", "unknown"] = "copper"
    colour: str = ""
    words: tuple[str, ...] = ()


@quickly_made
@dataclass(frozen=True, slots=True)
class Core:
    """One conductor of a run: its pole and the terminals at its ends."""

    id: str
    pole: Pole
    a: str
    b: str


@quickly_made
@dataclass(frozen=True, slots=True)
class Run:
    """One cable, from `start` to `stop` as written; current is positive that way.

    `length` is the cable's, never there and back.  `route` holds the ways it lies in, shortest unless `via`
    says otherwise; a length that is the sum of its route has the origin "computed".
    """

    id: str
    start: str
    stop: str
    cable: Cable
    length: Given
    cores: tuple[Core, ...]
    via: tuple[str, ...] = ()
    route: tuple[str, ...] = ()
    role: Literal["", "bond", "earth", "sense", "data"] = ""
    plugs: tuple[str, ...] = ()
    part_of: str = ""
    """The group whose link or lead it is, or the load whose branch it is."""
    found: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class CaseSpec:
    """An operating case of the file."""

    id: str
    loads: Mapping[str, Given] = field(default_factory=dict)
    bank_soc_ratio: float | None = None
    bank_degC: float | None = None
    set: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    position: Position = field(default=NOWHERE, compare=False)
    figures: Figures = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Never:
    """What must never be together: terms are (variable, state) or (load, "live")."""

    these: tuple[tuple[str, str], ...]
    by: Literal["plate", "same part", "wiring", "label"]
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Cut:
    """An emergency cut: with this set and all outside sources off, only `stays_live` may be connected to a bank."""

    id: str
    set: Mapping[str, str]
    stays_live: tuple[str, ...] = ()
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A fact that only eyes can give. `verdict` "pass" unless the entry says it was found wrong."""

    rule: str
    subject: str
    found: str
    by: str
    dated: str
    photo: str = ""
    verdict: Literal["pass", "fail"] = "pass"
    position: Position = field(default=NOWHERE, compare=False)
    of: str = ""
    """The mark of what was looked at; "" where nobody wrote it: the look holds for whatever is there."""


@dataclass(frozen=True, slots=True)
class Override:
    """Accepts one failed rule for one subject; lapses when the figure it was given for changes, or after `until`."""

    rule: str
    subject: str
    why: str
    by: str
    dated: date
    accepted: str = ""
    until: date | None = None
    licensed: str = ""
    position: Position = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Rig:
    """A whole rig file. Parts hold groups as written *and* their members; runs hold links and leads too."""

    file: str
    text: str
    sha256: str
    version: int
    job: Job
    sources: Mapping[str, Source] = field(default_factory=dict)
    host: Host = field(default_factory=lambda: Host(""))
    metal: Mapping[str, Metal] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    use: Use = field(default_factory=Use)
    runs: Mapping[str, Run] = field(default_factory=dict)
    settings: Mapping[str, Mapping[str, Given | str]] = field(default_factory=dict)
    cases: Mapping[str, CaseSpec] = field(default_factory=dict)
    never: tuple[Never, ...] = ()
    cuts: Mapping[str, Cut] = field(default_factory=dict)
    looked_at: tuple[LookedAt, ...] = ()
    overrides: tuple[Override, ...] = ()
    frozen: Mapping[str, object] = field(default_factory=dict)
    _of_kind: dict[tuple[str, ...], tuple[Part, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def setting(self, part: str, key: str) -> Given | str:
        """A setting as given: a figure, a word, or Absent. `absorb` and `absorption` are one setting."""
        from ohmwright.rig.shape import SAME_SETTING

        key = SAME_SETTING.get(key, key)
        return self.settings.get(part, {}).get(key, Absent(address=f"settings.{part}.{key}"))

    def of_kind(self, *kinds: str) -> tuple[Part, ...]:
        """The parts of these kinds, members of groups included, groups themselves not."""
        found = self._of_kind.get(kinds)
        if found is None:
            found = self._of_kind[kinds] = tuple(
                [
                    p
                    for p in self.parts.values()
                    if p.kind.name in kinds and not (p.join or p.count > 1 or p.strings)
                ]
            )
        return found
