"""Make a job folder: from an invented demo rig, or from an old job."""

import re
import shutil
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from ohmwright.services.opening import now, today
from ohmwright.store import jobs, ledger

DEMOS = ("trailer", "boat", "cabin", "van")
HOSTS = ("van", "trailer", "boat", "cabin")
#: Year of the rule sets that a new job is held to.
EDITION = "2023"
REGIMES = ("outside", "sheltered", "cabin", "heated", "unheated", "box", "engine", "locker", "underbody")
#: Where parts sit in most rigs of a host, to begin with (common practice, no source).
PLACES: dict[str, tuple[tuple[str, str], ...]] = {
    "van": (("roof", "outside"), ("locker", "cabin"), ("galley", "cabin")),
    "trailer": (("roof", "outside"), ("side-bay", "unheated"), ("galley", "cabin")),
    "boat": (("deck", "outside"), ("locker", "locker"), ("saloon", "cabin")),
    "cabin": (("roof", "outside"), ("shed", "unheated"), ("room", "heated")),
}
#: The metal body that a host is made of, where it is.
_BODY = {"van": "body", "trailer": "chassis"}
_HOST_OF_SET = {"van": "vehicle", "trailer": "vehicle", "boat": "boat", "cabin": "cabin"}
_CURRENCY = {"us": "USD", "eu": "EUR"}


def like(folder: str, demo: str) -> Path:
    """A job folder with the files of a demo rig."""
    source = resources.files("ohmwright.services").joinpath("demos", demo)
    job = jobs.create(folder, source.joinpath(jobs.WORKING).read_text(encoding="utf-8"))
    _copy(source, Path(folder))
    return _told(job, f"like the demo rig {demo}")


def from_job(folder: str, old: str) -> Path:
    """A job folder that starts from the file and parts of an old job. Its ledger, papers and logs stay behind."""
    source = jobs.resolve(old)
    text = re.sub(r"^frozen:.*?(?=^\S|\Z)", "", source.loaded.text, flags=re.MULTILINE | re.DOTALL)
    job = jobs.create(folder, text)
    for name in ("shelf", "docs"):
        if source.job and Path(source.job.room(name)).is_dir():
            shutil.copytree(source.job.room(name), job.room(name), dirs_exist_ok=True)
    return _told(job, f"from {old}")


def _copy(source: Traversable, target: Path) -> None:
    for item in source.iterdir():
        if item.name.startswith("__") or item.name == jobs.WORKING:
            continue
        if item.is_dir():
            (target / item.name).mkdir(exist_ok=True)
            _copy(item, target / item.name)
        else:
            (target / item.name).write_bytes(item.read_bytes())


def _told(job: jobs.Job, how: str) -> Path:
    ledger.append(
        job.ledger, at=now().isoformat(timespec="seconds"), event="made", by="shop", facts={"how": how}
    )
    return Path(job.folder)


def from_text(folder: str, text: str, name: str) -> Path:
    """A job folder around a rig file that was handed in; it must read as a rig first."""
    from ohmwright.rig.read import read_rig
    from ohmwright.services.opening import shop_shelf

    text = re.sub(r"^frozen:.*?(?=^\S|\Z)", "", text, flags=re.MULTILINE | re.DOTALL)
    read_rig(text, name, shop_shelf())
    return _told(jobs.create(folder, text), f"from the file {name}")


# ------------------------------------------------------------------------------------------------- from nothing


@dataclass(frozen=True, slots=True)
class First:
    """The first words of a job that starts from nothing."""

    title: str
    host: str
    country: str
    owner: str = ""
    by: str = ""
    wants: str = ""
    currency: str = ""
    places: tuple[tuple[str, str], ...] = ()

    @property
    def rules(self) -> str:
        """The rule set for its country and host."""
        return f"{self.country}-{_HOST_OF_SET[self.host]}"


def from_nothing(folder: str, first: First) -> Path:
    """A job folder with an empty rig: whose it is, what carries it, where parts may sit."""
    from ohmwright.rig.read import read_rig
    from ohmwright.services.opening import shop_shelf

    text = _first_text(Path(folder).name, first)
    read_rig(text, "the new file", shop_shelf())
    return _told(jobs.create(folder, text), "from nothing")


def _first_text(name: str, first: First) -> str:
    from ohmwright.rig.splice import as_scalar
    from ohmwright.working import NOWHERE

    def said(word: str) -> str:
        return as_scalar(" ".join(word.split()), NOWHERE)

    job = [
        f"id: {said(name)}",
        f"title: {said(first.title)}",
        "stage: draft",
        f"units: {'us' if first.country == 'us' else 'metric'}",
        f"currency: {said(first.currency or _CURRENCY[first.country])}",
        f"rules: {first.rules} {EDITION}",
        *([f"owner: {said(first.owner)}"] if first.owner else []),
        *([f"designer: {said(first.by)}"] if first.by else []),
    ]
    lines = [
        f"# {' '.join(first.title.split())}. Begun {today()}, from nothing.",
        "ohmwright: 1",
        f"job: {{{', '.join(job)}}}",
    ]
    lines += ["host:", f"  kind: {first.host}"]
    if first.places:
        lines += ["  places:", *(f"    {place}: {{regime: {regime}}}" for place, regime in first.places)]
    if first.host in _BODY:
        lines += ["metal:", f"  {_BODY[first.host]}: {{}}"]
    lines += ["parts:"]
    if first.wants:
        told = [
            f"said: {said(first.wants)}",
            *([f"by: {said(first.owner)}"] if first.owner else []),
            f"dated: {today()}",
        ]
        lines += ["use:", "  answers:", f"    wants: {{{', '.join(told)}}}"]
    return "\n".join([*lines, "runs:", ""])
