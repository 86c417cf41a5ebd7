"""What holds groups and arrays together: links and leads as runs of their own, posts, module links and take-offs."""

import itertools
from collections.abc import Mapping
from dataclasses import dataclass

from ohmwright.rig.model import Cable, Core, Part, Run
from ohmwright.rig.ports import Outlet, Ports, is_group, main_outlet, members, own_device
from ohmwright.rig.telling import near, refuse, short
from ohmwright.working import Figure, FileError, Given


@dataclass(frozen=True, slots=True)
class Bond:
    """Two terminals that touch without a cable of ours: a device on a post, a take-off, modules plugged together."""

    id: str
    a: str
    b: str
    owner: str
    role: str


def _named(given: Given, address: str) -> Given:
    return given.at(address) if isinstance(given, Figure) else given


def _post(member: Part, parts: Mapping[str, Part], table: Ports) -> dict[str, str]:
    """Where a member is joined on: its posts, or the far side of its own device on the plus."""
    outlet = _main(member, table)
    posts = dict(zip(outlet.poles, outlet.terminals, strict=True))
    device = own_device(member, parts)
    if device is not None:
        posts["+"] = _side(device, "load", table)
    return posts


def _main(member: Part, table: Ports) -> Outlet:
    outlet = main_outlet(member, table)
    if outlet is None:
        raise FileError(
            f"{member.id}, a {member.kind.title}, has no plus and minus to be grouped by",
            at=member.position,
            remedy="write it as parts of their own",
        )
    return outlet


def _side(device: Part, side: str, table: Ports) -> str:
    outlet = table.outlets.get(f"{device.id}.{side}")
    if outlet is None or len(outlet.terminals) != 1:
        raise FileError(
            f"{device.id}, a {device.kind.title}, cannot stand in a battery's plus",
            at=device.position,
            remedy="write a fuse or breaker of one pole under each:",
        )
    return outlet.terminals[0]


def _studs(group: Part, written: str, table: Ports, parts: Mapping[str, Part]) -> list[str]:
    """Terminals of the consecutive studs that the leads take, from the one written."""
    bar, _, first = written.rpartition(".")
    if not bar or not first.isdecimal():
        bar, first = written, "1"
    if bar not in parts:
        bars = (p for p in parts if f"{p}.1" in table.outlets)
        found = near(bar, bars)
        write = f"did you mean {found}.1?" if found else "write the first stud of a busbar, for instance XB.1"
        refuse(group.position, f"{group.id} joins to '{short(written)}', which is no bar", write, written)
    out = []
    for n in range(int(first), int(first) + group.count):
        outlet = table.outlets.get(f"{bar}.{n}")
        if outlet is None or len(outlet.terminals) != 1:
            raise FileError(
                f"the leads of {group.id} take studs {first} to {int(first) + group.count - 1} of {bar}, which has no stud {n}",
                at=group.position,
                remedy="begin at a lower stud, or take a longer bar",
            )
        out.append(outlet.terminals[0])
    return out


def group_runs(parts: Mapping[str, Part], table: Ports) -> dict[str, Run]:
    """Links, leads and post leads of every group, by id."""
    out: dict[str, Run] = {}
    for group in parts.values():
        if group.join is None or group.strings or not is_group(group):
            continue
        batteries = members(group, parts)
        posts = [_post(b, parts, table) for b in batteries]
        join = group.join
        if join.how == "busbars":
            plus, minus = _studs(group, join.plus, table, parts), _studs(group, join.minus, table, parts)
            lead_length = _named(join.lead_length, f"{group.id}.join.lead-length")
            for n, (battery, post) in enumerate(zip(batteries, posts, strict=True), 1):
                ends = {"+": (post["+"], plus[n - 1]), "-": (post["-"], minus[n - 1])}
                run = _run(group, f"lead{n}", battery.id, plus[n - 1], join.lead, lead_length, ends)
                out[run.id] = run
        elif join.link is not None:
            link_length = _named(join.link_length, f"{group.id}.join.link-length")
            joined = itertools.pairwise(zip(batteries, posts, strict=True))
            for n, ((a, pa), (b, pb)) in enumerate(joined, 1):
                ends = (
                    {"": (pa["-"], pb["+"])}
                    if join.how == "series"
                    else {p: (pa[p], pb[p]) for p in ("+", "-")}
                )
                run = _run(group, f"link{n}", a.id, b.id, join.link, link_length, ends)
                out[run.id] = run
        if join.post_length is not None:
            cable = join.lead or join.link
            for battery in batteries:
                device = own_device(battery, parts)
                if device is not None and cable is not None:
                    number = battery.id.rpartition(".")[2]
                    ends = {"": (_main(battery, table).terminals[0], _side(device, "line", table))}
                    run = _run(
                        group,
                        f"post{number}",
                        battery.id,
                        device.id,
                        cable,
                        _named(join.post_length, f"{group.id}.join.post-length"),
                        ends,
                    )
                    out[run.id] = run
    return out


def _run(
    group: Part,
    name: str,
    start: str,
    stop: str,
    cable: Cable | None,
    length: Given,
    ends: Mapping[str, tuple[str, str]],
) -> Run:
    id_ = f"{group.id}.{name}"
    cores = tuple(Core(f"{id_}.{pole}" if pole else id_, pole, a, b) for pole, (a, b) in ends.items())
    return Run(
        id_,
        start,
        stop,
        cable or Cable("", material="unknown"),
        length,
        cores,
        part_of=group.id,
        position=group.position,
    )


def bonds(parts: Mapping[str, Part], table: Ports) -> list[Bond]:
    """Everything in groups and arrays that conducts without a cable to cut."""
    out: list[Bond] = []
    for group in parts.values():
        if group.strings:
            out += _array_bonds(group, table)
        elif is_group(group):
            out += _group_bonds(group, parts, table)
    return out


def _array_bonds(group: Part, table: Ports) -> list[Bond]:
    out = []
    for s in range(1, group.strings + 1):
        string = f"{group.id}.{s}"
        address = group.id if group.strings == 1 else string
        first, last = f"{string}.1", f"{string}.{group.per_string}"
        out += [
            Bond(f"{string}.link{n}", f"{string}.{n}.-", f"{string}.{n + 1}.+", group.id, "module-link")
            for n in range(1, group.per_string)
        ]
        out.append(Bond(f"{address}.takeoff.+", f"{first}.+", f"{address}.+", group.id, "takeoff"))
        out.append(Bond(f"{address}.takeoff.-", f"{last}.-", f"{address}.-", group.id, "takeoff"))
    return [b for b in out if b.a in table.terminals and b.b in table.terminals]


def _group_bonds(group: Part, parts: Mapping[str, Part], table: Ports) -> list[Bond]:
    out = []
    batteries = members(group, parts)
    join = group.join
    for battery in batteries:
        device = own_device(battery, parts)
        if device is not None and (join is None or join.post_length is None):
            out.append(
                Bond(
                    f"{device.id}.post",
                    _main(battery, table).terminals[0],
                    _side(device, "line", table),
                    group.id,
                    "post",
                )
            )
    if join is None or join.how != "busbars":
        last = (
            batteries[-1]
            if join is not None and (join.how == "series" or join.takeoff == "diagonal")
            else batteries[0]
        )
        out.append(
            Bond(
                f"{group.id}.takeoff.+",
                _post(batteries[0], parts, table)["+"],
                f"{group.id}.+",
                group.id,
                "takeoff",
            )
        )
        out.append(
            Bond(
                f"{group.id}.takeoff.-", _post(last, parts, table)["-"], f"{group.id}.-", group.id, "takeoff"
            )
        )
    return out
