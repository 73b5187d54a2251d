"""Circles in who needs whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import networkx as nx


def circles(following: Mapping[str, Collection[str]]) -> list[frozenset[str]]:
    """The largest groups of names of which each leads to every other and back to itself.

    >>> circles({"a": ["b"], "b": ["a", "c"], "c": []}) == [frozenset({"a", "b"})]
    True
    """
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edges_from((name, other) for name, others in following.items() for other in others)
    found = map(frozenset, nx.strongly_connected_components(graph))
    return sorted((c for c in found if len(c) > 1 or graph.has_edge(min(c), min(c))), key=min)
