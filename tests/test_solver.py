"""The assignment that explains a job, held against SciPy's, which is another algorithm by other people."""

from __future__ import annotations

import random
from itertools import product

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from tagtrack.solver import solve

UNMATCHED = 500


def case(seed):
    """Return supplies, demands and costs of a random case; some pairs cannot be."""
    chance = random.Random(seed)
    supplies = [chance.randint(1, 3) for _ in range(chance.randint(1, 6))]
    demands = [chance.randint(1, 3) for _ in range(chance.randint(1, 6))]
    pairs = product(range(len(supplies)), range(len(demands)))
    costs = {pair: chance.choice((0, 3, 4, 6, 8, 40, 46, 70)) for pair in pairs if chance.random() < 0.6}
    return supplies, demands, costs


def by_scipy(supplies, demands, costs, forbidden=frozenset(), forced=None):
    """Return the least cost by SciPy's linear_sum_assignment: one row a piece in supply, one column a piece lacking."""
    rows = [i for i, count in enumerate(supplies) for _ in range(count)]
    columns = [j for j, count in enumerate(demands) for _ in range(count)]
    far = 10**6
    matrix = np.full((len(rows) + len(columns), len(columns)), far)
    for r, c in product(range(len(rows)), range(len(columns))):
        pair = (rows[r], columns[c])
        if pair in costs and pair not in forbidden:
            matrix[r, c] = costs[pair]
    for c in range(len(columns)):
        matrix[len(rows) + c, c] = UNMATCHED
    if forced is not None:
        r, c = rows.index(forced[0]), columns.index(forced[1])
        matrix[r, :] = far
        matrix[:, c] = far
        matrix[r, c] = costs[forced]
    chosen = linear_sum_assignment(matrix)
    return int(matrix[chosen].sum())


def cost_of(matched, demands, costs):
    met = sum(matched.flows.values())
    return sum(costs[pair] * count for pair, count in matched.flows.items()) + UNMATCHED * (sum(demands) - met)


@pytest.mark.parametrize("hundred", range(20))
def test_it_is_as_cheap_as_scipys_assignment(hundred):
    """2,000 random cases."""
    for seed in range(hundred * 100, hundred * 100 + 100):
        supplies, demands, costs = case(seed)
        matched = solve(supplies, demands, costs, UNMATCHED)
        assert cost_of(matched, demands, costs) == by_scipy(supplies, demands, costs), seed
        for i, count in enumerate(supplies):
            assert sum(n for (k, _), n in matched.flows.items() if k == i) <= count
        for j, count in enumerate(demands):
            assert sum(n for (_, k), n in matched.flows.items() if k == j) <= count


@pytest.mark.parametrize("fifty", range(8))
def test_what_serves_just_as_well_is_exactly_what_scipy_can_be_forced_to_at_the_same_cost(fifty):
    """400 random cases: a pair that carries nothing is told exactly when some best answer uses it."""
    for seed in range(fifty * 50, fifty * 50 + 50):
        supplies, demands, costs = case(seed)
        matched = solve(supplies, demands, costs, UNMATCHED)
        best = by_scipy(supplies, demands, costs)
        unused = costs.keys() - matched.flows.keys()
        forced = {pair for pair in unused if by_scipy(supplies, demands, costs, forced=pair) == best}
        assert matched.instead == forced, seed


def test_nothing_is_matched_where_nothing_fits():
    assert solve([2], [1], {}, UNMATCHED).flows == {}
