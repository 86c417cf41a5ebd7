"""Who may ask, how much, and from where."""

from collections.abc import AsyncIterator

import pytest
from tests.web.conftest import Asked

from ohmwright.web.guard import MOST_FORM_BYTES, MOST_UPLOAD_BYTES
from ohmwright.web.serve import loopback
from ohmwright.working import OhmwrightError


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.7", "::", "bench.example", ""])
def test_the_bench_binds_to_this_machine_only_and_says_why(host: str) -> None:
    with pytest.raises(OhmwrightError, match="no sign-in yet"):
        loopback(host)


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "::1", "127.0.0.9"])
def test_loopback_addresses_may_be_bound(host: str) -> None:
    assert loopback(host)


@pytest.mark.parametrize("host", ["bench.example", "localhost.example:8017", "127.0.0.1.example:80", ""])
def test_a_foreign_host_name_is_turned_away(reading: Asked, host: str) -> None:
    """A name of someone else that leads to this machine must not open the bench to his pages."""
    assert reading.get("/", host=host).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://localhost:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_form_of_another_site_changes_nothing(bench: Asked, headers: dict[str, str]) -> None:
    before = bench.text("trailer")
    answer = bench.post(
        "/jobs/trailer/put", {"opened": bench.opened("trailer"), "set.W12.length": "9 m"}, headers=headers
    )
    assert answer.status_code == 403
    assert bench.text("trailer") == before


@pytest.mark.parametrize("token", ["wrong", " ", "é"])
def test_a_form_without_the_token_of_this_run_changes_nothing(bench: Asked, token: str) -> None:
    before = bench.text("trailer")
    for path, data in (
        ("/jobs/trailer/put", {"opened": bench.opened("trailer"), "set.W12.length": "9 m"}),
        ("/jobs/trailer/issue", {"opened": bench.opened("trailer"), "as": "quoted", "by": "x"}),
        ("/new", {"name": "another", "like": "van"}),
    ):
        assert bench.post(path, data, token=token).status_code == 422
    assert bench.text("trailer") == before
    assert not (bench.folder / "another").exists()


def test_a_body_without_end_is_cut_off(bench: Asked) -> None:
    answer = bench.post("/jobs/trailer/put", {"set.W12.length": "9" * (MOST_FORM_BYTES + 10)})
    assert answer.status_code == 413

    async def drip() -> AsyncIterator[bytes]:  # a body that does not say its length
        for _ in range(MOST_UPLOAD_BYTES // 500_000 + 2):
            yield b"x" * 500_000

    kind = {"content-type": "multipart/form-data; boundary=b"}
    assert bench.send("POST", "/new", content=drip(), headers=kind).status_code in (400, 413)


def test_nothing_outside_the_folder_can_be_read(reading: Asked) -> None:
    for path in (
        "/jobs/%2e%2e/job",
        "/jobs/trailer/papers/file/..%2f..%2frig.yaml",
        "/jobs/trailer/papers/file/rig.yaml",
        "/jobs/trailer/photo/..%2frig.yaml",
        "/static/..%2fapp.py",
        "/static/%2e%2e/guard.py",
    ):
        assert reading.get(path).status_code in (404, 405), path


def test_every_answer_carries_the_policy(reading: Asked) -> None:
    for answer in (
        reading.get("/"),
        reading.get("/nix"),
        reading.get("/", host="evil"),
        reading.get("/static/bench.css"),
    ):
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "default-src 'none'" in answer.headers["content-security-policy"]
