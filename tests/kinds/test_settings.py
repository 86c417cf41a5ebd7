"""The table of settings by kind, held to the units of the file's shape and to what the demo rigs set."""

from pathlib import Path

import pytest

from ohmwright import kinds
from ohmwright.kinds.settings import kinds_with_settings, settings_of_kind
from ohmwright.rig.read import read_rig
from ohmwright.rig.shape import SETTINGS
from ohmwright.shelf.load import Shelf

DEMOS = Path(__file__).parents[2] / "src/ohmwright/services/demos"


@pytest.mark.parametrize("kind", kinds_with_settings())
def test_units_are_those_of_the_file_and_plates_are_figures_or_words_of_the_kind(kind: str) -> None:
    found = kinds.find(kind)
    assert found is not None
    for key, spec in settings_of_kind(kind).items():
        if key in SETTINGS:
            assert spec.unit == SETTINGS[key], key
        if spec.plate:
            assert spec.plate in found.figures or spec.plate in found.words, key
        assert spec.meaning


@pytest.mark.parametrize("demo", ["trailer", "boat", "cabin", "van"])
def test_what_the_demo_rigs_set_has_a_line_on_the_settings_sheet(demo: str) -> None:
    folder = DEMOS / demo
    shelf = Shelf(job={p.name: p.read_text(encoding="utf-8") for p in folder.glob("shelf/*.yaml")})
    rig = read_rig((folder / "rig.yaml").read_text(encoding="utf-8"), "x", shelf)
    unknown = {
        f"{rig.parts[part].kind.name}: {key}"
        for part, mine in rig.settings.items()
        for key in mine
        if key not in settings_of_kind(rig.parts[part].kind.name)
    }

    assert unknown == set()
