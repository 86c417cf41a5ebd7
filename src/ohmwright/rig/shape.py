"""The shape of a rig file, said once: the reader, the JSON Schema and the reference page are made from it."""

from ohmwright.rig.forms import (
    Amount,
    Count,
    Day,
    Each,
    Either,
    Flag,
    Form,
    Keys,
    Labelled,
    Lengths,
    Many,
    Named,
    Plain,
    Raw,
    Text,
    Word,
)
from ohmwright.rig.standing_shape import Stands
from ohmwright.rig.surface_shape import HEADING, HORIZON, LAID, OBSTACLES, OUTLINE, TREES, UNDER_TREES
from ohmwright.rig.telling import any_key

VERSION = 1

_FOUND = Text(
    "an observation, kept with its origin", "what was seen, for instance: lug 78 degC after 240 s (f)"
)
_STATES = Raw(
    "states of variables: {Q5: 0, U2.hand: off}",
    {"type": "object", "additionalProperties": {"type": ["string", "integer", "boolean"]}},
)
_CABLE = {
    "type": "string",
    "examples": ["4/0 AWG 105C red", "pv 10 AWG", "2 x 10 mm2 tinned", "10 SAE", "maker's lead"],
}
_END = {
    "anyOf": [
        {"type": "string", "pattern": "^[^:]+$"},
        {"type": "object", "additionalProperties": {"type": "string"}},
    ]
}

SOURCES = Each(
    Keys(
        "a source",
        {
            "title": Text("what it is"),
            "dated": Text("its date", "a date, for instance 2026-05-02"),
            "file": Text("where it is kept"),
            "by": Text("who wrote or said it"),
            "note": Text("a remark"),
        },
        needs=("title",),
    ),
    "documents and people that figures come from; the tag stands in brackets behind a figure",
    named="a source",
)

JOB = Keys(
    "job",
    {
        "id": Text("name of the job", "a name, for instance larkspur"),
        "title": Text("what people call it"),
        "based-on": Text("letter of the revision this grew from", "a letter, for instance A"),
        "revision": Text("letter of this revision, when issued", "a letter, for instance B"),
        "stage": Text("as found, draft, quoted, built ...", "a word, for instance: as found"),
        "units": Word("units of papers", "metric", "us"),
        "paper": Word("size of sheets of text", "a4", "letter"),
        "sheets": Word(
            "series of drawing sheets: A3, A2, A1 or B (tabloid), C, D; else as the rule set", "iso", "us"
        ),
        "symbols": Word("symbols of the circuit sheets; else as the rule set", "iec", "us"),
        "language": Text("language of papers", "the name of a file of sentences, for instance en"),
        "options": Many(
            Text("a rig file beside this one, or @ and the letter of an issued revision", "rig-larger.yaml"),
            "what the quote offers beside this rig: two at most",
            alone=True,
        ),
        "currency": Text("three letters after ISO 4217", "three letters, for instance USD"),
        "rules": Text("rule set and its year", "a rule set and a year, for instance: us-vehicle 2023"),
        "owner": Text("whose rig it is", "a name"),
        "shop": Text("who builds it", "a name"),
        "designer": Text("who drew it", "a name"),
        "dated": Text("date of this state of the file", "a date"),
        "lawful-hands": Text(
            "who may do the licensed part of the work", "for instance: registered electrical contractor"
        ),
        "note": Text("a remark"),
    },
)

PLANE = Keys(
    "a plane",
    {
        "tilt": Amount("from flat", "deg", least=0, most=180),
        "faces": Text("compass bearing, or bow, or flat", "180 deg true, bow or flat"),
        "shade": Text("what shades it, when"),
        "heading": Text("how the host lies"),
    },
)

VENTS = Either(
    Amount("free area of two equal vents, low and high together; or each vent by its name", "mm2", least=0),
    Each(
        Keys(
            "a vent",
            {
                "area": Amount("its own free area", "mm2", least=0),
                "at": Lengths("its middle, seen from in front, from the place's lower left corner: x y", 2),
                "size": Lengths("width x height of its frame; left out, a square of its free area", 2),
                "note": Text("a remark"),
            },
            needs=("area",),
        ),
        "vents by name, each with its own free area",
        named="a vent",
    ),
)

PLACE = Keys(
    "a place",
    {
        "regime": Word(
            "heat and wet it lives in",
            "outside", "sheltered", "cabin", "heated", "unheated", "box", "engine", "buried", "locker", "underbody",
        ),
        "at": Lengths("position on the host's axes: x y z unit", 3),
        "size": Lengths("width x depth x height", 3),
        "opening": Lengths("clear opening, width x height", 2),
        "opening-at": Lengths("lower left corner of that opening, seen from in front, from the place's own: x y", 2),
        "board": Lengths("board that parts are screwed to, width x height", 2),
        "board-at": Lengths("lower left corner of that board, seen from in front, from the place's own: x y; a board as large as the back wall covers it", 2),
        "vents": VENTS,
        "vent-low": Lengths("middle of the lower vent, seen from in front, from the place's lower left corner: x y; left out, it counts as sitting on the floor", 2),
        "vent-high": Lengths("middle of the upper vent, in the same way; left out, it counts as sitting under the top", 2),
        "coldest": Amount("coldest it gets", "degC", least=-90, most=120),
        "hottest": Amount("hottest it gets", "degC", least=-90, most=120),
        "kept-above": Amount("heated to stay above", "degC"),
        "UA": Amount("heat conductance of its walls", "W/K", least=0),
        "volume": Amount("air in it", "L", least=0),
        "floods-at": Amount("height above its floor at which water stands", "m"),
        "inside": Named("the place it is inside of", "a place"),
        "vapour": Word("what may gather there", "none", "petrol", "lp-gas", "hydrogen", "unknown"),
        "shade": Text("what shades it, when"),
        "snow-reflection": Text("whether snow's light is counted", "not credited"),
        "ashore": Flag("not on the host"),
        "plane": PLANE,
        "planes": Each(PLANE, "planes of the modules here; `all` for every one", named="a plane"),
        "outline": OUTLINE,
        "obstacles": OBSTACLES,
        "horizon": HORIZON,
        "trees": TREES,
        "note": Text("a remark"),
    },
)  # fmt: skip

WAY = Keys(
    "a way",
    {
        "length": Amount("length of the cable way", "m", least=0),
        "glands": Count("glands it passes"),
        "bulkhead": Count("bulkheads it passes"),
        "underbody": Flag("under the floor, in the weather"),
        "buried": Flag("in the soil"),
        "rooftop": Flag("on the roof, in the sun"),
        "conduit": Flag("in a conduit"),
        "engine": Flag("through the engine space"),
        "vapour": Word("what may gather there", "none", "petrol", "lp-gas", "hydrogen", "unknown"),
        "hottest": Amount("hottest it gets", "degC", least=-90, most=120),
        "note": Text("a remark"),
    },
    needs=("length",),
)

HOST = Keys(
    "host",
    {
        "kind": Text("trailer, van, boat, cabin", "trailer, van, boat or cabin"),
        "masses": Raw(
            "masses and the lengths that belong to them",
            {"type": "object", "additionalProperties": {"type": "string"}},
        ),
        "axes": Text(
            "how positions are meant", "for instance: x forward from axle centre, y left, z up from floor"
        ),
        "places": Each(PLACE, "where parts sit", named="a place"),
        "ways": Each(WAY, "cable ways between places: `roof - side-bay`", named="a way", name=any_key),
        "roofs": Plain("roof surfaces and what stands on them"),
        "note": Text("a remark"),
    },
    needs=("kind",),
)

#: Masses and lengths of the host: unit by key. `sold-before` is a word.
MASSES: dict[str, tuple[str, ...]] = {
    "gvwr": ("kg",), "loaded": ("kg",), "empty": ("kg",), "tongue": ("kg",), "hitch-limit": ("kg",), "axle-limit": ("kg",),
    "front-axle": ("kg",), "front-axle-limit": ("kg",), "rear-axle-limit": ("kg",), "rear-axle": ("kg",), "payload": ("kg",), "displacement": ("kg",), "axle-to-ball": ("m",), "wheelbase": ("m",),
    "trim-limit": ("deg", "m", "kg"), "roof-limit": ("kg",), "track": ("m",), "leakage": ("A",), "ccc-label": ("kg",), "removed": ("kg",), "removed-ahead": ("m",),
}  # fmt: skip

METAL = Each(
    Keys(
        "a metal body",
        {
            "joined": Many(Named("a metal body"), "bodies it is joined to", alone=True),
            "touches": Many(Named("a metal body"), "bodies it touches: conducts like joined", alone=True),
            "wet": Many(
                Named("a metal body"), "the water or soil it is wet by: only for corrosion", alone=True
            ),
            "metal": Text("what it is made of", "for instance: aluminium"),
            "note": Text("a remark"),
        },
    ),
    "conducting bodies, one node each",
    named="a metal body",
)

JOIN = Keys(
    "join",
    {
        "as": Word("how members hang together", "chain", "busbars", "series"),
        "link": Raw("cable between neighbours", _CABLE),
        "link-length": Amount("length of each link", "m", least=0.001),
        "takeoff": Word("where a chain is taken off", "diagonal", "same-end"),
        "plus": Named("first stud of the plus bar, for instance XB.1", "a stud"),
        "minus": Named("first stud of the minus bar", "a stud"),
        "lead": Raw("cable from each member to the bars", _CABLE),
        "lead-length": Amount("length of each lead", "m", least=0.001),
        "post-length": Amount(
            "length of the lead between a battery's post and its own device; bolted on when left out",
            "m",
            least=0.001,
        ),
    },
    needs=("as",),
)

#: Keys that any part may have; figures and words of its kind come beside them.
PART: dict[str, Form] = {
    "is": Named("a part of the shelf, or a bare kind", "a part of the shelf"),
    "at": Named("the place it sits in", "a place"),
    "array": Text("modules: strings of so many in series, so many strings", "for instance 3s1p"),
    "count": Count("members of a group", 1, 64),
    "each": Each(
        Named("a part of the shelf"),
        "what each member has of its own: {F: fuse-terminal-post-150a}",
        named="a device",
    ),
    "join": JOIN,
    "but": Raw(
        "members that differ: {2: {resistance: 3.1 mohm}}, or {1.2: {is: ...}} in an array",
        {"type": "object"},
    ),
    "ways": Raw(
        "what each way has: {1: 15 A, 4: 20 A L1+L2+N}",
        {"type": "object", "additionalProperties": {"type": "string"}},
    ),
    "fitted": Raw("what was chosen or built in: {ac-out-bond: relay}", {"type": "object"}),
    "on": Named("the metal body its case is bolted to", "a metal body"),
    "run-by": Named("the outside state that drives it", "for instance engine-running"),
    "own": Flag("no marks a supply that is not ours"),
    "counts": Many(Named("a bank"), "the bank whose current a shunt counts", alone=True),
    "watches": Many(Named("a bank"), "the bank that a management unit watches", alone=True),
    "found": _FOUND,
    "plane": PLANE,
    "flat": Flag("lies flat"),
    "gap": Amount("air behind a module", "m", least=0),
    "laid": LAID,
    "stands": Stands(
        "its lower left corner in its place, seen from in front: x y, a third length out from the back wall; floor, left or right, turned, sideways",
        "stands",
    ),
    "on-board": Stands(
        "its lower left corner on the board of its place, from the board's own: x y; turned", "on-board"
    ),
    "note": Text("a remark"),
}

PARTS = Each(
    Raw("a part: `is` names the shelf entry, any figure of its kind may be given over the shelf's"),
    "parts by id",
    named="a part",
)

ONLY = Many(
    Text("a mode or season", "a mode, for instance passage"), "modes or seasons it is used in", alone=True
)

#: What a load may be that must stay fed.
VITAL = ("alarm", "bilge", "medical", "brake")
LOAD = Keys(
    "a load",
    {
        "fed": Named("the way that feeds it", "a way, for instance PD.1"),
        "feeds": Each(Named("a way"), "two feeds: {dc: PD.1, ac: PA.2}", named="a feed"),
        "wired": Word("it has terminals and runs of its own", "dc", "ac"),
        "power": Labelled("while running, at its own terminals", "W", "VA", least=0),
        "energy": Labelled("a day", "Wh/day", least=0),
        "hours": Labelled("a day", "s", least=0, most=86400),
        "duty": Labelled("part of the time it really draws", "1", least=0, most=1),
        "surge": Amount("at start: 7200 VA for 0.8 s", "W", "VA", "A", least=0),
        "standby": Amount("when off but connected", "W", least=0),
        "power-factor": Amount("of an AC load", "1", least=0, most=1),
        "start-power-factor": Amount(
            "of an AC motor at standstill; with a surge in A it is solved as its winding",
            "1",
            least=0,
            most=1,
        ),
        "volts": Amount("what it is made for", "V", least=0),
        "current": Amount("while running", "A", least=0),
        "heat": Amount("heat it gives while it runs, of a heater", "W", least=0),
        "warms": Named(
            "the place that it heats; with that place's UA its hours follow the weather", "a place"
        ),
        "burns": Amount("fuel while it runs", "L/h", least=0),
        "length": Amount("of its branch cable", "m", least=0.001),
        "cable": Raw("of its branch", _CABLE),
        "via": Raw("way of its branch cable"),
        "at": Named("the place it sits in", "a place"),
        "priority": Word("what is given up last", "always", "first", "normal", "can-go"),
        "vital": Word("it must stay fed when the main is off", *VITAL),
        "double-insulated": Word("class II: it wants no protective conductor", "yes", "no"),
        "only": ONLY,
        "takes": Text("which feed it takes", "for instance: ac when live else dc"),
        "said": Text("what the owner said of it"),
        "found": _FOUND,
        "note": Text("a remark"),
    },
)

STAY = Keys(
    "a stay",
    {
        "span": Text("first and last day: month-day..month-day", "for instance 04-20..10-20"),
        "place": Text("where", "a town or region"),
        "from": Text("start of a passage", "a town or region"),
        "to": Text("end of a passage", "a town or region"),
        "at-coordinates": Text("61.9 N 9.0 E 840 m", "for instance 61.9 N 9.0 E 840 m"),
        "mode": Text(
            "occupied, unattended, laid-up, anchor, passage, shore ...", "a word, for instance occupied"
        ),
        "nights": Count("nights lived on board", 0, 366),
        "away": Count("nights in a row without outside power", 0, 366),
        "people": Count("people on board", 0, 50),
        "shore": Text("outside power there", "shore: none, or what is there, for instance shore: 16 A 230 V"),
        "supply": Text("what the supply gives", "for instance 6 A 230 V"),
        "coldest": Amount("coldest night there", "degC", least=-90, most=120),
        "hottest": Amount("hottest day there", "degC", least=-90, most=120),
        "driving": Amount("engine hours a day", "s", least=0, most=86400),
        "idling": Amount("engine hours a day at idle, standing still", "s", least=0, most=86400),
        "under-way": Amount("hours a day under way", "s", least=0, most=86400),
        "speed": Amount("speed through the water while under way", "m/s", least=0, most=30),
        "wind": Amount("mean wind at the height of the wind generator", "m/s", least=0, most=30),
        "shade": Text("how shaded the pitches are", "for instance: forest"),
        "horizon": HORIZON,
        "trees": TREES,
        "under-trees": UNDER_TREES,
        "heading": HEADING,
        "set": _STATES,
        "generator": Text("how the generator is used", "for instance: manual-only"),
        "season": Text("which season's habits hold", "summer, shoulder or winter"),
        "note": Text("a remark"),
    },
    needs=("span",),
)

PROMISE = Keys(
    "a promise",
    {
        "name": Text("what it is called", "a short name"),
        "nights": Amount("nights without outside power", "1", least=0),
        "nights-lost": Amount("at most so many nights lost a year", "1", least=0),
        "plug-in-days": Amount("at most so many days a year on which outside power is needed", "1", least=0),
        "unserved": Amount("at most so much energy a year that loads wanted and did not get", "Wh", least=0),
        "energy": Amount("a day", "Wh/day", least=0),
        "probability": Amount("in so many of 100 years", "1", least=0, most=1),
        "hours": Amount("so long", "s", least=0),
        "together": Many(Named("a load"), "loads that run at once"),
        "loads": Many(Named("a load"), "the loads it is about", alone=True),
        "mode": Text("in which mode", "a mode"),
        "season": Text("in which season", "a season"),
        "said": Text("the owner's own words"),
        "by": Text("who said it", "a name"),
        "dated": Text("when", "a date"),
    },
    needs=("name",),
)

USE = Keys(
    "use",
    {
        "loads": Each(LOAD, "what takes power", named="a load"),
        "stays": Many(STAY, "where and how the year is spent"),
        "promises": Many(PROMISE, "what the owner was told"),
        "answers": Plain("answers of the interview by question: text, or {said, by, dated}"),
        "generator": Keys(
            "use.generator",
            {
                "starts": Text("when it starts", "for instance: bank at 25 %"),
                "stops": Text("when it stops", "for instance: bank at 95 %"),
                "allowed": Text("hours it may run", "for instance 08:00..21:00"),
                "least-run": Text("how long it runs once it has started", "for instance: 2 h"),
                "needs": Text("who must be there", "for instance: occupied"),
                "who": Text("who starts it", "a name, or unknown (asked 2026-03-05)"),
                "exercise": Text("when it is run to keep it well", "for instance: monthly while occupied"),
                "fuel": Text("what it burns", "for instance: petrol"),
                "note": Text("a remark"),
            },
        ),
        "note": Text("a remark"),
    },
)

RUN = Keys(
    "a run",
    {
        "from": Raw("terminal, port or map of poles", _END),
        "to": Raw("terminal, port or map of poles", _END),
        "cable": Raw("size, system, make and colour", _CABLE),
        "length": Amount(
            "of the cable, never there and back; none where makers' leads plug together", "m", least=0.001
        ),
        "via": Raw("a way, or a list of places; else the shortest route"),
        "cores": Text("the poles that it carries of both ports", "for instance: L N"),
        "role": Word("names the label, decides no proof", "bond", "earth", "sense", "data"),
        "plugs": Word("which ends are plugs", "both", "from", "to"),
        "found": _FOUND,
        "insulation": Amount("temperature class of its insulation", "degC"),
        "note": Text("a remark"),
    },
    needs=("from", "to", "cable"),
)

CASE = Keys(
    "a case",
    {
        "title": Text("what is going on", "a few words"),
        "loads": Each(Amount("taken", "W", "VA", least=0), "loads that run", named="a load"),
        "bank": Text("charge and warmth", "for instance: 20 % at 5 degC"),
        "set": _STATES,
        "sun": Amount("part of full sun", "1", least=0, most=1.5),
        "lasts": Amount("how long", "s", least=0),
        "note": Text("a remark"),
    },
    rest=Raw("an inlet that is `unplugged`"),
    moved={
        "open": "write set: {Q1: open}",
        "closed": "write set: {Q1: closed}",
        "states": "write set: {...}",
    },
)

NEVER = Many(
    Keys(
        "a never",
        {
            "these": Many(
                Text(
                    "a variable with its state, or a load with `live`",
                    "for instance: Q5 1, or: water-heater live",
                )
            ),
            "by": Word("what keeps them apart", "plate", "same part", "wiring", "label"),
            "note": Text("a remark"),
        },
        needs=("these", "by"),
    ),
    "what must never be together, and what sees to it",
)

CUTS = Each(
    Keys(
        "a cut",
        {"set": _STATES, "stays-live": Many(Named("a part"), "what may stay live"), "note": Text("a remark")},
        needs=("set",),
    ),
    "emergency cuts: with this set, only the named may stay connected to a bank",
    named="a cut",
)

_RULE = Named("id of the rule", "a rule, for instance battery/held-down")
LOOKED_AT = Many(
    Keys(
        "a looked-at",
        {
            "rule": _RULE,
            "subject": Named("what was looked at", "an address"),
            "found": Text("what was seen"),
            "by": Text("who looked", "a name"),
            "dated": Day("when"),
            "photo": Text("picture of it", "a file name"),
            "verdict": Word("pass unless it was found wrong", "pass", "fail"),
            "of": Text(
                "mark of what was looked at, as check tells it: the look lapses when that changes",
                "for instance 1a2b.3c4d.5e6f",
            ),
        },
        needs=("rule", "subject", "found", "by", "dated"),
    ),
    "facts that only eyes can give",
)

OVERRIDES = Many(
    Keys(
        "an override",
        {
            "rule": _RULE,
            "subject": Named("the one subject it holds for", "an address"),
            "why": Text("the reason"),
            "by": Text("who accepts it", "a name"),
            "dated": Day("when"),
            "accepted": Text(
                "the value it was given for: it lapses when that changes", "for instance 101.3 V"
            ),
            "until": Day("last day it holds"),
            "licensed": Text("licence or registration of who accepts", "a number"),
        },
        needs=("rule", "subject", "why", "by", "dated"),
    ),
    "accepts one failed rule for one subject",
)

#: Other names of figures that people write: they mean the second where the kind has it.
SAME_FIGURE: dict[str, str] = {"ohm": "resistance", "dc_rating": "voltage", "rating": "rated"}

#: Settings with a unit: a bare number there is a mistake. Other settings are free.
SETTINGS: dict[str, str] = {
    "absorption": "V", "float": "V", "low-float": "V", "equalise": "V", "bulk": "V", "cut-off": "V", "reconnect": "V", "charge": "A",
    "supply-limit": "A", "charge-limit": "A", "end-current": "A", "output": "V", "frequency": "Hz", "capacity": "Ah", "restart": "V",
    "low-cut-off": "V", "discharge-limit": "A", "grid-voltage": "V",
}  # fmt: skip

#: Spellings that mean one of the names above.
SAME_SETTING: dict[str, str] = {"absorb": "absorption", "equalize": "equalise", "cutoff": "cut-off"}

SECTIONS: dict[str, Form] = {
    "ohmwright": Word("version of the file's shape", str(VERSION)),
    "job": JOB,
    "sources": SOURCES,
    "host": HOST,
    "metal": METAL,
    "parts": PARTS,
    "use": USE,
    "runs": Each(RUN, "cables: from, to, cable, length", named="a run"),
    "settings": Raw(
        "settings by part: {U1: {absorption: 14.2 V}}",
        {"type": "object", "additionalProperties": {"type": "object"}},
    ),
    "cases": Each(CASE, "operating cases", named="a case"),
    "never": NEVER,
    "cuts": CUTS,
    "looked-at": LOOKED_AT,
    "overrides": OVERRIDES,
    "frozen": Plain("what an issued revision keeps of shelf, rules and sky"),
}

FILE = Keys(
    "a rig file",
    SECTIONS,
    needs=("ohmwright",),
    moved={
        "interlocks": "write never: - {these: [Q1 closed, Q2 closed], by: plate}",
        "loads": "write it under use:",
        "stays": "write it under use:",
        "places": "write it under host:",
        "ways": "write it under host:",
        "cables": "write runs:",
    },
)
