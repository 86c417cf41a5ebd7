"""The job folder: made whole, found by what people type, and revisions written once."""

from pathlib import Path

import pytest

from ohmwright.store.jobs import (
    ROOMS,
    Job,
    create,
    freeze,
    letter_after,
    next_letter,
    open_job,
    resolve,
    revisions,
    shelf_files,
)
from ohmwright.store.ledger import append
from ohmwright.store.save import save
from ohmwright.working import FileError, OhmwrightError

RIG = "ohmwright: 1\njob: {id: larkspur}\n"


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return create(tmp_path / "larkspur", RIG)


def message_of(rig: str) -> str:
    with pytest.raises(FileError) as refusal:
        resolve(rig)
    assert refusal.value.remedy
    return str(refusal.value)


def test_a_new_job_has_its_working_file_and_its_rooms(job: Job) -> None:
    assert Path(job.working).read_text() == RIG
    assert all(Path(job.room(name)).is_dir() for name in ROOMS)
    assert sorted(path.name for path in Path(job.folder).iterdir()) == sorted([*ROOMS, "rig.yaml"])
    assert [path.name for path in Path(job.folder).parent.iterdir()] == ["larkspur"]


def test_an_empty_folder_may_become_a_job(tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()

    assert Path(create(tmp_path / "new", RIG).working).read_text() == RIG


def test_what_lies_there_is_never_covered_by_a_new_job(job: Job) -> None:
    for taken in (job.folder, job.working):
        with pytest.raises(FileError, match="something here already"):
            create(taken, "other")
    assert Path(job.working).read_text() == RIG


def test_a_job_that_cannot_be_made_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("ohmwright.store.jobs.save_new", full)
    with pytest.raises(FileError, match="no space left"):
        create(tmp_path / "larkspur", RIG)
    assert list(tmp_path.iterdir()) == []


def test_a_rig_is_a_file_a_folder_or_a_revision(job: Job) -> None:
    freeze(job, "A", "issued: A\n")
    freeze(job, "B", "issued: B\n")

    for rig, text, letter in [
        (f"{job.working}", RIG, None),
        (f"{job.folder}", RIG, None),
        (f"{job.folder}/", RIG, None),
        (f"{job.folder}@A", "issued: A\n", "A"),
        (f"{job.folder}@b", "issued: B\n", "B"),
        (f"{job.folder}/@B", "issued: B\n", "B"),
        (f"{job.issued('A')}", "issued: A\n", "A"),
    ]:
        found = resolve(rig)
        assert (found.loaded.text, found.letter) == (text, letter)
        assert found.job
        assert Path(found.job.folder).samefile(job.folder)


def test_a_rig_file_may_lie_anywhere(tmp_path: Path) -> None:
    alone = tmp_path / "boat@home.yaml"
    alone.write_text(RIG)

    found = resolve(str(alone))

    assert (found.loaded.text, found.job, found.letter) == (RIG, None, None)


def test_a_folder_with_an_at_sign_in_its_name_is_found(tmp_path: Path) -> None:
    job = create(tmp_path / "rig@yard", RIG)
    freeze(job, "A", "issued: A\n")

    assert resolve(job.folder).loaded.text == RIG
    assert resolve(f"{job.folder}@A").letter == "A"


def test_what_cannot_be_found_is_told_in_one_line(job: Job, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()

    assert "no such file" in message_of(str(tmp_path / "absent"))
    assert "holds no rig.yaml" in message_of(str(tmp_path / "empty"))
    assert "no revision A; nothing has been issued yet" in message_of(f"{job.folder}@A")
    freeze(job, "A", "issued: A\n")
    assert "no revision C; issued are A" in message_of(f"{job.folder}@C")
    assert "no revision ../A" in message_of(f"{job.folder}@../a")
    assert "no revision (no letter)" in message_of(f"{job.folder}@")
    with pytest.raises(FileError, match="no such job folder"):
        open_job(tmp_path / "absent")


def test_letters_leave_out_i_and_o() -> None:
    letters = [letter_after(None)]
    for _ in range(49):
        letters.append(letter_after(letters[-1]))

    assert "".join(letters[:24]) == "ABCDEFGHJKLMNPQRSTUVWXYZ"
    assert letters[24:27] == ["AA", "AB", "AC"]
    assert letters[47:50] == ["AZ", "BA", "BB"]


def test_the_next_letter_is_behind_every_one_that_was_used(job: Job) -> None:
    assert next_letter(job) == "A"
    for letter in ("A", "Z", "B"):
        freeze(job, letter, "x")
    assert next_letter(job) == "AA"

    freeze(job, "AA", "x")
    assert revisions(job) == ("A", "B", "Z", "AA")
    assert next_letter(job) == "AB"


def test_a_letter_whose_file_was_removed_is_not_used_again(job: Job) -> None:
    freeze(job, "A", "x")
    append(job.ledger, at="2026-05-02T08:00:00Z", event="issued", by="ann", facts={"revision": "A"})
    Path(job.issued("A")).unlink()

    assert next_letter(job) == "B"


def test_what_was_issued_is_never_rewritten(job: Job) -> None:
    path = Path(freeze(job, "A", "first\n"))

    with pytest.raises(OhmwrightError, match="issued already") as refusal:
        freeze(job, "A", "second\n")
    assert refusal.value.remedy.startswith("issue B")
    with pytest.raises(PermissionError):
        save(path, b"third\n")
    assert path.read_text() == "first\n"
    assert path.stat().st_mode & 0o777 == 0o444


@pytest.mark.parametrize("letter", ["I", "O", "a", "", "A1", "../A", "ABCD", "A\n"])
def test_what_is_no_letter_is_not_frozen(job: Job, letter: str) -> None:
    with pytest.raises(ValueError, match="is no letter"):
        freeze(job, letter, "x")


def test_other_files_among_the_issued_are_no_revisions(job: Job) -> None:
    for name in ("A.rig.yaml.bak", "I.rig.yaml", "a.rig.yaml", ".B.rig.yaml.1.1.part", "notes.txt"):
        (Path(job.room("issued")) / name).write_text("x")

    assert revisions(job) == ()


def test_the_jobs_own_parts_are_read_by_name(job: Job) -> None:
    for name in ("b.yaml", "a.yaml", ".hidden.yaml", "c.yaml.part", "notes.md"):
        (Path(job.room("shelf")) / name).write_text(name)

    assert [loaded.text for loaded in shelf_files(job)] == ["a.yaml", "b.yaml"]


def test_papers_lie_by_revision(job: Job) -> None:
    assert Path(job.papers("B")) == Path(job.folder) / "papers" / "B"
    assert Path(job.papers(None)) == Path(job.folder) / "papers" / "working"
    with pytest.raises(KeyError):
        job.room("elsewhere")
