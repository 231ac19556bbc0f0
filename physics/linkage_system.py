"""The constraints of a linkage as one system of equations, and the rigid bodies among its bars.

Every moving point has two unknowns. A bar is one equation, the distance of its ends. Points that bars make
one rigid body are placed in it by two linear equations each, which hold as well where three points of a
body lie on one line and where it has more bars than it needs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.arrays import Values, values
from physics.case import Linkage

Index = NDArray[np.intp]
COINCIDE = 1e-9
"""Two points closer than this [m] are one place."""
_RANK = 1e-8
"""Singular values below this share of the largest count as none."""


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """The equations of a linkage over its points (n, 2); the last one is the length of the shock.

    `drawn` [m] are the points as drawn, `moving` the indices of those that move. `linear` (rows, 2n) puts
    points into their bodies, `ends` (rows, n) is +1 and −1 at the two ends of a distance and `length`
    (rows,) [m] what it keeps. `bar` (equations,) is the bar each equation stands for, −1 for the shock.
    """

    drawn: Values
    moving: Index
    linear: Values
    ends: Values
    length: Values
    bar: Index

    def jacobian(self, places: Values) -> Values:
        """Return the derivatives (..., equations, unknowns) of the equations at `places` (..., n, 2)."""
        arms = self.ends @ places / self.length[:, None]
        distances = self.ends[:, self.moving, None] * arms[..., None, :]
        distances = distances.reshape(*arms.shape[:-1], -1)
        rows, points = len(self.linear), len(self.drawn)
        linear = self.linear.reshape(rows, points, 2)[:, self.moving].reshape(rows, 2 * len(self.moving))
        linear = np.broadcast_to(linear, (*arms.shape[:-2], *linear.shape))
        return values(np.concatenate([linear, distances], axis=-2))

    def misfit(self, places: Values, shock: Values | float) -> Values:
        """Return how far [m] places (..., n, 2) are from the equations, the shock being `shock` (...) [m]."""
        arms = self.ends @ places
        length = np.broadcast_to(self.length, arms.shape[:-1]).copy()
        length[..., -1] = shock
        distances = ((arms**2).sum(axis=-1) - length**2) / (2 * self.length)
        flat = places.reshape(*places.shape[:-2], -1)
        return values(np.concatenate([flat @ self.linear.T, distances], axis=-1))


def system_of(linkage: Linkage, bars: Iterable[int] | None = None) -> System:
    """Return the equations of a sound linkage, of the bars of these indices only where they are given."""
    place = {name: index for index, name in enumerate(linkage.names)}
    chosen = list(range(len(linkage.bars))) if bars is None else list(bars)
    pairs = {index: (place[linkage.bars[index][0]], place[linkage.bars[index][1]]) for index in chosen}
    drawn = values(linkage.places).reshape(-1, 2)
    fixed = {place[name] for name in linkage.fixed}
    linear, linear_bars, left = _bodies(drawn, fixed, pairs)
    ends = ends_of(linkage, (*(linkage.bars[index] for index in left), linkage.shock))
    moving = np.array([index for index in range(len(drawn)) if index not in fixed], dtype=np.intp)
    length = np.linalg.norm(ends @ drawn, axis=-1)
    bar = np.array([*linear_bars, *left, -1], dtype=np.intp)
    return System(drawn, moving, linear, ends, values(length), bar)


def ends_of(linkage: Linkage, pairs: Sequence[tuple[str, str]]) -> Values:
    """Return +1 and −1 at the two ends of each pair of points, (pairs, points)."""
    ends = np.zeros((len(pairs), len(linkage.names)))
    for row, (one, other) in enumerate(pairs):
        ends[row, linkage.names.index(one)] += 1.0
        ends[row, linkage.names.index(other)] -= 1.0
    return ends


def rank(matrix: Values) -> int:
    """Return how many rows of a matrix are independent of each other."""
    if not matrix.size:
        return 0
    sizes = np.linalg.svd(matrix, compute_uv=False)
    return int(np.sum(sizes > _RANK * max(1.0, float(sizes[0]))))


def _bodies(
    drawn: Values, fixed: set[int], pairs: dict[int, tuple[int, int]]
) -> tuple[Values, list[int], list[int]]:
    """Return the linear equations of the bodies, the bar of each, and the bars that stay distances.

    A body grows from a bar, and the frame from its fixed points, by every point that has bars to two of it.
    """
    rows: list[Values] = []
    of_bars: list[int] = []
    within: set[int] = set()
    seeds: list[int] = []
    bodies = [_grown(sorted(fixed), drawn, pairs)] if len(fixed) > 1 else []
    for index, pair in pairs.items():
        if index in within or any(set(pair) <= body.keys() for body in bodies):
            continue
        body = _grown(list(pair), drawn, pairs)
        bodies.append(body)
        seeds.append(index)
        within |= {i for i, (one, other) in pairs.items() if one in body and other in body}
    for body in bodies:
        base = [point for point, held in body.items() if held is None]
        one, other = _furthest(base, drawn)
        for point, held in body.items():
            if held is not None:
                rows += _placed(drawn, point, one, other)
                of_bars += held
    inside = {i for i, (one, other) in pairs.items() if any(one in b and other in b for b in bodies)}
    left = [index for index in pairs if index in seeds or index not in inside]
    linear = values(rows) if rows else np.zeros((0, 2 * len(drawn)))
    return linear, of_bars, left


def _grown(
    seed: list[int], drawn: Values, pairs: dict[int, tuple[int, int]]
) -> dict[int, tuple[int, int] | None]:
    """Return the points of a body, each with the two bars that hold it, None for the seed."""
    body: dict[int, tuple[int, int] | None] = dict.fromkeys(seed)
    grew = True
    while grew:
        grew = False
        for point in range(len(drawn)):
            if point in body:
                continue
            holds = {
                other if one == point else one: index
                for index, (one, other) in pairs.items()
                if point in (one, other) and (other if one == point else one) in body
            }
            first, *rest = holds or (-1,)
            second = next((o for o in rest if np.linalg.norm(drawn[o] - drawn[first]) > COINCIDE), None)
            if second is not None:
                body[point] = (holds[first], holds[second])
                grew = True
    return body


def _furthest(points: list[int], drawn: Values) -> tuple[int, int]:
    """Return the two points furthest from each other: they carry the axes of a body."""
    gaps = np.linalg.norm(drawn[points][:, None] - drawn[points], axis=-1)
    one, other = np.unravel_index(np.argmax(gaps), gaps.shape)
    return points[int(one)], points[int(other)]


def _placed(drawn: Values, point: int, one: int, other: int) -> list[Values]:
    """Return the two equations that keep a point at its place along and across the line of two others."""
    along, arm = drawn[other] - drawn[one], drawn[point] - drawn[one]
    a = float(arm @ along / (along @ along))
    b = float((along[0] * arm[1] - along[1] * arm[0]) / (along @ along))
    found = []
    for axis, across in ((0, -b), (1, b)):
        row = np.zeros((len(drawn), 2))
        row[point, axis] += 1.0
        row[one, axis] -= 1.0 - a
        row[other, axis] -= a
        row[other, 1 - axis] -= across
        row[one, 1 - axis] += across
        found.append(values(row.reshape(-1)))
    return found


def squared(system: System) -> tuple[System, list[int]]:
    """Return a system with as many equations as unknowns, and the bars whose equations say nothing new."""
    jacobian = system.jacobian(system.drawn)
    spare = _dependent(jacobian) if len(jacobian) > jacobian.shape[1] else []
    if not spare:
        return system, []
    linear = len(system.linear)
    left = replace(
        system,
        linear=np.delete(system.linear, [row for row in spare if row < linear], axis=0),
        ends=np.delete(system.ends, [row - linear for row in spare if row >= linear], axis=0),
        length=np.delete(system.length, [row - linear for row in spare if row >= linear]),
        bar=np.delete(system.bar, spare),
    )
    return left, [int(bar) for bar in system.bar[spare]]


def _dependent(rows: Values) -> list[int]:
    """Return the rows that depend on the rows before them."""
    basis: list[Values] = []
    spare = []
    for index, row in enumerate(rows):
        rest = row.copy()
        for _ in range(2):  # twice, because rounding leaves a little of what was taken out
            for axis in basis:
                rest -= (rest @ axis) * axis
        size = float(np.linalg.norm(rest))
        if size > _RANK * max(1.0, float(np.linalg.norm(row))):
            basis.append(values(rest / size))
        else:
            spare.append(index)
    return spare
