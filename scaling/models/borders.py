"""Borders between regions of a labelled grid, as chains of the grid's edges.

A grid of nodes (i, j) has edges ("x", i, j) from node (i, j) to (i + 1, j) and ("y", i, j) to (i, j + 1). A border
crosses an edge whose two nodes bear different labels; inside every cell of four nodes the crossings of one pair of
labels are joined, and where three labels or more meet, at a joint ("joint", i, j) of that cell.
"""

import numpy as np


def crossed(labels):
    """Return {edge: (label, label)} of the edges whose nodes differ, the label of the first node first.

    Examples
    --------
    >>> crossed(np.array([[0, 0], [1, 0]]))
    {('x', 0, 0): (0, 1), ('y', 1, 0): (1, 0)}
    """
    found = {}
    for name, first, second in (("x", labels[:-1], labels[1:]), ("y", labels[:, :-1], labels[:, 1:])):
        for i, j in np.argwhere(first != second):
            found[name, int(i), int(j)] = (first[i, j].item(), second[i, j].item())
    return found


def borders(labels):
    """Return {(label, label): chains} with the lower label first, every chain a list of edges and joints in order.

    A closed chain ends where it begins.

    Examples
    --------
    >>> borders(np.array([[0, 0], [1, 1], [1, 1]]))
    {(0, 1): [[('x', 0, 0), ('x', 0, 1)]]}
    """
    edges, links = crossed(labels), {}
    for i in range(labels.shape[0] - 1):
        for j in range(labels.shape[1] - 1):
            for pair, a, b in _joined(edges, i, j):
                links.setdefault(pair, []).append((a, b))
    return {pair: _chains(links[pair]) for pair in sorted(links)}


def _joined(edges, i, j):
    """Yield (pair, crossing, crossing) of the pieces of borders inside a cell."""
    pairs = {}
    for edge in (("x", i, j), ("y", i + 1, j), ("x", i, j + 1), ("y", i, j)):  # around the cell
        if edge in edges:
            pairs.setdefault(tuple(sorted(edges[edge])), []).append(edge)
    for pair, around in pairs.items():
        if len(around) == 1:
            yield pair, around[0], ("joint", i, j)
        for a, b in zip(around[::2], around[1::2], strict=False):
            yield pair, a, b


def _chains(links):
    """Return links of two ends each as chains."""
    beside = {}
    for a, b in links:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    chains = []
    ends = [end for end, others in beside.items() if len(others) != 2]
    for start in [*ends, *beside]:  # open chains from their ends; what is left is closed
        while beside[start]:
            chain = [start]
            while beside[chain[-1]]:
                following = beside[chain[-1]].pop()
                beside[following].remove(chain[-1])
                chain.append(following)
                if chain[-1] in ends:
                    break
            chains.append(chain)
    return chains
