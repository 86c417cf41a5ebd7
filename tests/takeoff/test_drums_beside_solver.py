"""The cutting plan of 200 random lists against CP-SAT of OR-tools, which proves the fewest coils by another way."""

import random
from itertools import pairwise

import pytest
from ortools.sat.python import cp_model

from ohmwright.takeoff.drums import cut

COIL_mm = 10_000
LISTS = 200


def pieces_of(seed: int) -> tuple[list[int], list[int]]:
    """A list of 4 to 40 pieces, and on every third list up to three off-cuts of earlier jobs."""
    chance = random.Random(seed)
    pieces = [chance.randrange(200, 6000, 50) for _ in range(chance.randint(4, 40))]
    offcuts = [chance.randrange(300, 4000, 50) for _ in range(chance.randint(1, 3))] if seed % 3 == 0 else []
    return pieces, offcuts


def proved(pieces: list[int], offcuts: list[int], most: int) -> tuple[int, int]:
    """Fewest coils by CP-SAT and how few could do: a boolean for each piece and drum; off-cuts cost nothing."""
    model = cp_model.CpModel()
    drums = [*offcuts, *([COIL_mm] * most)]
    put = [[model.new_bool_var("") for _ in drums] for _ in pieces]
    used = [model.new_bool_var("") for _ in range(most)]
    for row in put:
        model.add_exactly_one(row)
    for j, length in enumerate(drums):
        load = sum(p * row[j] for p, row in zip(pieces, put, strict=True))
        model.add(load <= (length if j < len(offcuts) else length * used[j - len(offcuts)]))
    for before, after in pairwise(used):
        model.add_implication(after, before)
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = 20.0
    solver.parameters.num_workers = 1
    assert solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value), round(solver.best_objective_bound)


@pytest.mark.slow
def test_no_plan_of_the_solver_opens_fewer_coils_on_200_random_lists() -> None:
    worse, told_wrong, unproved = [], [], []
    for seed in range(LISTS):
        pieces, offcuts = pieces_of(seed)
        plan = cut([(str(i), p) for i, p in enumerate(pieces)], COIL_mm, offcuts)
        fewest, least = proved(pieces, offcuts, plan.coils)
        if plan.coils > fewest:
            worse.append((seed, plan.coils, fewest))
        if plan.bound > fewest:
            told_wrong.append((seed, plan.bound, fewest))
        if least < plan.coils:  # the solver ran out of its time too
            unproved.append((seed, plan.coils, least))
    assert told_wrong == []
    assert worse == []
    assert len(unproved) <= 3
