"""The outline of a column, row by row of the grid: what decides how close two columns may stand."""

from dataclasses import dataclass, field

from ohmwright.drawing.canvas import Canvas
from ohmwright.drawing.shapes import GRID

AIR = 0.7


@dataclass(slots=True)
class Profile:
    """Left and right edge of everything in a row; a row is one step of the grid."""

    left: dict[int, float] = field(default_factory=dict)
    right: dict[int, float] = field(default_factory=dict)

    def add(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """Take a box in."""
        for row in range(int((y1 - AIR) // GRID), int((y2 + AIR) // GRID) + 1):
            if x1 < self.left.get(row, 1e9):
                self.left[row] = x1
            if x2 > self.right.get(row, -1e9):
                self.right[row] = x2

    def nearest(self, other: "Profile", gap: float) -> float:
        """How far right `other` must be moved to stand beside this one with `gap` between."""
        return max(
            (self.right[row] + gap - x for row, x in other.left.items() if row in self.right), default=-1e9
        )

    def absorb(self, other: "Profile", dx: float) -> None:
        """Take another outline in, moved by dx."""
        for row, x in other.left.items():
            self.left[row] = min(self.left.get(row, 1e9), x + dx)
        for row, x in other.right.items():
            self.right[row] = max(self.right.get(row, -1e9), x + dx)

    def extent(self, above: bool) -> float:
        """The rightmost edge of the rows above (or below) y = 0."""
        return max((x for row, x in self.right.items() if (row < 0) == above), default=-1e9)


def profile_of(canvas: Canvas) -> Profile:
    """The outline of everything on a canvas."""
    out = Profile()
    left, right = out.left, out.right
    for x1, y1, x2, y2 in canvas.outlines():
        for row in range(int((y1 - AIR) // GRID), int((y2 + AIR) // GRID) + 1):
            if row not in left:
                left[row], right[row] = x1, x2
                continue
            if x1 < left[row]:
                left[row] = x1
            if x2 > right[row]:
                right[row] = x2
    return out
