"""Make a job folder: from an invented demo rig, or from an old job."""

import re
import shutil
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from ohmwright.services.opening import now
from ohmwright.store import jobs, ledger

DEMOS = ("trailer", "boat", "cabin", "van")


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
