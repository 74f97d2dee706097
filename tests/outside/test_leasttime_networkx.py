"""Least times against networkx, a general graph library, on small made ground.

The graph is built here, move by move, from the definition in words: every one of sixteen moves,
knight's moves in two halves over the mean of the two cells between.
"""

import math

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.models.leasttime import MOVES, Ground, least_time
from backbearing.models.walking import swiss_s_per_m

CELL_X_M, CELL_Y_M = 10.0, 14.0


def seconds_of(start: float, end: float, length_m: float) -> float:
    return length_m * float(swiss_s_per_m((end - start) / length_m))


def by_definition(height: np.ndarray, slower: np.ndarray, closed: np.ndarray) -> nx.DiGraph:
    rows, columns = height.shape
    graph = nx.DiGraph()
    graph.add_nodes_from((row, column) for row in range(rows) for column in range(columns))
    for row, column in list(graph.nodes):
        for down, across in MOVES:
            end = (row + down, column + across)
            if not (0 <= end[0] < rows and 0 <= end[1] < columns):
                continue
            if closed[row, column] or closed[end]:
                continue
            length_m = math.hypot(down * CELL_Y_M, across * CELL_X_M)
            mean = (slower[row, column] + slower[end]) / 2.0
            if 0 not in (down, across):
                corners = {
                    (round(row + down * t + dy), round(column + across * t + dx))
                    for t in (0.5,)
                    for dy, dx in ((-0.01 * down, 0.01 * across), (0.01 * down, -0.01 * across))
                }
                if abs(down) == abs(across) and all(closed[cell] for cell in corners):
                    continue
                if abs(down) != abs(across):
                    halves = [
                        (row + down // 2, column + (0 if abs(across) == 1 else across // 2)),
                        (
                            row + (down if abs(down) == 1 else down // 2),
                            column + (across if abs(across) == 1 else across // 2),
                        ),
                    ]
                    if abs(down) == 1:
                        halves[0] = (row, column + across // 2)
                    if any(closed[cell] for cell in halves):
                        continue
                    middle = sum(height[cell] for cell in halves) / 2.0
                    mean = (2.0 * mean + sum(slower[cell] for cell in halves)) / 4.0
                    cost = seconds_of(height[row, column], middle, length_m / 2.0)
                    cost += seconds_of(middle, height[end], length_m / 2.0)
                    graph.add_edge((row, column), end, weight=mean * cost)
                    continue
            cost = seconds_of(height[row, column], height[end], length_m)
            graph.add_edge((row, column), end, weight=mean * cost)
    return graph


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**31), st.integers(3, 9), st.integers(3, 9))
def test_least_times_are_those_of_a_graph_library(seed: int, rows: int, columns: int) -> None:
    rng = np.random.default_rng(seed)
    height = rng.normal(0.0, 3.0, (rows, columns))
    slower = rng.uniform(1.0, 2.0, (rows, columns))
    closed = rng.random((rows, columns)) < 0.15
    closed[0, 0] = False
    ground = Ground(
        height_m=height,
        slower=slower,
        closed=closed,
        barred=np.zeros((rows, columns), dtype=np.uint16),
        cell_x_m=CELL_X_M,
        cell_y_m=CELL_Y_M,
    )
    ours = least_time(ground, (0, 0), swiss_s_per_m).seconds
    theirs = nx.single_source_dijkstra_path_length(by_definition(height, slower, closed), (0, 0))
    for cell in np.ndindex(rows, columns):
        if cell in theirs:
            # the rule is read from a table of 4096 slopes to the unit
            assert ours[cell] == pytest.approx(theirs[cell], rel=2e-3)
        else:
            assert math.isinf(ours[cell])
