"""Small edits of the working file: spliced, read back, saved whole, never over somebody else's change."""

from pathlib import Path

from ohmwright.services.opening import shop_shelf
from ohmwright.store import jobs
from ohmwright.store.conflict import save_unless_changed
from ohmwright.working import FileError, Position


def _open(where: str) -> tuple[jobs.Found, str]:
    found = jobs.resolve(where)
    if found.letter:
        raise FileError(
            f"revision {found.letter} is issued and never rewritten",
            at=Position(found.loaded.path, 1, 1),
            remedy="change the working file rig.yaml and issue the next letter",
        )
    return found, found.loaded.text


def set_value(where: str, address: str, value: str) -> str:
    """Change one figure or word; what was done, in words."""
    from ohmwright.rig.edit import set_value as edited

    found, text = _open(where)
    path = found.loaded.path
    new = edited(text, path, address, value, shop_shelf(found.job))
    return _save(found, text, new)


def rename(where: str, old: str, new_name: str) -> str:
    """Rename everywhere; what was done, in words."""
    from ohmwright.rig.rename import rename as edited

    found, text = _open(where)
    return _save(found, text, edited(text, found.loaded.path, old, new_name))


def ungroup(where: str, group: str) -> str:
    """Write a group out; what was done, in words."""
    from ohmwright.rig.ungroup import ungroup as edited

    found, text = _open(where)
    return _save(found, text, edited(text, found.loaded.path, group, shop_shelf(found.job)))


def _save(found: jobs.Found, old: str, new: str) -> str:
    path = found.loaded.path
    if new == old:
        return f"{Path(path).name} says so already; nothing was changed."
    save_unless_changed(path, new, found.loaded.sha256)
    before, after = old.splitlines(), new.splitlines()
    first = next(
        (n for n, (a, b) in enumerate(zip(before, after, strict=False)) if a != b),
        min(len(before), len(after)),
    )
    changed = (
        sum(a != b for a, b in zip(before, after, strict=False))
        if len(before) == len(after)
        else abs(len(after) - len(before))
    )
    return f"{path}:{first + 1}: {after[first].strip() if first < len(after) else ''}" + (
        f"  (and {changed - 1} more lines)" if changed > 1 else ""
    )
