"""What is lost between a bank and a terminal is lost on the way out and back to one and the same bank."""

from ohmwright.checks.wiring.drop import way_to_bank
from ohmwright.services import new
from ohmwright.services.opening import open_rig
from ohmwright.study import Study


def test_the_way_back_passes_the_counter_and_not_the_engine(tmp_path) -> None:  # type: ignore[no-untyped-def]
    # Kirchhoff: what the house bank gives comes back to the house bank. By bond and engine block the start battery's minus
    # is fewer conductors away, but none of the inverter's current returns there.
    study = Study(open_rig(str(new.like(str(tmp_path / "boat"), "boat"))).rig)

    way = way_to_bank(study, "U2.dc.+", "U2.dc.-")

    assert way is not None
    volts, (out, back) = way
    assert volts.value == 12.8
    assert {"W16", "W19"} <= set(out)
    assert {"W20", "W21"} <= set(back)
    assert not {"W94", "W36"} & {*out, *back}


def test_what_no_bank_conducts_to_has_no_way(tmp_path) -> None:  # type: ignore[no-untyped-def]
    study = Study(open_rig(str(new.like(str(tmp_path / "boat"), "boat"))).rig)

    assert way_to_bank(study, "U6.out.+", "XN.1") is None
