"""A bench over a folder of demo jobs, asked in this process; and the same as a real server for browsers."""

import asyncio
import re
import shutil
import subprocess
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
import pytest
import uvicorn

from ohmwright.services.new import like
from ohmwright.web.app import make_app
from ohmwright.web.serve import STATIC

ROOT = Path(__file__).parents[2]
DEMOS = ("trailer", "boat", "cabin", "van")


@pytest.fixture(scope="session")
def demo_jobs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The four demo jobs, made once; never changed by a test."""
    folder = tmp_path_factory.mktemp("demos")
    for demo in DEMOS:
        like(str(folder / demo), demo)
    return folder


@dataclass(frozen=True, slots=True)
class Asked:
    """A bench in this process. Every call is one request."""

    app: Any
    folder: Path

    def get(self, path: str, **headers: str) -> httpx.Response:
        """A page."""
        return self.send("GET", path, headers=headers)

    def send(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Any request; cookies are not kept."""

        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8017") as client:
                return await client.request(method, path, **more)

        return asyncio.run(once())

    def token(self) -> str:
        """The token of this run."""
        found = re.search(r'data-token="([^"]+)"', self.get("/").text)
        assert found
        return found[1]

    def opened(self, job: str) -> str:
        """The hash of the text that the sheets of a job show."""
        found = re.search(r'data-opened="(\w+)"', self.get(f"/jobs/{job}/job").text)
        assert found
        return found[1]

    def post(
        self, path: str, data: dict[str, str], *, token: str | None = None, **more: Any
    ) -> httpx.Response:
        """A form with its token."""
        return self.send("POST", path, data={"token": token or self.token(), **data}, **more)

    def put(self, job: str, address: str, value: str, *, opened: str = "", **more: str) -> httpx.Response:
        """Put one value."""
        return self.post(
            f"/jobs/{job}/put", {"opened": opened or self.opened(job), f"set.{address}": value, **more}
        )

    def text(self, job: str) -> str:
        """The working file."""
        return (self.folder / job / "rig.yaml").read_text(encoding="utf-8")


def ended(bench: Asked, job: str, what: str, seconds: float = 1800.0) -> str:
    """The sheet behind long work, once that has ended; a machine that has much to do may take its time."""
    until = time.monotonic() + seconds
    while bench.get(f"/jobs/{job}/{what}/state").status_code == 200:
        assert time.monotonic() < until, "the work did not end"
        time.sleep(0.1)
    return bench.get(f"/jobs/{job}/{what}").text


def unheard_of(bench: "Asked | Served", job: str = "trailer") -> None:
    """Make the working file a text of which nothing was ever kept."""
    file = bench.folder / job / "rig.yaml"
    file.write_text(f"{file.read_text(encoding='utf-8')}# {uuid4()}\n", encoding="utf-8")


@pytest.fixture(scope="session")
def reading(demo_jobs: Path) -> Asked:
    """A bench for tests that only look."""
    return Asked(make_app(str(demo_jobs)), demo_jobs)


@pytest.fixture
def bench(demo_jobs: Path, tmp_path: Path) -> Asked:
    """A bench over a copy of the trailer, for tests that change it."""
    shutil.copytree(demo_jobs / "trailer", tmp_path / "jobs" / "trailer")
    return Asked(make_app(str(tmp_path / "jobs")), tmp_path / "jobs")


@dataclass(frozen=True, slots=True)
class Served:
    """A bench behind a real socket."""

    address: str
    folder: Path


@pytest.fixture
def served(demo_jobs: Path, tmp_path: Path) -> Iterator[Served]:
    """A bench over copies of the demo jobs, served on a free port of this machine."""
    if not (STATIC / "bench.js").is_file():
        subprocess.run(["node", str(ROOT / "scripts" / "build_web.mjs")], check=True)
    folder = tmp_path / "jobs"
    shutil.copytree(demo_jobs, folder)
    server = uvicorn.Server(
        uvicorn.Config(make_app(str(folder)), host="127.0.0.1", port=0, log_level="error")
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.01)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield Served(f"http://127.0.0.1:{port}", folder)
    server.should_exit = True
    thread.join(5)
