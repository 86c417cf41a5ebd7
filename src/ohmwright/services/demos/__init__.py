"""The demo jobs, as packaged data. Everything in them is invented."""

from importlib import resources
from importlib.resources.abc import Traversable

NAMES: tuple[str, ...] = ("trailer", "boat", "cabin", "van")


def files_of(name: str) -> dict[str, bytes]:
    """The files of a demo job by their path in the job folder: `rig.yaml`, `shelf/sheets.yaml`."""
    if name not in NAMES:
        raise KeyError(name)
    return dict(_walk(resources.files(__name__).joinpath(name), ""))


def _walk(folder: Traversable, path: str) -> list[tuple[str, bytes]]:
    out: list[tuple[str, bytes]] = []
    for one in sorted(folder.iterdir(), key=lambda f: f.name):
        if one.name.startswith(("__", ".")):
            continue
        out += _walk(one, f"{path}{one.name}/") if one.is_dir() else [(path + one.name, one.read_bytes())]
    return out
