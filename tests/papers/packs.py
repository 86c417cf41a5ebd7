"""Packs of the demo rigs, and readers of what was made that are not ours."""

import re
import subprocess
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TypeAlias

from ohmwright.checks import engine
from ohmwright.papers.catalogue import Words
from ohmwright.papers.doc import lettered
from ohmwright.papers.material import Material
from ohmwright.services.check import check
from ohmwright.services.papers import Done, papers

DEMOS = Path(__file__).resolve().parents[2] / "src" / "ohmwright" / "services" / "demos"
EPOCH = "1777680000"  # 2026-05-02

Word: TypeAlias = tuple[int, float, float, float, float, str]


def one_line(text: str) -> str:
    """Text with its white space made one, and without the spaces of no width at which a long word may break."""
    return re.sub(r"\s+", " ", text.replace("\u202f", " ").replace("\u200b", ""))


@lru_cache(maxsize=512)
def _read(path: Path, options: tuple[str, ...]) -> str:
    told = subprocess.run(
        ["pdftotext", *options, str(path), "-"], capture_output=True, check=True, timeout=60
    )
    return told.stdout.decode("utf-8")


@dataclass(frozen=True)
class Made:
    """A pack in a folder."""

    folder: Path
    done: Done

    def raw(self, name: str, *options: str) -> str:
        """What poppler reads."""
        return _read(self.folder / name, options)

    def text(self, name: str, *options: str) -> str:
        """The words of a PDF, white space made one."""
        return one_line(self.raw(name, *options))

    def has(self, name: str, told: str) -> bool:
        """True when a paper says that, however its lines are broken."""
        return one_line(lettered(told)).replace(" ", "") in self.text(name).replace(" ", "")

    def about(self, name: str) -> tuple[int, float, float]:
        """Pages, width and height of a PDF in points."""
        told = subprocess.run(
            ["pdfinfo", str(self.folder / name)], capture_output=True, text=True, check=True, timeout=60
        ).stdout
        pages, size = (
            re.search(r"^Pages:\s+(\d+)", told, re.MULTILINE),
            re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", told),
        )
        assert pages
        assert size
        return int(pages[1]), float(size[1]), float(size[2])

    def words(self, name: str) -> list[Word]:
        """Every word with its page and box."""
        page, out = 0, []
        for line in self.raw(name, "-bbox").splitlines():
            page += "<page " in line
            m = re.match(
                r'\s*<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>', line
            )
            if m:
                out.append((page, float(m[1]), float(m[2]), float(m[3]), float(m[4]), m[5]))
        return out


def make(rig: Path, out: Path) -> Made:
    """The papers of a rig in a folder, with one plain year: the kernel of many years has tests of its own."""
    return Made(out, papers(str(rig), str(out), years=1))


def material(rig: str, told: Words) -> Material:
    """What papers of a demo rig are made from, without its year."""
    done = check(str(DEMOS / rig))
    return Material(
        study=done.study, findings=done.findings, statement=done.statement(), not_applied=done.not_applied, year=None, year_note="", shelf=done.opened.shelf, words=told,
        program="ohmwright", dated="2026-05-02", revision="", stage="", missing=engine.group_cannot_tells(done.findings), size="a4",
    )  # fmt: skip


#: A rig of two parts and one wire.
SMALL = """ohmwright: 1
job: {id: small, title: one battery, rules: us-vehicle 2023, currency: USD, units: us}
parts:
  B: {is: battery-lfp-200ah-12v}
  F: {is: fuse-dc-power-160a-80v}
runs:
  W04: {from: B.+, to: F.line, cable: 50 mm2 red, length: 1.4 m}
"""
