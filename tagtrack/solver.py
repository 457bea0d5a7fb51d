"""The one file that knows the optimisation library, NetworkX. Imported only where something has to be explained."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import networkx as nx

from tagtrack.core.exchanges import Matched

_SOURCE, _SINK = "source", "sink"
Node = Any


def solve(
    supplies: Sequence[int], demands: Sequence[int], costs: Mapping[tuple[int, int], int], unmatched: int
) -> Matched:
    """Return the cheapest way to meet the demands from the supplies, each unmet piece at the cost `unmatched`.

    Whole numbers throughout, so the answer is exact. `instead` holds the pairs that carry something in another answer
    that costs the same.
    """
    graph = _graph(supplies, demands, costs, unmatched)
    _, flow = nx.network_simplex(graph)
    flows = {(i, j): flow["s", i]["d", j] for i, j in costs if flow["s", i]["d", j]}
    return Matched(flows, _instead(graph, flow, costs))


def _graph(
    supplies: Sequence[int], demands: Sequence[int], costs: Mapping[tuple[int, int], int], unmatched: int
) -> Any:
    graph = nx.DiGraph()
    total = sum(demands)
    graph.add_node(_SOURCE, demand=-total)
    graph.add_node(_SINK, demand=total)
    for i, count in enumerate(supplies):
        graph.add_edge(_SOURCE, ("s", i), capacity=count, weight=0)
    for j, count in enumerate(demands):
        graph.add_edge(("d", j), _SINK, capacity=count, weight=0)
        # a piece that nothing explains comes from nowhere, at a price
        graph.add_edge(_SOURCE, ("d", j), capacity=count, weight=unmatched)
    for (i, j), cost in costs.items():
        graph.add_edge(("s", i), ("d", j), capacity=min(supplies[i], demands[j]), weight=cost)
    return graph


def _instead(graph: Any, flow: Mapping[Node, Mapping[Node, int]], costs: Mapping[tuple[int, int], int]) \
        -> frozenset[tuple[int, int]]:
    """Return the unused pairs that lie on a circle which costs nothing in the residual graph: other best answers."""
    residual = nx.DiGraph()
    for one, other, edge in graph.edges(data=True):
        carried = flow[one][other]
        if carried < edge["capacity"]:
            residual.add_edge(one, other, weight=edge["weight"])
        if carried:
            residual.add_edge(other, one, weight=-edge["weight"])
    # a best answer leaves no circle of negative cost, so distances from an extra node are potentials
    for node in list(residual):
        residual.add_edge("extra", node, weight=0)
    potential = nx.single_source_bellman_ford_path_length(residual, "extra")
    free = nx.DiGraph(
        (one, other)
        for one, other, edge in residual.edges(data=True)
        if one != "extra" and edge["weight"] + potential[one] - potential[other] == 0
    )
    number = {node: n for n, group in enumerate(nx.strongly_connected_components(free)) for node in group}
    return frozenset(
        (i, j)
        for i, j in costs
        if not flow["s", i]["d", j] and free.has_edge(("s", i), ("d", j)) and number["s", i] == number["d", j]
    )
