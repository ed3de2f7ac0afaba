"""Who needs whom: the order in which formulas are computed, loops, and what a trouble reaches.

Nodes are formulas, numbered from 0. Ranges are nodes of their own, numbered on from there, so that a range that a
hundred formulas use costs a hundred links and not a hundred times its cells.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

#: Loops with more members are described by one path and not by one for each member.
MOST_PATHS = 50


@dataclass(frozen=True, slots=True)
class Graph:
    """``precedents[i]`` are the nodes that node i needs, ``dependants[i]`` those that need it."""

    formulas: int
    precedents: tuple[tuple[int, ...], ...]
    dependants: tuple[tuple[int, ...], ...]

    def reached(self, roots: Iterable[int]) -> dict[int, int]:
        """Return every formula that a root reaches, with the first root that does.

        Roots are taken in the order given; a root that an earlier one reaches is among the answers.
        """
        seen: set[int] = set()
        found: dict[int, int] = {}
        for root in roots:
            if root in seen:
                continue
            seen.add(root)
            waiting = deque([root])
            while waiting:
                for dependant in self.dependants[waiting.popleft()]:
                    if dependant not in seen:
                        seen.add(dependant)
                        waiting.append(dependant)
                        if dependant < self.formulas:
                            found[dependant] = root
        return found


def build(precedents: Sequence[Iterable[int]], formulas: int) -> Graph:
    """Return the graph of what each node needs; formulas come first, ranges after them."""
    dependants: list[list[int]] = [[] for _ in precedents]
    sources = tuple(tuple(needed) for needed in precedents)
    for node, needed in enumerate(sources):
        for each in needed:
            dependants[each].append(node)
    return Graph(formulas, sources, tuple(map(tuple, dependants)))


def in_order(graph: Graph) -> tuple[list[int], list[list[int]]]:
    """Return the formulas in an order of computation, and the loops.

    Formulas in a loop, and those behind one, are not in the order. Each loop lists the formulas that need each other.
    """
    waiting_for = [len(needed) for needed in graph.precedents]
    ready = deque(node for node, count in enumerate(waiting_for) if not count)
    order: list[int] = []
    done = 0
    while ready:
        node = ready.popleft()
        done += 1
        if node < graph.formulas:
            order.append(node)
        for dependant in graph.dependants[node]:
            waiting_for[dependant] -= 1
            if not waiting_for[dependant]:
                ready.append(dependant)
    if done == len(graph.precedents):
        return order, []
    left = {node for node, count in enumerate(waiting_for) if count}
    return order, [loop for loop in _components(graph, left) if loop]


def _components(graph: Graph, nodes: set[int]) -> list[list[int]]:
    """Return the formulas of each strongly connected component that is a loop (Tarjan, without recursion)."""
    index: dict[int, int] = {}
    low: dict[int, int] = {}
    stack: list[int] = []
    on_stack: set[int] = set()
    loops: list[list[int]] = []
    for start in sorted(nodes):
        if start in index:
            continue
        work = [(start, iter(graph.precedents[start]))]
        index[start] = low[start] = len(index)
        stack.append(start)
        on_stack.add(start)
        while work:
            node, needed = work[-1]
            for each in needed:
                if each not in nodes:
                    continue
                if each not in index:
                    index[each] = low[each] = len(index)
                    stack.append(each)
                    on_stack.add(each)
                    work.append((each, iter(graph.precedents[each])))
                    break
                if each in on_stack:
                    low[node] = min(low[node], index[each])
            else:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                if low[node] == index[node]:
                    loops.append(_close(graph, node, stack, on_stack))
    return loops


def _close(graph: Graph, node: int, stack: list[int], on_stack: set[int]) -> list[int]:
    members = []
    while True:
        member = stack.pop()
        on_stack.discard(member)
        members.append(member)
        if member == node:
            break
    if len(members) == 1 and node not in graph.precedents[node]:
        return []
    return sorted(member for member in members if member < graph.formulas)


def loop_paths(graph: Graph, loop: Sequence[int]) -> Mapping[int, list[int]]:
    """Return for each member of a loop a shortest path from it back to itself, along what each needs."""
    paths = {member: _path(graph, member) for member in loop[:MOST_PATHS]}
    for member in loop[MOST_PATHS:]:
        paths[member] = paths[loop[0]]
    return paths


def _path(graph: Graph, start: int) -> list[int]:
    came_from: dict[int, int] = {}
    waiting = deque([start])
    while waiting:
        node = waiting.popleft()
        for each in graph.precedents[node]:
            if each == start:
                steps = []
                while node != start:
                    steps.append(node)
                    node = came_from[node]
                path = [start, *reversed(steps), start]
                return [step for step in path if step < graph.formulas]
            if each not in came_from:
                came_from[each] = node
                waiting.append(each)
    return [start]
