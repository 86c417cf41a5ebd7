"""How long a stored bank lasts."""

from ohmwright.working import formula


@formula(
    "(s_0 - s_f) * C / (24 * P / U + C * l / 100 / 30)",
    symbol="d", unit="day", rises=("start_ratio", "nominal_V"), falls=("floor_ratio", "draw_W", "leak_percent_per_month"),
    start_ratio="s_0", floor_ratio="s_f", capacity_Ah="C", draw_W="P", nominal_V="U", leak_percent_per_month="l",
    ranges={"start_ratio": (0.5, 1.0), "floor_ratio": (0.0, 0.45)},
)  # fmt: skip
def days_to_floor_days(
    start_ratio: float,
    floor_ratio: float,
    capacity_Ah: float,
    draw_W: float,
    nominal_V: float,
    leak_percent_per_month: float,
) -> float:
    """Days until small draws and self-discharge bring a bank that nothing charges from one charge to another.

    d    day  returned
    s_0  1    charge when left               start_ratio
    s_f  1    charge it must not fall below  floor_ratio
    C    Ah   capacity                       capacity_Ah
    P    W    all draws                      draw_W
    U    V    nominal voltage                nominal_V
    l    %    self-discharge in 30 days      leak_percent_per_month
    """
    return (
        (start_ratio - floor_ratio)
        * capacity_Ah
        / (24.0 * draw_W / nominal_V + capacity_Ah * leak_percent_per_month / 100.0 / 30.0)
    )
