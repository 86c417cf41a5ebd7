"""What is the shop's own: its task table and its stock, in the job's folder or in the folder OHMWRIGHT_SHOP."""

import os
from pathlib import Path

from ohmwright.papers.tasks import Tasks, packaged_tasks, read_stock, read_tasks
from ohmwright.store.jobs import Job
from ohmwright.store.reading import read
from ohmwright.working import FileError, Position

TASKS, STOCK = "tasks.yaml", "stock.yaml"


def shop_tasks(job: Job | None) -> Tasks:
    """The job's own table, else the shop's, else common practice."""
    path = _found(job, TASKS)
    return read_tasks(read(str(path)).text, str(path)) if path else packaged_tasks()


def shop_stock(job: Job | None) -> dict[str, int] | None:
    """What lies in the shop; None where nobody keeps a list."""
    path = _found(job, STOCK)
    return read_stock(read(str(path)).text, str(path)) if path else None


def _found(job: Job | None, name: str) -> Path | None:
    shop = os.environ.get("OHMWRIGHT_SHOP")
    if shop and not Path(shop).is_dir():
        raise FileError(
            "OHMWRIGHT_SHOP names no folder",
            at=Position(shop, 1, 1),
            remedy="name the folder with the shop's tasks.yaml and stock.yaml, or unset it",
        )
    folders = [Path(job.folder)] if job else []
    folders += [Path(shop)] if shop else []
    return next((f / name for f in folders if (f / name).is_file()), None)
