"""Plans of things and what joins them, as trees from left to right: places and ways, metal and its bonds.

A join that would close a ring is drawn as a stub that names its other end.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.frame import room
from ohmwright.drawing.lettering import plain, text_width, wrapped
from ohmwright.drawing.page import BIG, EM, STEP, Page, largest
from ohmwright.drawing.shapes import SYMBOL, Dash, Line, Polyline

#: Length of a join, and of the words on it.
GAP, WORDS = 62.0, 56.0
AIR = 2.5
#: Rows stand no further apart than that besides.
MOST_AIR = 9.0
#: Room for the name at the end of a stub.
STUB = 24.0


@dataclass(frozen=True, slots=True)
class Node:
    """A thing: its name and lines."""

    id: str
    lines: tuple[str, ...] = ()

    @property
    def width(self) -> float:
        """How wide its box is."""
        words = (text_width(plain(w), EM) for w in self.lines)
        return max([text_width(plain(self.id), BIG, "sans-bold"), *words]) + 4.0

    @property
    def height(self) -> float:
        """How tall its box is."""
        return BIG + len(self.lines) * STEP + 1.8


@dataclass(frozen=True, slots=True)
class Join:
    """What joins two things: the words over its line and those under it. `ref` is its address."""

    ref: str
    a: str
    b: str
    over: str
    under: str = ""
    dash: Dash = ""
    weight: float = 0.5

    def other(self, node: str) -> str:
        """The end across."""
        return self.b if node == self.a else self.a

    @property
    def lines(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Its words, wrapped."""
        return wrapped(plain(self.over), EM, WORDS), wrapped(plain(self.under), EM, WORDS)

    @property
    def above(self) -> float:
        """Room that its line needs over it."""
        return len(self.lines[0]) * STEP + 1.2

    @property
    def below(self) -> float:
        """Room that its line needs under it."""
        return len(self.lines[1]) * STEP + 1.8


@dataclass(slots=True)
class _Tree:
    """A tree laid out from its root at (0, 0)."""

    root: str
    at: dict[str, tuple[int, float, float]] = field(default_factory=dict)
    """node -> depth, upper and lower edge of its box."""
    joins: list[tuple[Join, str, float, bool]] = field(default_factory=list)
    """join, the node it starts at, its height, and whether it is a stub."""
    height: float = 0.0


def tree_pages(
    nodes: Sequence[Node],
    joins: Sequence[Join],
    sizes: Sequence[str],
    finish: Callable[[Page], bool],
    roots: Sequence[str] = (),
) -> list[Page]:
    """Trees on the smallest sheet that holds them, as large as they stand there; else on several of the largest.

    `roots` are tried first; else what has most joins.  `finish` writes the notes beside the first sheet and says whether they
    find room.
    """
    by_id = {n.id: n for n in nodes}
    widest = max((n.width for n in nodes), default=20.0)
    laid = {size: _trees(by_id, joins, roots, _depths(size, widest)) for size in sizes}
    whole = {size: trees for size, trees in laid.items() if _height(trees) <= _room(size)[1]}
    fewest = min((_stubs(whole[size]) for size in sizes[:2] if size in whole), default=0)
    pages: list[Page] = []
    for size, trees in laid.items():
        last = size == sizes[-1]
        if not last and (
            size not in whole or _stubs(trees) > fewest
        ):  # a tree whole rather than a sheet small
            continue
        gap = GAP
        if size in whole:
            trees = _aired(by_id, joins, roots, size, widest, trees)
            gap = _stretched(trees, size, widest)
        pages = _drawn(trees, by_id, size, widest, gap)
        if not pages or finish(pages[0]):
            break
    return pages


def _room(size: str) -> tuple[float, float]:
    left, top, right, bottom = room(size).drawing
    return right - left, bottom - top


def _depths(size: str, widest: float) -> int:
    """How many things stand side by side."""
    return max(1, int((_room(size)[0] + GAP - WORDS - STUB) // (widest + GAP)))


def _height(trees: Sequence["_Tree"]) -> float:
    return sum(t.height + AIR for t in trees) - AIR


def _width(trees: Sequence["_Tree"], widest: float) -> float:
    deep = max((depth for t in trees for depth, _, _ in t.at.values()), default=0)
    ends = [
        t.at[start][0] * (widest + GAP) + widest + WORDS + STUB
        for t in trees
        for _, start, _, stub in t.joins
        if stub
    ]
    return max([deep * (widest + GAP) + widest, *ends])


def _stubs(trees: Sequence["_Tree"]) -> int:
    return sum(stub for t in trees for *_, stub in t.joins)


def _aired(
    nodes: Mapping[str, Node],
    joins: Sequence[Join],
    roots: Sequence[str],
    size: str,
    widest: float,
    trees: list["_Tree"],
) -> list["_Tree"]:
    """The same with its rows apart, so that they go down the sheet."""
    width, height = _room(size)
    large = largest(width / _width(trees, widest), height / _height(trees))
    rows = len(trees) + sum(len(t.joins) for t in trees)
    if rows == 0:
        return trees
    air = min((height / large - _height(trees)) / rows, MOST_AIR)
    return _trees(nodes, joins, roots, _depths(size, widest), air)


def _stretched(trees: Sequence["_Tree"], size: str, widest: float) -> float:
    """The length of a join with which the tree goes across the sheet, as large as its height lets it stand."""
    width, height = _room(size)
    needs = _width(trees, widest)
    large = largest(width / needs, height / _height(trees))
    deep = max((depth for t in trees for depth, _, _ in t.at.values()), default=0)
    slack = 0.98 * width / large - needs
    return GAP + min(max(slack, 0.0) / deep, GAP) if deep else GAP


def _drawn(
    trees: Sequence["_Tree"], nodes: Mapping[str, Node], size: str, widest: float, gap: float
) -> list[Page]:
    left, top, _, bottom = room(size).drawing
    pages: list[Page] = []
    y = bottom
    for tree in trees:
        if y + tree.height > bottom + 0.01:
            pages.append(Page(size))
            y = top
        _draw(pages[-1].canvas, tree, nodes, (left, y), widest, gap)
        y += tree.height + AIR
    for page in pages:
        box = page.canvas.bounds()
        page.enlarge(box[2] - left, box[3] - top)
    return pages


def _trees(
    nodes: Mapping[str, Node], joins: Sequence[Join], roots: Sequence[str], depths: int, air: float = 0.0
) -> list[_Tree]:
    near: dict[str, list[Join]] = {n: [] for n in nodes}
    for j in joins:
        near[j.a].append(j)
        if j.b != j.a:
            near[j.b].append(j)
    order = [*roots, *sorted(nodes, key=lambda n: -len(near[n]))]
    placed: set[str] = set()
    used: set[str] = set()
    parent = _spanning(order, near, depths)
    out = []
    for root in order:
        if root in placed or parent.get(root, ("", None))[1] is not None:
            continue
        tree = _Tree(root)
        tree.height = _place(tree, root, 0, 0.0, nodes, near, parent, placed, used, air)
        out.append(tree)
    return out


def _spanning(
    order: Sequence[str], near: Mapping[str, Sequence[Join]], depths: int
) -> dict[str, tuple[str, Join | None]]:
    """For every node its parent and the join to it; a tree no deeper than the sheet is wide."""
    parent: dict[str, tuple[str, Join | None]] = {}
    waiting = list(order)
    while waiting:
        root = waiting.pop(0)
        if root in parent:
            continue
        parent[root] = ("", None)
        front, depth = [root], 1
        while front and depth < depths:
            after = []
            for here in front:
                for j in near[here]:
                    other = j.other(here)
                    if other not in parent:
                        parent[other] = (here, j)
                        after.append(other)
            front, depth = after, depth + 1
        edge = [j.other(h) for h in front for j in near[h] if j.other(h) not in parent]
        waiting = [*dict.fromkeys(edge), *waiting]
    return parent


def _place(
    tree: _Tree, node: str, depth: int, top: float, nodes: Mapping[str, Node], near: Mapping[str, Sequence[Join]],
    parent: Mapping[str, tuple[str, Join | None]], placed: set[str], used: set[str], air: float = 0.0,
) -> float:  # fmt: skip
    """Put a node and what hangs on it; returns the lower edge of all of it."""
    placed.add(node)
    y = top
    last = top
    for j in near[node]:
        child = j.other(node)
        if j.ref in used:
            continue
        line = y + j.above
        if parent[child] == (node, j):
            used.add(j.ref)
            tree.joins.append((j, node, line, False))
            y = max(
                line + j.below + air,
                _place(tree, child, depth + 1, y, nodes, near, parent, placed, used, air),
            )
            last = line
        elif parent[node] != (child, j):
            used.add(j.ref)
            tree.joins.append((j, node, line, True))
            y = line + j.below + air
            last = line
    entry = parent[node][1]
    bottom = max(
        top + nodes[node].height, last + 1.5, top + (entry.above + 1.5 if entry is not None else 0.0)
    )
    tree.at[node] = (depth, top + 0.6, bottom)
    return max(y, bottom + (air if depth else 0.0)) + AIR


def _draw(
    c: Canvas, tree: _Tree, nodes: Mapping[str, Node], corner: tuple[float, float], widest: float, gap: float
) -> None:
    left, top = corner
    for name, (depth, y1, y2) in tree.at.items():
        node = nodes[name]
        x = left + depth * (widest + gap)
        c.box(name, x, top + y1, x + widest, top + y2, SYMBOL)
        c.text(name, x + 2.0, top + y1 + BIG * 0.95, plain(name), BIG, "sans-bold")
        for i, word in enumerate(node.lines):
            c.text(name, x + 2.0, top + y1 + BIG * 0.95 + STEP * (i + 1), plain(word), EM)
        c.anchor(name, (x, top + y1 + 2.0, "right"))
    for j, start, line, stub in tree.joins:
        x = left + tree.at[start][0] * (widest + gap) + widest
        y = top + line
        end = x + (gap if not stub else WORDS + 2.0)
        c.add(j.ref, Line(x, y, end, y, j.weight, j.dash, "ink", "note"))
        over, under = j.lines
        for i, word in enumerate(over):
            c.text(j.ref, x + 1.5, y - 0.9 - STEP * (len(over) - 1 - i), word, EM)
        for i, word in enumerate(under):
            c.text(j.ref, x + 1.5, y + STEP * (i + 1) - 0.2, word, EM, "sans", "start", "graphite")
        c.anchor(j.ref, (x + 1.5, y, "left"))
        if stub:
            c.add(j.ref, Polyline(((end, y - 0.9), (end + 1.6, y), (end, y + 0.9)), 0.25))
            c.text(j.ref, end + 2.4, y + EM * 0.3, plain(j.other(start)), EM, "sans", "start", "graphite")
