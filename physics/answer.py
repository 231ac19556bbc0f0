"""The answer of the bench: frozen arrays in SI, one entry per setup.

A figure that does not exist for a setup is NaN, never zero. Every scalar is an array of shape
(cases...), `()` for a single case; curves are (cases..., points). Pressures are Pa absolute; the
answer carries the shop's ambient pressure for gauge readings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field as defaulted
from dataclasses import fields, is_dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal, Self, TypeVar, cast, overload

import numpy as np

from physics.arrays import NONE, Values
from physics.case import Ambient, Setup, Target
from physics.faults import NOT_TO_BE_FITTED, Caution
from physics.frozen import dataclass

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

State = Literal["ok", "topped_out", "bottomed_out", "unsolved"]


class Deferred:
    """A part of an answer that may be worked out when one of its fields is first read; base of such parts.

    Nothing tells it from one that was worked out at once but the time at which that happens.

    >>> counted = []
    >>> part = AtOnce.later(lambda: counted.append(1) or AtOnce(NONE, NONE, np.float64(3.0)))
    >>> isinstance(part, AtOnce), len(counted), float(part.settling_time), float(part.settling_time)
    (True, 0, 3.0, 3.0)
    >>> len(counted)
    1
    """

    __slots__ = ("_how",)

    _how: Callable[[], Self]

    @classmethod
    def later(cls, how: Callable[[], Self], known: Mapping[str, object] | None = None) -> Self:
        """Return a part that `how` will work out, but for the fields that are `known`, by name."""
        part = object.__new__(cls)
        object.__setattr__(part, "_how", how)
        for name, value in (known or {}).items():
            freeze(value)
            object.__setattr__(part, name, value)
        return part

    if not TYPE_CHECKING:  # so that a wrong name is still found

        def __getattr__(self, name: str) -> object:
            """Work out the part: Python asks here for a field that has no value yet."""
            if name not in _parts(type(self)):
                raise AttributeError(name)
            found = self._how()
            freeze(found)
            for own in _parts(type(self)):
                object.__setattr__(self, own, getattr(found, own))
            return getattr(found, name)


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """Ground reaction and static wheel force (sprung load at the axle) [N].

    >>> from physics.case import ScaleReading
    >>> from physics.stand import wheel_load
    >>> load = wheel_load(ScaleReading(60.0, 4.0))  # 60 kg · g and (60 − 4) kg · g
    >>> round(float(load.ground_reaction), 1), round(float(load.static_wheel_force), 1)
    (588.4, 549.2)
    """

    ground_reaction: Values
    static_wheel_force: Values


@dataclass(frozen=True, slots=True)
class LinkageAnswer:
    """The figures of a drawn linkage itself, before its curve is closed on the typed wheel travel.

    `wheel_travel` [m] over the whole stroke, `eye_to_eye` [m] of the shock as drawn; over `stroke` (points,)
    [m] the path of the `axle` (points, 2) [m] from full extension, x and y as drawn, and its leverage
    `ratio`.
    """

    wheel_travel: Values
    eye_to_eye: Values
    stroke: Values
    axle: Values
    ratio: Values


@dataclass(frozen=True, slots=True)
class FrameAnswer:
    """Leverage as used, after the curve was closed on the shock.

    `leverage_start`, `leverage_end`, `progression` and `closure_error` are dimensionless; `residual` [m] is
    the rms residual of measured pairs, `deviation` [m] the standard deviation of a reading, both NaN for
    other leverages, the latter without a degree of freedom too. `travel` [m] and `ratio` (points,) are the
    curve to draw, `linkage` the drawn linkage if there is one. `fork`: the spring is in a fork, so shaft and
    stroke are those of the fork.
    """

    leverage_start: Values
    leverage_end: Values
    progression: Values
    closure_error: Values
    residual: Values
    wheel_travel: Values
    stroke: Values
    travel: Values
    ratio: Values
    linkage: LinkageAnswer | None = None
    fork: bool = False
    deviation: Values = defaulted(default_factory=lambda: NONE)


@dataclass(frozen=True, slots=True)
class Sag(Deferred):
    """Where the wheel settles under the rider, NaN if it does not.

    Wheel and shock in m and as a fraction, shaft force [N] there. `band_low`, `band_high` [m] of wheel
    travel: how far seal friction can hold it to either side, at most to the ends of the travel. `ratio` is
    the leverage there and `slope` [1/m] its derivative over wheel travel.
    """

    wheel: Values
    wheel_fraction: Values
    stroke: Values
    stroke_fraction: Values
    shaft_force: Values
    band_low: Values
    band_high: Values
    ratio: Values
    slope: Values


@dataclass(frozen=True, slots=True)
class AtOnce(Deferred):
    """Where the wheel stands as soon as it is loaded, before the air has lost any heat.

    Wheel travel and stroke [m], and `settling_time` [s], an estimate, until the settled sag can be read. NaN
    if the wheel does not settle; for a coil without air beside it the settled sag and zero time.
    """

    wheel: Values
    stroke: Values
    settling_time: Values


@dataclass(frozen=True, slots=True)
class Figures:
    """Numbers of the slow curve; definitions in `physics.figures`. SI: N, N/m, J, m, Hz, N s/m."""

    starting_shaft: Values
    starting_wheel: Values
    support_25: Values
    support_50: Values
    support_75: Values
    bottom_wheel_force: Values
    bottom_ratio: Values
    chord_deviation: Values
    softest_wheel_rate: Values
    softest_at_wheel: Values
    end_ramp: Values
    energy_total: Values
    energy_from_sag: Values
    drop_height: Values
    wheel_rate_at_sag: Values
    rate_at_sag: Values
    fast_rate_at_sag: Values
    natural_frequency: Values
    fast_natural_frequency: Values
    critical_damping: Values
    fast_bottom_shaft: Values


@dataclass(frozen=True, slots=True)
class Riding:
    """The same numbers of the riding curve, by which setups are compared and judged.

    The riding curve is slow from full extension to the sag point, where the gas settles, and fast from there
    on. `chord_deviation` is from the chord between the sag point and 0.8 of the travel. A support is NaN if
    its travel is above the sag point. The figures without the bumper leave out its force and nothing else.
    Definitions in `physics.figures`. SI: N, N/m, J, m, Hz, N s/m.
    """

    support_25: Values
    support_50: Values
    support_75: Values
    bottom_wheel_force: Values
    bottom_ratio: Values
    bottom_ratio_without_bumper: Values
    chord_deviation: Values
    softest_wheel_rate: Values
    softest_at_wheel: Values
    end_ramp: Values
    end_ramp_without_bumper: Values
    energy_total: Values
    energy_from_sag: Values
    drop_height: Values
    wheel_rate_at_sag: Values
    natural_frequency: Values
    critical_damping: Values


@dataclass(frozen=True, slots=True)
class Curve(Deferred):
    """The setup over its stroke, shape (cases..., points): m, N, N/m.

    `positive` and `negative` are the force contributions of the air chambers (or of a mechanical
    negative spring), signed so that their sum is the air spring's force; NaN for
    a coil. The fast columns start at the sag point: NaN above it, and without one. The
    riding columns are slow above it and fast from there on.
    """

    stroke: Values
    shaft_force: Values
    positive: Values
    negative: Values
    rate: Values
    wheel_travel: Values
    wheel_force: Values
    wheel_rate: Values
    fast_shaft_force: Values
    fast_rate: Values
    fast_wheel_force: Values
    fast_wheel_rate: Values
    fast_positive: Values
    fast_negative: Values
    riding_shaft_force: Values
    riding_rate: Values
    riding_wheel_force: Values
    riding_wheel_rate: Values
    riding_positive: Values
    riding_negative: Values


@dataclass(frozen=True, slots=True)
class BuyableCoil:
    """A rate in stock [N/m], its sag in the measure of the target, and its preload for the target.

    The preload [m] is NaN if even zero preload is too much; the turns are NaN without a thread pitch too.
    `cautions` are those of fit with that preload, or with none if it is NaN. `ideal` [N/m] is the rate that
    gives the target with the preload as it is.
    """

    rate: Values
    sag_fraction: Values
    preload_for_target: Values
    preload_turns: Values
    cautions: tuple[Caution, ...]
    ideal: Values

    @property
    def may_be_fitted(self) -> bool:
        """Whether a preload brings it to the target and it fits the shock with that; a single case."""
        return bool(np.isfinite(self.preload_for_target)) and not self.cautions


@dataclass(frozen=True, slots=True)
class WireAnswer:
    """A coil as a piece of wire: figures of its own dimensions, whatever rate was typed or solved.

    `rate` [N/m] and `band`, the fraction its grade allows either way. `force` [N] and `stress` [Pa] at full
    stroke, preload included, `solid_stress` at solid length. `allowed` and `allowed_set` [Pa] are the
    handbook limits as wound and for a coil pre-set by its maker, `strength` [Pa] that of the wire,
    extrapolated if `beyond_table`. `solid_length` [m]; `gap` [m] coil-bind clearance at full stroke and
    `gap_due` the required one; `buckling_length` [m] above which it may buckle; `surge` [Hz]; `mass` [kg].
    Figures that depend on an unknown free length are NaN.
    """

    rate: Values
    band: Values
    force: Values
    stress: Values
    solid_stress: Values
    strength: Values
    allowed: Values
    allowed_set: Values
    beyond_table: bool
    solid_length: Values
    gap: Values
    gap_due: Values
    buckling_length: Values
    surge: Values
    mass: Values


@dataclass(frozen=True, slots=True)
class CoilAnswer:
    """What only a coil has: rate [N/m], preload [m] and in turns (NaN without a thread pitch), its wire.

    The coils in stock on either side, `buyable`, are `Later` in an answer of the bench.
    """

    rate: Values
    preload: Values
    preload_turns: Values
    buyable: Sequence[BuyableCoil]
    wire: WireAnswer | None = None


@dataclass(frozen=True, slots=True)
class SpacerRow:
    """One count of positive volume spacers with the set pressure [Pa] for the target sag.

    `peak_pressure` [Pa] at full stroke slow, `fast_peak_pressure` [Pa] there when riding, and with it
    `bottom_wheel_force` [N] at full travel.
    """

    spacers: int
    set_pressure: Values
    peak_pressure: Values
    fast_peak_pressure: Values
    bottom_wheel_force: Values


@dataclass(frozen=True, slots=True)
class Fill(Deferred):
    """Filling an equalised shock from a negative chamber at ambient pressure to the set pressure.

    `readings` (rounds,) [Pa absolute] of the positive chamber at full extension after each cycle;
    `pump_gauge` (rounds,) the pump's reading when attached again, hose included; `rounds` until the reading
    holds; `single_fill` [Pa absolute] reaches it in one go, NaN above the max pressure, `one_go` the same
    regardless of the label. A shock that does not rest at full extension is read at rest: `rest_readings` and
    `rest_gauge` (rounds,) are the readings and the pump's gauge at the rest position, `rest_target` (rounds,)
    the gauge reading at which enough is pumped in.
    """

    readings: Values
    pump_gauge: Values
    rounds: int
    holds: bool
    single_fill: Values
    one_go: Values = defaulted(default_factory=lambda: NONE)
    rest_readings: Values = defaulted(default_factory=lambda: NONE)
    rest_gauge: Values = defaulted(default_factory=lambda: NONE)
    rest_target: Values = defaulted(default_factory=lambda: NONE)


@dataclass(frozen=True, slots=True)
class AirAnswer:
    """What only an air spring has; pressures Pa absolute.

    `equalised_pressure` is that of both chambers at the port, NaN without one; the peaks are those of the
    positive chamber at full stroke, slow and fast from the sag point, with the temperature [K] of the fast
    one. `rest_stroke` [m] is the rest position, 0 if held by the top-out stop, and `rest_pressure` the
    reading of the positive chamber there. The highest are of the chamber at higher pressure.
    """

    set_pressure: Values
    equalised_pressure: Values
    compression_ratio: Values
    peak_pressure: Values
    fast_peak_pressure: Values
    rest_stroke: Values
    rest_pressure: Values
    fill: Fill | None
    spacers: tuple[SpacerRow, ...]
    fast_peak_temperature: Values = defaulted(default_factory=lambda: NONE)
    highest_extended: Values = defaulted(default_factory=lambda: NONE)
    highest_at_sag: Values = defaulted(default_factory=lambda: NONE)


@dataclass(frozen=True, slots=True)
class RideAnswer:
    """The same shock, same masses of gas, in the riding conditions.

    `set_pressure` [Pa absolute] at full extension there and `rest_pressure` at the rest position, NaN for
    a coil; sag as fractions; `state` there.
    """

    ambient: Ambient
    state: State
    set_pressure: Values
    rest_pressure: Values
    sag_wheel_fraction: Values
    sag_stroke_fraction: Values
    starting_shaft: Values


@dataclass(frozen=True, slots=True)
class SetupAnswer:
    """Everything about one setup. `setup` is the setup with its solved value."""

    name: str
    kind: Literal["coil", "air"]
    state: State
    setup: Setup
    coil: CoilAnswer | None
    air: AirAnswer | None
    sag: Sag
    at_once: AtOnce
    figures: Figures
    riding: Riding
    curve: Curve
    mass: Values
    ride: RideAnswer | None
    cautions: tuple[Caution, ...]

    @property
    def not_to_be_fitted(self) -> tuple[Caution, ...]:
        """The cautions for which a coil must not be fitted with its preload; none for an air spring."""
        return tuple(one for one in self.cautions if one.code in NOT_TO_BE_FITTED)

    @property
    def solid_at(self) -> float:
        """Fraction of the wheel travel at which a coil goes solid, infinite if it does not before the end.

        A single case. At the end itself it is 1: then the coil has no clearance.
        """
        room = next((one.values["room"] for one in self.not_to_be_fitted if one.code == "coil_bind"), np.inf)
        if not np.isfinite(room):
            return np.inf
        travel = self.curve.wheel_travel
        return float(np.interp(room, self.curve.stroke, travel) / travel[-1])


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one case."""

    load: LoadAnswer
    frame: FrameAnswer
    target: Target
    shop: Ambient
    setups: tuple[SetupAnswer, ...]
    cautions: tuple[Caution, ...]


Item = TypeVar("Item")


class Later(Sequence[Item]):
    """A part of an answer that few views show: worked out when it is first looked at, and then kept.

    >>> counted = []
    >>> part = Later(lambda: (len(counted), *counted, counted.append(1)))
    >>> len(counted), len(part), list(part), len(counted)
    (0, 2, [0, None], 1)
    """

    def __init__(self, how: Callable[[], tuple[Item, ...]]) -> None:
        """Keep how to work the part out."""
        self._how = how

    @cached_property
    def _items(self) -> tuple[Item, ...]:
        found = self._how()
        freeze(found)
        return found

    @overload
    def __getitem__(self, place: int) -> Item: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[Item, ...]: ...

    def __getitem__(self, place: int | slice) -> Item | tuple[Item, ...]:
        """Return an item, or several."""
        return self._items[place]

    def __len__(self) -> int:
        """Return the number of items."""
        return len(self._items)


Data = TypeVar("Data")


def arrays_in(data: object) -> Iterator[Values]:
    """Yield every array of an answer; the inputs it carries (setups, target, ambient air) are left out.

    >>> from physics.answer import LoadAnswer
    >>> [float(array) for array in arrays_in(LoadAnswer(np.asarray(600.0), np.asarray(560.0)))]
    [600.0, 560.0]
    """
    if isinstance(data, np.ndarray | np.floating):
        yield np.asarray(data)
    elif isinstance(data, tuple | Later):
        for part in data:
            yield from arrays_in(part)
    else:
        for name in _parts(type(data)):
            yield from arrays_in(getattr(data, name))


def mapped(data: Data, change: Callable[[Values], Values]) -> Data:
    """Return an answer with `change` applied to every array; inputs it carries stay as they are.

    >>> from physics.answer import LoadAnswer
    >>> load = LoadAnswer(np.asarray(600.0), np.asarray(560.0))
    >>> float(mapped(load, lambda array: array / 2).ground_reaction)
    300.0
    """
    new: object = data
    if isinstance(data, np.ndarray | np.floating):
        new = change(np.asarray(data))
    elif isinstance(data, tuple | Later):
        new = tuple(mapped(part, change) for part in data)
    elif names := _parts(type(data)):
        changed = {name: mapped(getattr(data, name), change) for name in names}
        new = replace(cast("DataclassInstance", data), **changed)
    return cast(Data, new)


def freeze(data: object) -> None:
    """Make every array of an answer read-only, because setups share some of them."""
    if isinstance(data, np.ndarray):
        data.setflags(write=False)
    elif isinstance(data, tuple):
        for part in data:
            freeze(part)
    elif not (isinstance(data, Deferred) and hasattr(data, "_how")):  # such a part freezes itself
        for name in _parts(type(data)):
            part = getattr(data, name)
            kind = type(part)
            if kind is np.ndarray:
                part.setflags(write=False)
            elif kind is not np.float64 and kind is not str:  # nobody can write to those, and most parts are
                freeze(part)


_FIELDS: dict[type, tuple[str, ...]] = {}
"""Fields per class, cached: looking them up takes longer than the work done on them."""


def _parts(kind: type) -> tuple[str, ...]:
    """Return the field names of a dataclass of the answer; anything else has no parts."""
    if kind not in _FIELDS:
        is_part = is_dataclass(kind) and not issubclass(kind, Setup | Ambient | Target)
        _FIELDS[kind] = tuple(field.name for field in fields(kind)) if is_part else ()
    return _FIELDS[kind]
