"""Every row of the published tables, against a second transcription of them.

`tables.json` was typed from the sources that it names, apart from the pages of the program: NFPA 70 (NEC 2023)
from code reprints, 33 CFR 183 from the law text, IEC 60228 from two cable makers' copies, ABYC E-11 from trade
reprints.
"""

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ohmwright.standards import all_figures, find, table
from ohmwright.standards.wire import awg_area_mm2, awg_row, sae_area_mm2

TABLES: dict[str, Any] = json.loads((Path(__file__).parent / "tables.json").read_text())


def rows() -> Iterator[tuple[str, str, str, float | None]]:
    t = TABLES["cfr33_183_425_T5_A"]
    for i, size in enumerate(t["size"]):
        for column in ("60", "75", "80", "90", "105", "125", "200"):
            yield "cfr33-183.425-t5", size, column, t[column][i]
        yield "cfr33-183.425-engine-105", size, "105", t["engine_105_printed"][i]
    for insulation, factor in t["engine_space_factor"].items():
        yield "cfr33-183.425-engine", insulation, "factor", factor
    for (count, factor), row in zip(
        t["bundle_3_or_more_conductors_of_50V_or_more"].items(), ("3", "6", "24", "inf"), strict=True
    ):
        assert count.replace("+", "").split("-")[-1] in (row, "25")
        yield "cfr33-183.435-bundle", row, "factor", factor
    t = TABLES["nec_310_16_cu_A"]
    for i, size in enumerate(t["size"]):
        for column in ("60", "75", "90"):
            yield "nec-310.16-copper", size, column, t[f"c{column}"][i]
    t = TABLES["nec_310_15_B1_ambient"]
    for i, top in enumerate(t["rows_max_C"]):
        for column in ("60", "75", "90"):
            yield "nec-310.15-ambient", str(top), column, t[f"c{column}"][i]
    t = TABLES["nec_310_15_C1"]
    for count, factor in zip(t["n_ccc_max"], t["factor"], strict=True):
        yield "nec-310.15-count", "inf" if count is None else str(count), "factor", factor
    for size in ("18", "16", "14", "12", "10"):
        yield "nec-240.4-small", size, "device", TABLES["nec_240_4_D_cu"][size]
    for rating in TABLES["nec_240_6_A"]["A"]:
        yield "nec-240.6", str(rating), "rating", rating
    for rating in TABLES["nec_240_6_A"]["extra_fuses"]:
        yield "nec-240.6-fuses", str(rating), "rating", rating
    t = TABLES["nec_250_122_copper"]
    for rating, size in zip(t["A"], t["awg"], strict=True):
        yield "nec-250.122", str(rating), "copper", float(f"{awg_area_mm2(size):.3g}")
    t = TABLES["nec_690_7_A"]
    for (_, lowest), factor in zip(t["rows_C"], t["factor"], strict=True):
        yield "nec-690.7", str(lowest), "factor", factor
    t = TABLES["nec_ch9_t8_stranded_uncoated_cu_75C_ohm_per_kft"]
    for i, size in enumerate(t["size"]):
        yield "nec-ch9-t8", size, "uncoated", t["ohm"][i]
        yield "nec-ch9-t8", size, "coated", t["coated_ohm"][i]
        yield "nec-ch9-t8-area", size, "area", t["cmil"][i] / 1000
    for size, ohm in t["solid_ohm_18_to_8"].items():
        yield "nec-ch9-t8-solid", size, "uncoated", ohm
    t = TABLES["area_cmil_AWG_vs_SAE"]
    for size, area in zip(t["size"], t["SAE"], strict=True):
        yield "sae-area", size, "area", area / 1000
    t = TABLES["iec60228_class5_ohm_per_km_20C"]
    for area, plain, tinned in zip(t["mm2"], t["plain"], t["tinned"], strict=True):
        yield "iec60228-class5", f"{area:g}", "plain", plain
        yield "iec60228-class5", f"{area:g}", "tinned", tinned
    for row, (main, branch) in zip(
        ("650", "1100", "inf"), TABLES["abyc_E11_AIC_older_TableVA"]["12-24V"].values(), strict=True
    ):
        yield "abyc-e11-aic", row, "main", main
        yield "abyc-e11-aic", row, "branch", branch


@pytest.mark.parametrize(("page", "row", "column", "printed"), list(rows()))
def test_a_cell_is_as_printed(page: str, row: str, column: str, printed: float | None) -> None:
    value = table(page).value(row, column)

    assert value is None if printed is None else value == pytest.approx(printed, rel=1e-12)


def test_no_row_of_a_page_is_left_unchecked() -> None:
    checked = {f"{page}/{row}/{column}" for page, row, column, printed in rows() if printed is not None}

    of_tables = {f.id for f in all_figures() if f.id.startswith(("nec", "cfr", "iec60228", "sae", "abyc"))}
    assert of_tables == checked


# BS 7671 Table 4D2A, reference method B (from memory): the figures of IEC 60364-5-52 Table B.52.2 B2.
@pytest.mark.parametrize(
    ("area", "printed"),
    [
        ("1.5", 16.5),
        ("2.5", 23),
        ("4", 30),
        ("6", 38),
        ("10", 52),
        ("16", 69),
        ("25", 90),
        ("35", 111),
        ("50", 133),
        ("70", 168),
        ("95", 201),
    ],
)
def test_the_building_table_is_as_remembered(area: str, printed: float) -> None:
    assert table("iec60364-5-52-b2").value(area, "two") == printed
    assert table("iec60364-5-52-b2").clause.seen == "memory"


# ISO 8820-4, -5, -11, -12: scope texts (official).
@pytest.mark.parametrize(
    ("id_", "printed"),
    [
        ("fuses/iso8820-4-volts", 58), ("fuses/iso8820-4-most", 140), ("fuses/iso8820-4-break", 1000),
        ("fuses/iso8820-5-volts", 32), ("fuses/iso8820-5-least", 30), ("fuses/iso8820-5-most", 500), ("fuses/iso8820-5-break", 2000),
        ("fuses/iso8820-11-volts", 32), ("fuses/iso8820-11-most", 80), ("fuses/iso8820-11-break", 1000),
        ("fuses/iso8820-12-volts", 32), ("fuses/iso8820-12-most", 30), ("fuses/iso8820-12-break", 1000),
        ("fuses/shore-120v-break", 3000),
    ],
)  # fmt: skip
def test_a_fuse_class_is_as_its_scope_says(id_: str, printed: float) -> None:
    assert find(id_).value == printed


def test_ids_are_unique_and_every_figure_says_who_saw_it() -> None:
    figures = list(all_figures())

    assert len({f.id for f in figures}) == len(figures)
    assert {f.clause.seen for f in figures} == {"official", "secondary", "memory", "computed"}
    assert all(
        f.clause.standard or "no source" in f.clause.clause or "no published source" in f.clause.clause
        for f in figures
    )


# ASTM B258; circular mils as printed in a physics department's wire table.
@pytest.mark.parametrize(
    ("size", "circular_mils"),
    [
        ("4/0", 211600),
        ("1/0", 105530),
        ("2", 66373),
        ("6", 26250),
        ("10", 10381),
        ("14", 4106.8),
        ("18", 1624.3),
    ],
)
def test_wire_geometry_agrees_with_the_wire_table(size: str, circular_mils: float) -> None:
    assert awg_area_mm2(size) == pytest.approx(
        circular_mils * 5.067075e-4, rel=1e-3
    )  # the last printed digit


def test_wire_geometry_agrees_with_a_reference_library() -> None:
    """`fluids` holds the gauges of the same standard, in inches to the fourth decimal."""
    from fluids.piping import t_from_gauge

    for n in range(1, 25):
        diameter_in = t_from_gauge(n, SI=False, schedule="AWG")
        area = awg_area_mm2(str(n))
        assert area is not None
        assert math.sqrt(area * 4 / math.pi) / 25.4 == pytest.approx(diameter_in, abs=5.1e-5)


def test_every_sae_gauge_is_thinner_than_the_awg_of_its_number() -> None:
    for size in table("sae-area").rows:
        sae, awg = sae_area_mm2(size), awg_area_mm2(size)
        assert sae is not None
        assert awg is not None
        assert 0.88 * awg < sae < 0.975 * awg  # 3 % (4/0) to 12 % (8)


def test_a_conductor_takes_the_row_below_its_area_never_above() -> None:
    t5 = table("cfr33-183.425-t5")

    assert [awg_row(a, t5) for a in (5.26, 4.73, 35.0, 33.6, 70.0, 107.2, 0.5)] == [
        "10",
        "12",
        "2",
        "2",
        "2/0",
        "4/0",
        None,
    ]


def test_engine_space_figures_are_the_table_by_its_factor() -> None:
    """The printed inside column is the outside column x 0.85, rounded."""
    for size, (printed,) in table("cfr33-183.425-engine-105").rows.items():
        outside = table("cfr33-183.425-t5").value(size, "105")
        assert outside is not None
        assert printed is not None
        assert abs(outside * 0.85 - printed) <= 0.5
