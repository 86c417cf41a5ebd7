"""Make a job folder: from an invented demo rig, or from an old job."""

import re
import shutil
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from ohmwright.store import jobs
from ohmwright.working import OhmwrightError

DEMOS = ("trailer", "boat", "cabin", "van")
FOLDERS = ("issued", "shelf", "docs", "readings", "logs", "papers")


def like(folder: str, demo: str) -> Path:
    """A job folder with the files of a demo rig."""
    target = _fresh(folder)
    _copy(resources.files("ohmwright.services").joinpath("demos", demo), target)
    return _finish(target, f"like the demo rig {demo}")


def from_job(folder: str, old: str) -> Path:
    """A job folder that starts from the working file and parts of an old job. Its ledger, papers and logs stay behind."""
    source = jobs.find(old)
    target = _fresh(folder)
    text = jobs.read_text(source.path)
    text = re.sub(r"^frozen:.*?(?=^\S|\Z)", "", text, flags=re.MULTILINE | re.DOTALL)
    target.mkdir(parents=True)
    (target / "rig.yaml").write_text(text, encoding="utf-8")
    for name in ("shelf", "docs"):
        if source.folder and (source.folder / name).is_dir():
            shutil.copytree(source.folder / name, target / name)
    return _finish(target, f"from {source.path}")


def _fresh(folder: str) -> Path:
    target = Path(folder)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise OhmwrightError(f"{folder} is there already", remedy="name a folder that does not exist yet")
    return target


def _copy(source: Traversable, target: Path) -> None:
    target.mkdir(parents=True, exist_ok=True)
    for item in source.iterdir():
        if item.name.startswith("__"):
            continue
        if item.is_dir():
            _copy(item, target / item.name)
        else:
            (target / item.name).write_bytes(item.read_bytes())


def _finish(target: Path, how: str) -> Path:
    for name in FOLDERS:
        (target / name).mkdir(exist_ok=True)
    jobs.append(target, "made", {"how": how})
    return target
