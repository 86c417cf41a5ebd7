"""The one door to data files that ship inside the package."""

from functools import lru_cache
from importlib import resources


@lru_cache(maxsize=256)
def packaged(package: str, name: str) -> bytes:
    """The bytes of file `name` inside `package` ("ohmwright.standards", "facts.yaml")."""
    return resources.files(package).joinpath(name).read_bytes()


def packaged_names(package: str, ending: str) -> tuple[str, ...]:
    """The names of the files in `package` that end with `ending`, sorted."""
    return tuple(sorted(f.name for f in resources.files(package).iterdir() if f.name.endswith(ending)))
