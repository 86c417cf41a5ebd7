"""The constants that formulas print, read once from their page."""

from ohmwright.standards.published import find

COPPER_RESISTIVITY_ohm_mm2_per_m = find("constants/copper-resistivity-20").value
COPPER_COEFFICIENT_per_K = find("constants/copper-coefficient-20").value
COPPER_ZERO_RESISTANCE_K = find("constants/copper-zero-resistance").value
COPPER_WITHSTAND_factor = find("constants/copper-withstand").value
TABLE_8_COEFFICIENT_per_K = find("constants/table-8-coefficient").value
AWG_BASE_ratio = find("constants/awg-base").value
AWG_STEPS_count = find("constants/awg-steps").value
AWG_36_DIAMETER_mm = find("constants/awg-36-diameter").value * 25.4
CLASS_5_OVER_SOLID_ratio = find("constants/class-5-over-solid").value
STRAND_LAY_ratio = find("constants/strand-lay").value
CCA_OVER_COPPER_ratio = find("constants/cca-over-copper").value
GAS_FACTOR_ratio = find("batteries/gas-factor").value
GAS_OPENING_factor = find("batteries/gas-opening").value
SPARK_DISTANCE_factor = find("batteries/spark-distance").value
