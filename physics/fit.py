"""Force and stroke as read → the parameters of the spring, each with its standard error.

Least squares on the force; the readings are taken to scatter evenly and independently in force. Scatter has
the covariance s² (JᵀJ)⁻¹ with s² = Σr²/(readings − unknowns), J at the solution. An error in a tool that does
e [N] to the readings moves the parameters by (JᵀJ)⁻¹Jᵀe; both are added as variances.

Of the ± of a tool nothing is known but that it holds: a uniform error of ±a has the variance a²/3
(JCGM 100:2008, 4.3.7, second-hand).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from physics.air import positive_area
from physics.arrays import Scalar, Values, values
from physics.case import Air, Case, Coil, EqualisedNegative, SeparateNegative, Setup
from physics.chamber import LEAST_VOLUME
from physics.extras import gas_force
from physics.faults import Unfit
from physics.frozen import dataclass
from physics.loop import LeftOut, Loop, usable
from physics.residuals import Shape, shape_of
from physics.shock import air_of, coil_of, shock_of, with_rate
from physics.stand import Stand, stand

_SLOPE_STEP = 1e-5
"""Step of the central differences, in usual sizes of a parameter."""

Placed = Callable[[Setup, Values], Setup]
"""Puts a value (cases...) of one parameter into a setup."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """One parameter: its place, limits, usual size and starting values, all SI.

    `enough` is the standard error above which the parameter counts as undetermined,
    `relative` whether that is relative to its value.
    """

    name: str
    place: Placed
    low: float
    high: float
    size: float
    starts: Values
    enough: float
    relative: bool = False


@dataclass(frozen=True, slots=True)
class Law:
    """A setup of a case with some parameters unknown; parameters are (cases..., unknowns).

    `warmer` [K] is the air on the tester above the shop air in which the pressure was set.
    """

    setup: Setup
    bike: Stand
    unknowns: tuple[Unknown, ...]
    warmer: Scalar = 0.0

    def with_parameters(self, parameters: Values) -> Setup:
        """Return the setup with the parameters, as an axis of cases."""
        setup = self.setup
        for place, unknown in enumerate(self.unknowns):
            setup = unknown.place(setup, parameters[..., place])
        return setup

    def force(self, parameters: Values, stroke: Values, way: Values) -> Values:
        """Return the force [N] (cases..., readings) on the tester: spring and extras, friction by direction.

        Isothermal, as on a slow tester.
        """
        setup, shop = self.with_parameters(parameters), self.bike.case.shop
        tester = replace(shop, temperature=shop.temperature + self.warmer)
        shaft = shock_of(setup, self.bike.lever, shop, tester).at(stroke).force
        return values(shaft + values(setup.friction)[..., None] * way)

    @property
    def sizes(self) -> Values:
        """The usual sizes of the unknowns, (unknowns,)."""
        return values([unknown.size for unknown in self.unknowns])

    @property
    def limits(self) -> tuple[Values, Values]:
        """Lower and upper limits of the unknowns, each (unknowns,)."""
        lows = values([unknown.low for unknown in self.unknowns])
        return lows, values([unknown.high for unknown in self.unknowns])

    def slopes(self, parameters: Values, stroke: Values, way: Values) -> Values:
        """Return the Jacobian [N] (readings, unknowns) of the force over each unknown in its usual size.

        Central differences, all at once, one-sided at a limit.
        """
        steps = np.diag(_SLOPE_STEP * self.sizes)
        ahead, behind = (np.clip(parameters + side * steps, *self.limits) for side in (1, -1))
        moved = np.diagonal(ahead - behind) / self.sizes
        rise = self.force(ahead, stroke, way) - self.force(behind, stroke, way)
        return values((rise / moved[:, None]).T)

    def check_count(self, readings: int) -> None:
        """Raise `Unfit` if there are too few readings for the unknowns."""
        # Two degrees of freedom, or the scatter is meaningless.
        needed = len(self.unknowns) + 2
        if readings < needed:
            raise Unfit("too_few", readings=float(readings), needed=float(needed))


def law_of(setup: Setup, bike: Stand, loop: Loop, friction: float) -> Law:
    """Return the unknowns of a setup, seal friction among them if `loop` goes both ways.

    One-way readings cannot determine friction: it is the given `friction` [N]. A coil: rate and preload. Air:
    the volumes, and the port if there is one; bore, rod and body, the set pressure and the extras are known.
    Raises `Unfit` for a progressive coil or a pressure not typed.
    """
    spring = setup.spring
    own = _coil(spring, loop) if isinstance(spring, Coil) else _air(spring, float(bike.lever.stroke))
    if loop.both:
        return Law(setup, bike, (*own, _FRICTION))
    return Law(replace(setup, friction=friction), bike, own)


_FRICTION = Unknown(
    "friction",
    lambda setup, value: replace(setup, friction=value),
    -np.inf,
    np.inf,
    20.0,
    values([20.0]),
    np.inf,
)


def _coil(coil: Coil, loop: Loop) -> tuple[Unknown, ...]:
    if coil.stage_rate is not None:
        raise Unfit("in_stages")
    centred = loop.stroke - loop.stroke.mean()
    slope = float(centred @ loop.force / (centred @ centred))
    if not slope > 0:
        raise Unfit("falling", rate=slope)
    preload = float(loop.force.mean() / slope - loop.stroke.mean())
    return (
        Unknown("rate", with_rate, 0.0, np.inf, 1e5, values([slope]), 0.25, relative=True),
        # Negative for a coil that is loose at full extension.
        Unknown("preload", _with_preload, -np.inf, np.inf, 1e-3, values([preload]), 5e-3),
    )


_RATIOS = values([1.6, 1.9, 2.3, 2.8, 3.4, 4.2, 5.5])
"""Starting values of the compression ratio."""
_SHARES = values([0.08, 0.14, 0.22, 0.34, 0.55])
"""Starting values of negative over positive volume."""
_PORTS = values([0.03, 0.08, 0.15, 0.25, 0.40])
"""Starting values of port over stroke."""
_LARGEST_CHAMBER = 40.0
"""Upper limit of a chamber relative to the swept volume: beyond it the force hardly rises."""


def _air(air: Air, full: float) -> tuple[Unknown, ...]:
    if air.pressure is None:
        raise Unfit("no_pressure")
    swept = float(positive_area(air)) * full
    spacers = float(values(air.positive_spacers) * values(air.positive_spacer_volume))
    starts = swept * _RATIOS / (_RATIOS - 1)
    found = [_volume("positive_volume", _with_positive_volume, swept, spacers, starts)]
    second = air.negative
    if isinstance(second, SeparateNegative | EqualisedNegative):
        spacers = float(values(second.spacers) * values(second.spacer_volume))
        starts = 1.5 * swept * _SHARES
        found.append(_volume("negative_volume", _with_negative_volume, swept, spacers, starts, least=0.0))
    if isinstance(second, EqualisedNegative):
        found.append(Unknown("port", _with_port, 0.0, full, 0.1 * full, full * _PORTS, 0.05 * full))
    return tuple(found)


def _volume(
    name: str, place: Placed, swept: float, spacers: float, starts: Values, least: float | None = None
) -> Unknown:
    """Return a chamber as unknown, its volume without spacers as in a setup."""
    low = (swept if least is None else least) + spacers + 2 * LEAST_VOLUME
    enough = 0.2 if least is None else 0.25
    return Unknown(name, place, low, _LARGEST_CHAMBER * swept, swept, starts + spacers, enough, relative=True)


def _with_preload(setup: Setup, value: Values) -> Setup:
    return replace(setup, spring=replace(coil_of(setup), preload=value))


def _with_positive_volume(setup: Setup, value: Values) -> Setup:
    return replace(setup, spring=replace(air_of(setup), positive_volume=value))


def _with_negative_volume(setup: Setup, value: Values) -> Setup:
    air = air_of(setup)
    if not isinstance(air.negative, SeparateNegative | EqualisedNegative):
        raise TypeError("this air spring has no negative chamber")
    return replace(setup, spring=replace(air, negative=replace(air.negative, volume=value)))


def _with_port(setup: Setup, value: Values) -> Setup:
    air = air_of(setup)
    if not isinstance(air.negative, EqualisedNegative):
        raise TypeError("this air spring has no port")
    return replace(setup, spring=replace(air, negative=replace(air.negative, port=value)))


def parameter_of(setup: Setup, name: str) -> Scalar | None:
    """Return a parameter of a setup by name, None if it has none or it is still to be solved.

    >>> parameter_of(Setup("coil", Coil(None, 0.002, 4378.0)), "preload")
    0.002
    """
    spring = setup.spring
    if name == "friction":
        return setup.friction
    if isinstance(spring, Coil):
        return {"rate": spring.rate, "preload": spring.preload}.get(name)
    second = spring.negative
    if name == "negative_volume" and isinstance(second, SeparateNegative | EqualisedNegative):
        return second.volume
    if name == "port" and isinstance(second, EqualisedNegative):
        return second.port
    return spring.positive_volume if name == "positive_volume" else None


def starts_of(unknowns: Sequence[Unknown]) -> Values:
    """Return every combination of the starting values, (combinations, unknowns)."""
    axes = np.meshgrid(*(unknown.starts for unknown in unknowns), indexing="ij")
    return values(np.stack([axis.ravel() for axis in axes], axis=-1))


Tool = Literal["gauge", "diameters", "temperature", "force", "stroke", "friction"]
"""Sources of error: `friction` is that of one-way readings if unknown."""

TO_DEVIATION = 1 / np.sqrt(3.0)
"""Standard deviation of a uniform error relative to its ±."""
_TOOL_STEP = 0.01
"""Step of the central differences, in standard deviations: small enough for a chamber at its limit."""


@dataclass(frozen=True, slots=True)
class FitTools:
    """Tool errors (±) of a fit, besides the gauge of the case.

    `diameter` [m] of bore, rod and body, independent; `temperature` [K] of the air on the tester relative to
    that at which the pressure was set; `force`, relative, of every reading; `stroke` [m], the zero at full
    extension.
    """

    diameter: float = 0.1e-3
    temperature: float = 2.0
    force: float = 0.01
    stroke: float = 0.2e-3


USUAL_TOOLS = FitTools()
"""A caliper, shop air, a hanging scale or load cell, a caliper's zero. Common practice, no source."""

_ROWS: tuple[Tool, ...] = ("gauge", "diameters", "diameters", "diameters", "temperature", "stroke")
_GAUGE, _BORE, _ROD, _BODY, _WARMTH, _STROKE = range(len(_ROWS))


def tool_effects(
    law: Law, loop: Loop, solution: Values, gauge: float, tools: FitTools
) -> Mapping[Tool, Values]:
    """Return the effect of each tool on the readings [N], (errors, readings), at one standard deviation.

    `gauge` [Pa] is the ± of the one gauge that sets both chambers. Bore, rod and body are independent errors
    of one tool. Tools without effect are left out.
    """
    limits = [gauge, tools.diameter, tools.diameter, tools.diameter, tools.temperature, tools.stroke]
    off = _TOOL_STEP * TO_DEVIATION * np.diag(limits)
    both = np.concatenate([off, -off])
    forces = _force(law, loop, solution, both)
    rows = (forces[: len(off)] - forces[len(off) :]) / (2 * _TOOL_STEP)
    found: dict[Tool, Values] = {}
    for tool in dict.fromkeys(_ROWS):
        found[tool] = rows[[place for place, own in enumerate(_ROWS) if own == tool]]
    found["force"] = values(TO_DEVIATION * tools.force * loop.force[None, :])
    return {tool: effect for tool, effect in found.items() if np.any(effect)}


def _force(law: Law, loop: Loop, solution: Values, off: Values) -> Values:
    """Return the force [N] (cases, readings) with tool errors (cases, rows)."""
    moved = replace(law, setup=_moved(law.setup, off), warmer=off[:, _WARMTH])
    parameters = np.broadcast_to(solution, (len(off), len(solution)))
    return moved.force(parameters, values(loop.stroke + off[:, _STROKE, None]), loop.way)


def _moved(setup: Setup, off: Values) -> Setup:
    """Return the setup with tool errors, as an axis of cases; a coil depends on neither gauge nor bore."""
    air = setup.spring
    if not isinstance(air, Air) or air.pressure is None:
        return setup
    negative = air.negative
    if isinstance(negative, SeparateNegative):
        negative = replace(negative, pressure=values(negative.pressure + off[:, _GAUGE]))
    bore, rod, body = (
        # A fork's air shaft has no rod, a spring without a negative chamber no body.
        values(wide + off[:, row] * (values(wide) > 0))
        for wide, row in ((air.bore, _BORE), (air.rod, _ROD), (air.body, _BODY))
    )
    pressure = values(air.pressure + off[:, _GAUGE])
    moved = replace(air, pressure=pressure, bore=bore, rod=rod, body=body, negative=negative)
    return replace(setup, spring=moved)


_SINGULAR = 1e-7
"""Condition limit of the scaled Jacobian: smaller singular values are rounding."""
_TOGETHER = 0.9
"""Two unknowns with a larger correlation, one of them undetermined, cannot be told apart."""
_ASKED_AT = np.linspace(0.0, 1.0, 61)
"""Positions of one more reading that are considered, as fractions of the stroke."""


def scatter_errors(
    law: Law, loop: Loop, solution: Values, slopes: Values, scatter: float
) -> tuple[Values, Values]:
    """Return standard errors (unknowns,) and correlation (unknowns, unknowns) due to scatter at a solution.

    From s² (JᵀJ)⁻¹, `slopes` the Jacobian J there, `scatter` s in N. Raises `Unfit` for an undetermined
    unknown: by name, with its partner if the two are correlated, and with the reading that would help most.
    """
    _left, singular, right = np.linalg.svd(slopes, full_matrices=False)
    blind = bool(singular[-1] <= _SINGULAR * singular[0])
    # Undetermined directions get a huge variance instead of a division by zero.
    kept = np.maximum(singular, singular[0] * _SINGULAR)
    shape = values((right.T / kept**2) @ right)
    deviation = np.sqrt(np.diagonal(shape))
    correlation = values(shape / np.outer(deviation, deviation))
    errors = values(scatter * deviation * law.sizes)
    over = deviation if blind else errors / _enough(law, solution)
    if blind or np.max(over) > 1:
        raise _undetermined(law, loop, solution, shape, correlation, int(np.argmax(over)))
    return errors, correlation


def _enough(law: Law, solution: Values) -> Values:
    """Return the standard errors above which the unknowns count as undetermined."""
    pairs = zip(law.unknowns, solution, strict=True)
    return values([one.enough * (abs(value) if one.relative else 1.0) for one, value in pairs])


def _undetermined(
    law: Law, loop: Loop, solution: Values, shape: Values, correlation: Values, worst: int
) -> Unfit:
    stroke, way = _helpful(law, loop, solution, shape, worst)
    others = np.abs(correlation[worst]) * (np.arange(len(solution)) != worst)
    partner = int(np.argmax(others))
    name = law.unknowns[worst].name
    if others[partner] > _TOGETHER:
        names, together = (name, law.unknowns[partner].name), float(correlation[worst, partner])
        return Unfit("not_apart", names, correlation=together, stroke=stroke, way=way)
    return Unfit("not_told", (name,), stroke=stroke, way=way)


def _helpful(law: Law, loop: Loop, solution: Values, shape: Values, worst: int) -> tuple[float, float]:
    """Return stroke [m] and direction of the one more reading that reduces the variance of an unknown most.

    With the covariance C of the present readings, one more with slopes g reduces it by (C g)²/(1 + g·C g).
    """
    strokes = _ASKED_AT * float(law.bike.lever.stroke)
    ways = np.unique(loop.way)
    stroke, way = np.tile(strokes, len(ways)), np.repeat(ways, len(strokes))
    slopes = law.slopes(solution, stroke, way)
    gains = slopes @ shape
    taken = gains[:, worst] ** 2 / (1 + np.sum(gains * slopes, axis=-1))
    best = int(np.argmax(taken))
    return float(stroke[best]), float(way[best])


_INSIDE = 1e-9
"""Distance of the starting point from its limits, in usual sizes of a parameter."""
_MOST_FOR_START = 40
"""Readings on which the starting values are compared."""
MOST_FRICTION = 60.0
"""Unknown friction [N] of a shock or fork lies between zero and this. Common practice, no source."""

_LITTLE, _MUCH = 0.5, 0.75
"""Shares of the force of the damper gas at full extension: below the one hardly a whole shock was measured,
above the other hardly a spring alone. Common practice, no source."""

AskedFriction = float | Literal["setup", "unknown"]
"""Friction of one-way readings: typed [N], that of the setup, or unknown."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """One fitted parameter: its name, value and standard error, in SI.

    `error` combines scatter and tools, `scatter` and `tools` are each alone.
    `tool` has the standard errors by tool. `per_newton` is the change of the value with 1 N more friction,
    NaN if friction is fitted.
    """

    name: str
    value: float
    error: float
    scatter: float
    tools: float
    tool: Mapping[Tool, float]
    per_newton: float


@dataclass(frozen=True, slots=True)
class Friction:
    """The seal friction [N] in a fit, its ±, and its origin.

    A fitted one has its error with the estimates.
    """

    value: float
    off: float
    said: Literal["fitted", "typed", "setup", "unknown", "none"]


@dataclass(frozen=True, slots=True)
class Fit:
    """The parameters of a setup fitted to readings.

    `loop` has the readings used, `left_out` those that were not. `residual` [N] is reading less law,
    (readings,); `scatter` [N] its standard deviation, corrected for the unknowns; `correlation`
    (unknowns, unknowns) is that of scatter. `gauge` [Pa] and `tools` are the tool errors assumed.
    `setup` has the parameters, none negative; with one-way readings it keeps its
    friction, and of a spring measured `alone` it has the rate only.

    `extension` [N] is the force at full extension by the fit, `gas` [N] that of the damper gas of the setup
    there: subtracted, unless the spring was measured alone.
    """

    loop: Loop
    left_out: LeftOut
    estimates: tuple[Estimate, ...]
    residual: Values
    scatter: float
    correlation: Values
    friction: Friction
    shape: Shape
    gauge: float
    tools: FitTools
    setup: Setup
    alone: bool
    extension: float
    gas: float

    @property
    def seems_otherwise(self) -> bool:
        """Whether the force at full extension speaks against what is said to be measured.

        A whole coil shock pushes with its damper gas there at least, a spring alone with next to nothing. For
        coils; false where the gas is within two standard errors of nothing.
        """
        if not isinstance(self.setup.spring, Coil):
            return False
        if not self.gas > 2 * self["rate"].value * self["preload"].error:
            return False
        return self.extension > _MUCH * self.gas if self.alone else self.extension < _LITTLE * self.gas

    def __getitem__(self, name: str) -> Estimate:
        """Return the estimate of a parameter; raises `KeyError` for one that was not unknown."""
        for estimate in self.estimates:
            if estimate.name == name:
                return estimate
        raise KeyError(name)


def fit(
    case: Case,
    index: int,
    loop: Loop,
    friction: AskedFriction = "unknown",
    tools: FitTools = USUAL_TOOLS,
    *,
    alone: bool = False,
) -> Fit:
    """Return the parameters of a setup of a single case from readings of its force over its stroke.

    `friction` [N, not negative] is for one-way readings; if unknown, the middle of
    0 to `MOST_FRICTION` is used and its error added. `alone` is for a coil measured by itself, without damper
    gas, bumper and seals. Raises `Refused` as `answer` does, and `Unfit` if
    the readings do not determine the parameters: too few, not of this shock, or two of them correlated,
    with the reading that would help.
    """
    bike, setup = stand(case), case.setups[index]
    if alone and not isinstance(setup.spring, Coil):
        raise Unfit("not_alone")
    loop, left_out = usable(loop, float(bike.lever.stroke))
    measured = spring_alone(setup) if alone else setup
    known = Friction(0.0, 0.0, "none") if alone and not loop.both else _known_friction(setup, loop, friction)
    law = law_of(measured, bike, loop, known.value)
    law.check_count(len(loop.stroke))
    solution = _solved(law, loop)
    _check_limits(law.unknowns, solution)
    residual = values(loop.force - law.force(solution, loop.stroke, loop.way))
    scatter = float(np.sqrt(residual @ residual / (len(residual) - len(solution))))
    slopes = law.slopes(solution, loop.stroke, loop.way)
    effects = tool_effects(law, loop, solution, case.tolerance.gauge, tools)
    if known.off:
        effects = {**effects, "friction": TO_DEVIATION * known.off * loop.way[None, :]}
    shape = shape_of(loop, residual, slopes, list(effects.values()))
    errors, correlation = _errors(law, loop, solution, slopes, scatter, shape)
    found = _estimates(law, loop, solution, errors, slopes, effects)
    if loop.both:
        known = replace(known, value=found[-1].value)
    fitted = Fit(
        loop=loop,
        left_out=left_out,
        estimates=found,
        residual=residual,
        scatter=scatter,
        correlation=correlation,
        friction=known,
        shape=shape,
        gauge=case.tolerance.gauge,
        tools=tools,
        setup=_taken(law, setup, found[:1] if alone else found),
        alone=alone,
        extension=float(law.force(solution, values([0.0]), values([0.0]))[0]),
        gas=_gas_at_extension(setup, case),
    )
    _check_friction(fitted)
    return fitted


def spring_alone(setup: Setup) -> Setup:
    """Return a setup with its spring and nothing besides: no damper gas, bumper, lower legs or seals."""
    return replace(setup, friction=0.0, gas=None, bumper=None, lower_legs=None)


def _gas_at_extension(setup: Setup, case: Case) -> float:
    """Return the force [N] of the damper gas at full extension, zero without."""
    if setup.gas is None:
        return 0.0
    return float(np.ravel(gas_force(setup.gas, values([0.0]), case.shop, case.shop)[0])[0])


def _errors(
    law: Law, loop: Loop, solution: Values, slopes: Values, scatter: float, shape: Shape
) -> tuple[Values, Values]:
    """Return errors and correlation of `scatter_errors`; a bend that makes it fail is reported instead."""
    try:
        return scatter_errors(law, loop, solution, slopes, scatter)
    except Unfit as unfit:
        if shape.verdict == "bent":
            raise Unfit("bent", unfit.why.names, size=shape.size) from unfit
        raise


def _known_friction(setup: Setup, loop: Loop, asked: AskedFriction) -> Friction:
    """Return the friction of one-way readings; if they go both ways it is among the unknowns."""
    if loop.both:
        if asked != "unknown":
            raise Unfit("friction_told", ("friction",))
        return Friction(np.nan, 0.0, "fitted")
    if asked == "unknown":
        half = MOST_FRICTION / 2
        return Friction(half, half, "unknown")
    if asked == "setup":
        held = float(values(setup.friction))
        # Zero may also mean that it was not typed.
        if not held > 0:
            raise Unfit("no_friction", ("friction",))
        return Friction(held, 0.0, "setup")
    return Friction(asked, 0.0, "typed")


def _estimates(
    law: Law,
    loop: Loop,
    solution: Values,
    errors: Values,
    slopes: Values,
    effects: Mapping[Tool, Values],
) -> tuple[Estimate, ...]:
    """Return the parameters with the errors of scatter (unknowns,) and of the tools."""
    moves = np.linalg.pinv(slopes) * law.sizes[:, None]
    by_tool = {
        tool: np.sqrt(np.sum((moves @ effect.T) ** 2, axis=1)).tolist() for tool, effect in effects.items()
    }
    per_newton = np.full(len(solution), np.nan) if loop.both else -(moves @ loop.way)
    found = []
    for place, unknown in enumerate(law.unknowns):
        tool = {name: own[place] for name, own in by_tool.items()}
        scatter, tools = float(errors[place]), float(np.hypot.reduce([0.0, *tool.values()]))
        error = float(np.hypot(scatter, tools))
        value, newton = float(solution[place]), float(per_newton[place])
        found.append(Estimate(unknown.name, value, error, scatter, tools, tool, newton))
    return tuple(found)


def _solved(law: Law, loop: Loop) -> Values:
    from scipy.optimize import least_squares  # imported late: half a second

    sizes = law.sizes
    lows, highs = (limit / sizes for limit in law.limits)
    found = least_squares(
        lambda scaled: law.force(scaled * sizes, loop.stroke, loop.way) - loop.force,
        np.clip(_start(law, loop) / sizes, lows + _INSIDE, highs - _INSIDE),
        jac=lambda scaled: law.slopes(scaled * sizes, loop.stroke, loop.way),
        bounds=(lows, highs),
        x_scale="jac",
        xtol=1e-12,
        ftol=1e-13,
        gtol=1e-12,
        max_nfev=300,
    )
    if not found.success:
        raise Unfit("no_end")
    return values(found.x * sizes)


def _start(law: Law, loop: Loop) -> Values:
    """Return the best of the starting values."""
    starts = starts_of(law.unknowns)
    some = np.linspace(0, len(loop.stroke) - 1, min(len(loop.stroke), _MOST_FOR_START)).round().astype(int)
    off = law.force(starts, loop.stroke[some], loop.way[some]) - loop.force[some]
    return values(starts[np.argmin(np.sum(off * off, axis=-1))])


def _check_limits(unknowns: tuple[Unknown, ...], solution: Values) -> None:
    for unknown, value in zip(unknowns, solution.tolist(), strict=True):
        near = 1e-4 * unknown.size
        if not unknown.low + near < value < unknown.high - near:
            raise Unfit("at_limit", (unknown.name,))


def _check_friction(found: Fit) -> None:
    """Refuse significantly negative friction: the two directions were swapped."""
    for one in found.estimates:
        if one.name == "friction" and one.value < -4 * one.scatter - 1.0:
            raise Unfit("ways_swapped", ("friction",), friction=one.value)


def _taken(law: Law, asked: Setup, found: tuple[Estimate, ...]) -> Setup:
    """Return the setup with the estimates; none is negative."""
    setup = asked
    for unknown, estimate in zip(law.unknowns, found, strict=False):
        setup = unknown.place(setup, values(max(estimate.value, 0.0)))
    return setup
