"""Solves each rack of racks.txt by HiGHS (scipy.optimize.milp): first the least load of the largest line of a strip
that carries all, then the least cost of cord (metres, and 3 m for each length in use) with no line above 1.005 of it.
Both strips are alike, so that one is solved and its metres counted twice. One line a rack: largest line, its bound,
cost, its bound.

    pip install scipy; python3 solve.py SECONDS > solved.txt
"""
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

LENGTHS = [0.5, 0.8, 1.0, 1.2, 1.5, 2.0]
LIMIT = 4600 * 0.98  # what is lost on the way is reckoned with 2 %
UNIT, FIRST, PITCH, ALLOWANCES = 44.45, 22.0, 42.3, 500.0  # mm
# Outlets from the foot up: bank, line, whether C19.
OUTLETS = [(k // 7, k // 7 % 3, k % 7 == 3) for k in range(42)]


def way(device, outlet):
    return (abs((device + 0.5) * UNIT - (FIRST + outlet * PITCH)) + ALLOWANCES) / 1000


def solved(cost, rows, integral, upper, seconds, gap):
    data, at, columns, low, high = [], [], [], [], []
    for number, (terms, least, most) in enumerate(rows):
        for column, value in terms:
            data.append(value), at.append(number), columns.append(column)
        low.append(least), high.append(most)
    matrix = csr_matrix((data, (at, columns)), shape=(len(rows), len(cost)))
    limits = LinearConstraint(matrix, low, high)
    options = dict(time_limit=seconds, mip_rel_gap=gap)
    return milp(cost, constraints=limits, integrality=integral, bounds=Bounds(0, upper), options=options)


def rack(devices, seconds):
    pairs = [(d, o) for d, (_, large) in enumerate(devices) for o, spot in enumerate(OUTLETS)
             if spot[2] == large and way(d, o) <= LENGTHS[-1]]
    rows = []
    for d in range(len(devices)):
        rows.append(([(j, 1) for j, (own, _) in enumerate(pairs) if own == d], 1, 1))
    for o in range(len(OUTLETS)):
        rows.append(([(j, 1) for j, (_, own) in enumerate(pairs) if own == o], -np.inf, 1))
    for bank in range(6):
        rows.append(([(j, devices[d][0]) for j, (d, o) in enumerate(pairs) if OUTLETS[o][0] == bank], -np.inf, LIMIT))
    top = len(pairs)
    lines = [[(j, devices[d][0]) for j, (d, o) in enumerate(pairs) if OUTLETS[o][1] == line] for line in range(3)]
    cost = np.zeros(top + 1)
    cost[top] = 1
    integral = np.ones(top + 1)
    integral[top] = 0
    upper = np.ones(top + 1)
    upper[top] = np.inf
    first = solved(cost, rows + [(own + [(top, -1)], -np.inf, 0) for own in lines], integral, upper, seconds, 1e-4)
    cap = first.fun * 1.005
    # Second: a column for each device and length, and one for each length in use.
    count, lengths = len(devices), len(LENGTHS)
    of = lambda d, k: top + d * lengths + k
    used = lambda k: top + count * lengths + k
    second = list(rows) + [(own, -np.inf, cap) for own in lines]
    for d in range(count):
        second.append(([(of(d, k), 1) for k in range(lengths)], 1, 1))
        for k in range(lengths - 1):
            far = [(j, 1) for j, (own, o) in enumerate(pairs) if own == d and way(d, o) > LENGTHS[k] + 1e-9]
            if far:
                second.append((far + [(of(d, longer), -1) for longer in range(k + 1, lengths)], -np.inf, 0))
        for k in range(lengths):
            second.append(([(of(d, k), 1), (used(k), -1)], -np.inf, 0))
    size = used(lengths - 1) + 1
    cost = np.zeros(size)
    for d in range(count):
        for k in range(lengths):
            cost[of(d, k)] = 2 * LENGTHS[k]
    cost[used(0):] = 3.0
    last = solved(cost, second, np.ones(size), np.ones(size), seconds, 1e-3)
    return first.fun, first.mip_dual_bound, last.fun, last.mip_dual_bound


for line in open("racks.txt"):
    devices = [(int(word.rstrip("*")), word.endswith("*")) for word in line.split()]
    numbers = rack(devices, float(sys.argv[1]))
    print(" ".join("?" if number is None else f"{number:.2f}" for number in numbers), flush=True)
