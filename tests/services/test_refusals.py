"""Nonsense in, one line out: where, what, and what to write; exit 2; the file untouched."""

from collections.abc import Callable
from pathlib import Path

import pytest

Told = tuple[int, str, str]

BOMB = "a: &a [x, x, x, x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(9)
)


def spoilt(text: str) -> dict[str, str]:
    return {
        "misspelt key": text.replace("length: 12 m", "lenght: 12 m", 1),
        "missing unit": text.replace("length: 12 m", "length: 12", 1),
        "duplicate key": text + "settings: {}\n",
        "a bare no": text.replace("mode: laid-up, shore: none", "mode: laid-up, shore: no", 1),
        "alias bomb": BOMB,
        "cut short": text[: len(text) // 2],
        "floating terminal": text.replace("to: F1.line", "to: F1.lime", 1),
    }


@pytest.mark.parametrize("what", list(spoilt("")))
def test_a_spoilt_file_is_refused_in_one_line(
    demos: Path, call: Callable[..., Told], tmp_path: Path, what: str
) -> None:
    text = (demos / "trailer" / "rig.yaml").read_text(encoding="utf-8")
    bad = spoilt(text)[what]
    assert bad != text
    file = tmp_path / "rig.yaml"
    file.write_text(bad, encoding="utf-8")

    status, out, err = call("check", file)

    assert status == 2
    assert out == ""
    (line,) = err.strip().splitlines()
    assert line.startswith(f"{file}:")
    assert int(line.removeprefix(f"{file}:").split(":")[0]) >= 1
    assert ";" in line  # what to write instead
    assert "Traceback" not in err
    assert file.read_text(encoding="utf-8") == bad


def test_a_hundred_megabytes_are_refused_unread(call: Callable[..., Told], tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    with file.open("wb") as big:
        big.truncate(100_000_000)

    status, _, err = call("check", file)

    assert status == 2
    assert len(err.strip().splitlines()) == 1


def test_setting_a_figure_changes_one_line(call: Callable[..., Told], tmp_path: Path) -> None:
    from ohmwright.services.new import like

    job = like(str(tmp_path / "job"), "trailer")
    before = (job / "rig.yaml").read_text(encoding="utf-8").splitlines()

    assert call("set", job, "W15.length", "3.3 m (m 2026-05-02)")[0] == 0

    after = (job / "rig.yaml").read_text(encoding="utf-8").splitlines()
    assert [a for a, b in zip(after, before, strict=True) if a != b] == [
        line for line in after if "3.3 m (m 2026-05-02)" in line
    ]


def test_setting_nonsense_leaves_the_file_alone(call: Callable[..., Told], tmp_path: Path) -> None:
    from ohmwright.services.new import like

    job = like(str(tmp_path / "job"), "trailer")
    before = (job / "rig.yaml").read_bytes()

    for value in ("seven bananas", "3 V", "}: {", "1\n2", ""):
        status, _, err = call("set", job, "W15.length", value)

        assert status == 2, value
        assert len(err.strip().splitlines()) == 1
    assert (job / "rig.yaml").read_bytes() == before


def test_writing_a_bank_out_changes_no_verdict(call: Callable[..., Told], tmp_path: Path) -> None:
    import json

    from ohmwright.services.new import like

    job = like(str(tmp_path / "job"), "trailer")
    (job / "rig.yaml").write_bytes((job / "rig-built.yaml").read_bytes())

    def verdicts() -> set[tuple[str, str, str]]:
        told = json.loads(call("check", job, "--json")[1])
        return {(f["number"], f["subject"], f["verdict"]) for f in told["findings"]}

    before = verdicts()
    assert call("ungroup", job, "B")[0] == 0

    assert verdicts() == before
    assert call("year", job)[0] in (0, 1)
