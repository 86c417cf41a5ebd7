"""The locks name what the project asks for, by hash and without an address."""

import json
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
LOCKS = ("requirements.lock", "requirements-timings.lock", "scripts/installer.lock", "package-lock.json")


def plain(name: str) -> str:
    """A package's name as locks write it."""
    return re.sub(r"[-_.]+", "-", re.split(r"[<>=!~;\[ ]", name)[0]).lower()


def locked(lock: str) -> dict[str, list[str]]:
    """Package to hashes."""
    found: dict[str, list[str]] = {}
    for line in (ROOT / lock).read_text().splitlines():
        if (package := re.match(r"([a-z0-9-]+)==\S+", line)) is not None:
            name = package[1]
            found[name] = []
        elif (hashed := re.match(r" +--hash=(sha256:[0-9a-f]{64})", line)) is not None:
            found[name].append(hashed[1])
    return found


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_no_address(lock: str) -> None:
    assert not re.search(r'://|"resolved"', (ROOT / lock).read_text())


def test_all_that_the_project_and_its_tests_ask_for_is_locked_by_hash() -> None:
    groups = PROJECT["dependency-groups"]
    asked = {plain(n) for n in [*PROJECT["project"]["dependencies"], *groups["test"], *groups["build"]]}
    have = locked("requirements.lock")

    assert asked <= set(have), "run scripts/lock"
    assert all(have.values())


def test_the_tools_for_timings_are_locked_apart() -> None:
    asked = {plain(n) for n in PROJECT["dependency-groups"]["timings"]}

    assert asked <= set(locked("requirements-timings.lock")), "run scripts/lock"
    assert not asked & set(locked("requirements.lock"))
    assert {plain(n) for n in PROJECT["dependency-groups"]["installer"]} <= set(
        locked("scripts/installer.lock")
    )


def test_the_typefaces_are_exact_and_have_their_hashes() -> None:
    asked = json.loads((ROOT / "package.json").read_text())["dependencies"]
    have = json.loads((ROOT / "package-lock.json").read_text())["packages"]

    for name, version in asked.items():
        package = have[f"node_modules/{name}"]
        assert package["version"] == version
        assert package["integrity"].startswith("sha512-")
