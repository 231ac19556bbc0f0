"""Numbers typed without a unit: they take the unit shown beside them, and no fraction is read unseen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from tui.job.clean import clean
from tui.job.job import Job, listed
from tui.job.tree import Raw, TreePath
from tui.shop_units import ABSENT, Measure, ShopUnits, gauge

if TYPE_CHECKING:
    from physics.answer import SetupAnswer

_BARE = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)")
_LENGTHS: Mapping[str, str] = {"in": "1.8 in"}
"""A length near the sag of a bike in units other than mm."""


def is_bare(text: str) -> bool:
    """Return whether a text is a number alone."""
    return _BARE.fullmatch(text.strip().replace("−", "-")) is not None


def with_unit(text: str, unit: str) -> str:
    """Return the text with the unit that was shown if it is a number alone, else as it is."""
    return f"{text.strip()} {unit}".strip() if is_bare(text) else text


def is_fraction(text: str) -> bool:
    """Return whether a text is a number alone between 0 and 1, which may be meant as a share of the whole."""
    return is_bare(text) and 0 < abs(_number(text)) < 1


def fraction_unseen(text: str, length: str = "") -> str:
    """Return what to write in place of a fraction: per cent, or a length where one is taken as well."""
    share = f"{float(f'{_number(text) * 100:.6g}'):g} %"
    write = f"{share} or {length}" if length else share
    return f'"{text.strip()}" may be a share of the whole: write {write}'


def sag_length(unit: str) -> str:
    """Return the length of a usual sag as an example, in `unit`."""
    return _LENGTHS.get(unit, f"45 {unit}")


def _number(text: str) -> float:
    return float(text.strip().replace("−", "-").replace(",", "."))


_NOTHING: Mapping[str, Raw] = MappingProxyType({})


class Amount(NamedTuple):
    """A quantity with its unit, text in the file.

    `steps` gives nudges of its own per unit, `signed` allows values below zero, `solvable` the word "solve",
    `or_none` the word "none". `share_of` is the whole that a share typed with its per cent sign is of, see
    `fields_shares.whole_of`.
    """

    measure: Measure
    steps: Mapping[str, str] = _NOTHING
    signed: bool = False
    solvable: bool = False
    share_of: str = ""
    or_none: bool = False


class Bare(NamedTuple):
    """A bare number in the file; `suffix` follows it on the screen, `step` is its nudge."""

    step: str
    suffix: str = ""


class Share(NamedTuple):
    """A fraction: per cent on the screen; in the file a bare number, or text with its per cent sign.

    A bare number below 1 is asked about, unless the share is `small`. `share_of` is the whole that a length
    typed in its place is divided by, see `fields_shares.whole_of`.
    """

    as_text: bool = False
    small: bool = False
    share_of: str = ""


class Words(NamedTuple):
    """Text, shown letter by letter as it stands."""


class Several(NamedTuple):
    """A list of bare numbers with spaces between; `unit` follows them on the screen."""

    unit: str


class Pair(NamedTuple):
    """Pair number `place` of two arrays of one table that belong together, e.g. travel and stroke.

    The row behind the last one is empty and takes a new pair. `units` follow the two numbers on the
    screen, `step` nudges the second.
    """

    keys: tuple[str, str]
    place: int
    units: tuple[str, str]
    step: str


class Option(NamedTuple):
    """One way of a choice.

    The file holds it as the word `stored` at the row's path, or by the key `mark` being there at all.
    `needs` are the keys it cannot do without, with invented values to start from, and `also` those it may
    have besides; `drops` must not stand beside it, and `renews` mean something else in another way.
    """

    word: str
    stored: Raw | None = None
    mark: str | None = None
    needs: Mapping[str, Raw] = _NOTHING
    also: tuple[str, ...] = ()
    drops: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()


class Choice(NamedTuple):
    """One of several ways; `absent` is the one a file means that says nothing."""

    options: tuple[Option, ...]
    absent: int | None = None

    def chosen(self, job: Job, path: TreePath) -> int | None:
        """Return the index of the way the job takes, None where it names one that is not known."""
        raw = job.get(path)
        for index, option in enumerate(self.options):
            if raw is not None and raw == option.stored:
                return index
            if raw is None and option.mark and job.get((*path[:-1], option.mark)) is not None:
                return index
        return self.absent if raw is None else None

    def select(self, job: Job, path: TreePath, index: int, starts: Mapping[str, Raw] | None = None) -> Job:
        """Return the job on another way; keys it lacks then start from `starts`, else invented.

        What nobody has typed is unconfirmed: the invented values, and those on the list of `starts`.
        """
        option = self.options[index]
        table = path[:-1]
        for key in (*option.drops, *option.renews):
            job = job.without((*table, key))
        job = job.with_value(path, option.stored) if option.stored else job.taken_out(path)
        found = {**option.needs, **(starts or {})}
        typed = set(starts or {}) - set(listed(starts))
        for key in (*option.needs, *option.also):
            if key in found and job.get((*table, key)) is None:
                put = job.with_value if key in typed else job.with_invented
                job = put((*table, key), found[key])
        return job


Kind = Amount | Bare | Share | Words | Several | Pair | Choice


class Field(NamedTuple):
    """One line of a panel.

    `meaning` says what the value is and how to get it, `caution` what must be known before a hand acts
    on it. `usual` is what a file means that leaves the value out, `head` a heading above the row.
    """

    label: str
    path: TreePath
    kind: Kind
    meaning: str
    caution: str = ""
    usual: str = ""
    head: str = ""


class Panel(NamedTuple):
    """The rows of one subject. `setup` is the index of the setup it shows, None for rider and frame."""

    title: str
    rows: tuple[Field, ...]
    setup: int | None = None
    kind: str = ""

    def index_of(self, path: TreePath) -> int | None:
        """Return the index of the row at `path`."""
        return next((index for index, row in enumerate(self.rows) if row.path == path), None)


_DIMENSIONS = {Measure.TRAVEL: "LENGTH", Measure.ALTITUDE: "LENGTH"} | {
    measure: measure.name
    for measure in (
        Measure.MASS,
        Measure.FORCE,
        Measure.SPRING_RATE,
        Measure.PRESSURE,
        Measure.VOLUME,
        Measure.TEMPERATURE,
        Measure.ANGLE,
    )
}
_TEXT_NUMBER = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+))\s*(.*)")


def split(text: object) -> tuple[str, str] | None:
    """Return the number and the unit of a quantity as typed, None where it is none."""
    if not isinstance(text, str):
        return None
    match = _TEXT_NUMBER.fullmatch(text.strip().replace("−", "-"))
    return (match[1], match[2].strip()) if match else None


def in_si(text: str, measure: Measure) -> float | None:
    """Return a quantity as typed in SI, None where it is none of this measure."""
    from physics.units import Dimension, UnitFault, parse  # most fields never ask

    try:
        return parse(text, Dimension[_DIMENSIONS[measure]])[0]
    except UnitFault:
        return None


def number(text: str) -> Decimal:
    """Return a number as typed."""
    return Decimal(text.replace(",", "."))


def is_number(raw: Raw) -> bool:
    """Return whether a raw value is a bare number."""
    return isinstance(raw, int | float) and not isinstance(raw, bool)


def plain(raw: Raw) -> str:
    """Return any raw value as one line of text, empty for nothing."""
    if raw is None:
        return ""
    return raw if isinstance(raw, str) else clean(str(raw))


_PAIRS_NUMBER = re.compile(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)")
_GAP = "missing"


def pair_shown(job: Job, path: TreePath, pair: Pair) -> str:
    """Return both numbers with their units, empty for the row behind the last pair."""
    words = (
        f"{plain(raw)} {unit}" if is_number(raw) else plain(raw)
        for raw, unit in zip(pair_at(job, path, pair), pair.units, strict=True)
    )
    return "  ".join(word for word in words if word)


def pair_typed(job: Job, path: TreePath, pair: Pair, typed: str) -> Job:
    """Return the job with a pair as typed; nothing typed takes the pair out."""
    if not typed:
        return without_pair(job, path, pair)
    words = typed.replace(": 1", " ").replace("N/mm", " ").replace("mm", " ")
    numbers = re.split(r"[\s:;/]+", words.strip())
    if len(numbers) == 2 and all(_PAIRS_NUMBER.fullmatch(word) for word in numbers):
        first, second = (float(number(word)) for word in numbers)
        return put_pair(job, path, pair, first, second)
    kept = pair_at(job, path, pair)[1]
    return put_pair(job, path, pair, typed, 0.0 if kept is None else kept)


def pair_nudged(job: Job, path: TreePath, pair: Pair, times: int) -> Job | None:
    """Return the job with the second number of a pair moved by steps, None where there is none."""
    first, second = pair_at(job, path, pair)
    if not is_number(first) or not is_number(second):
        return None
    moved = Decimal(repr(second)) + times * Decimal(pair.step)
    return put_pair(job, path, pair, first, float(moved)) if moved >= 0 else None


def pair_at(job: Job, path: TreePath, pair: Pair) -> tuple[Raw | None, Raw | None]:
    """Return the two raw values of a pair."""
    first, second = (job.get((*path[:-2], key, pair.place)) for key in pair.keys)
    return first, second


def put_pair(job: Job, path: TreePath, pair: Pair, first: Raw, second: Raw) -> Job:
    """Return the job with both values of a pair in their arrays; a shorter array is filled up.

    One pair typed says nothing of the others: arrays that nobody has confirmed stay so.
    """
    before = job
    for key, raw in zip(pair.keys, (first, second), strict=True):
        column = _column(job, (*path[:-2], key))
        column += [_GAP] * (pair.place - len(column))
        column[pair.place : pair.place + 1] = [raw]
        job = job.with_value((*path[:-2], key), tuple(column))
    return job.listed_as(before, path[:-2])


def without_pair(job: Job, path: TreePath, pair: Pair) -> Job:
    """Return the job with a pair taken out of both arrays."""
    before = job
    for key in pair.keys:
        job = job.without((*path[:-2], key, pair.place))
    return job.listed_as(before, path[:-2])


def _column(job: Job, path: TreePath) -> list[Raw]:
    column = job.get(path)
    return list(column) if isinstance(column, tuple) else []


_LENGTH = {"mm": "1", "cm": "0.1", "m": "0.01", "in": "0.05"}
_RATE = {
    "N/mm": "1", "lbf/in": "5", "lb/in": "5", "lbs/in": "5", "N/m": "1000", "kgf/mm": "0.1", "kg/mm": "0.1",
}  # fmt: skip
_STEPS: dict[Measure, Mapping[str, str]] = {
    Measure.MASS: {"kg": "1", "lb": "1", "lbs": "1", "g": "10"},
    Measure.TRAVEL: _LENGTH,
    Measure.ALTITUDE: {"m": "50", "ft": "100", "km": "0.05"},
    Measure.FORCE: {"N": "1", "lbf": "0.5", "kgf": "0.1"},
    Measure.SPRING_RATE: _RATE,
    Measure.PRESSURE: {"psi": "1", "bar": "0.1", "kPa": "5", "MPa": "0.01"},
    Measure.VOLUME: {"cm3": "1", "ml": "1", "cc": "1", "in3": "0.1"},
    Measure.TEMPERATURE: {"degC": "1", "°C": "1", "degF": "1", "°F": "1", "K": "1"},
    Measure.ANGLE: {"deg": "0.5", "°": "0.5"},
}


def nudged(job: Job, row: Field, times: int) -> Job | None:
    """Return the job with a value moved by `times` steps.

    None where there is no number to move, or where it would fall below zero without leave to.
    """
    raw = job.get(row.path)
    match row.kind:
        case Pair() as pair:
            return pair_nudged(job, row.path, pair, times)
        case Amount() as amount:
            moved: Raw = _amount(row.usual if raw is None else raw, amount, times)
        case Share():
            moved = _steps_share(row.usual if raw is None else raw, times)
        case Bare(step=step):
            moved = _steps_bare(0 if raw is None and row.usual else raw, Decimal(step), times)
        case _:
            return None
    return None if moved is None else job.with_value(row.path, moved)


def turned(job: Job, row: Field, times: int) -> int | None:
    """Return the option a choice takes next, `times` places on in the round; None for other rows."""
    if not isinstance(row.kind, Choice):
        return None
    chosen = row.kind.chosen(job, row.path)
    return 0 if chosen is None else (chosen + times) % len(row.kind.options)


def _amount(raw: Raw, amount: Amount, times: int) -> Raw | None:
    parts = split(raw)
    if parts is None or not parts[1]:
        return None
    text, unit = parts
    step = amount.steps.get(unit) or _STEPS.get(amount.measure, {}).get(unit, "1")
    moved = _moved(text, Decimal(step), times, signed=amount.signed)
    return None if moved is None else f"{moved} {unit}"


def _steps_share(raw: Raw, times: int) -> Raw | None:
    if is_number(raw):
        moved = Decimal(repr(raw)) + times * Decimal("0.01")
        return float(moved) if 0 <= moved <= 1 else None
    parts = split(raw)
    if parts is None or parts[1] != "%":
        return None
    text = _moved(parts[0], Decimal(1), times, signed=False)
    return None if text is None or number(text) > 100 else f"{text} %"


def _steps_bare(raw: Raw, step: Decimal, times: int) -> Raw | None:
    if not is_number(raw):
        return None
    moved = Decimal(repr(raw)) + times * step
    if not moved.is_finite() or moved < 0:
        return None
    return int(moved) if isinstance(raw, int) and moved == int(moved) else float(moved)


def _moved(text: str, step: Decimal, times: int, *, signed: bool) -> str | None:
    moved = number(text) + times * step
    if moved < 0 and not signed:
        return None
    comma = "," in text
    return f"{moved:f}".replace(".", ",") if comma else f"{moved:f}"


_MM = 1e-3


def whole_of(job: Job, share_of: str) -> float | None:
    """Return the length [m] that a share is of, None where it is not known.

    "stroke" is the shock's, "target" the one that the target sag counts, "read" the one a sag was read on.
    """
    of = share_of
    if share_of in ("target", "read"):
        of = str((job.get(("measured", "of")) if share_of == "read" else None) or job.get(("target", "of")))
    if of == "stroke":
        return in_si(str(job.get(("frame", "stroke")) or ""), Measure.TRAVEL)
    travel = in_si(str(job.get(("frame", "wheel_travel")) or ""), Measure.TRAVEL)
    return _fork_travel(job) if travel is None else travel


def as_kept(job: Job, row: Field, typed: str, unit: str) -> str:
    """Return what is typed in the kind that the file keeps: a share as a length in `unit`, a sag in per cent.

    Anything else is returned as it is.
    """
    parts = split(typed)
    share_of = row.kind.share_of if isinstance(row.kind, Amount | Share) else ""
    whole = whole_of(job, share_of) if share_of and parts is not None and parts[1] else None
    if parts is None or not whole:
        return typed
    if isinstance(row.kind, Amount):
        if parts[1] != "%":
            return typed
        per_unit = in_si(f"1 {unit}", Measure.TRAVEL) or _MM
        return f"{_plain(float(number(parts[0])) / 100 * whole / per_unit, 3)} {unit}"
    length = in_si(typed, Measure.TRAVEL)
    return typed if length is None else f"{_plain(100 * length / whole, 2)} %"


def _plain(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".rstrip("0").rstrip(".")


def _fork_travel(job: Job) -> float | None:
    from physics.faults import Refused  # only a fork's travel is worked out
    from physics.leverage import leverage_curve
    from tui.job.case import frame_of
    from tui.job.reading import look

    try:
        travel = float(leverage_curve(frame_of(look(job)[0])).wheel_travel)
    except (Refused, KeyError, ValueError):
        return None
    return travel if travel > 0 else None


SOLVE = "solve"
NONE = "none"
_SOLVE_WORDS = ("solve", "solved", "=")


def field_text(job: Job, row: Field) -> str:
    """Return the value of a row as it stands in the job, empty where nothing does."""
    if isinstance(row.kind, Pair):
        return pair_shown(job, row.path, row.kind)
    raw = job.get(row.path)
    match row.kind:
        case Choice() as choice:
            chosen = choice.chosen(job, row.path)
            return choice.options[chosen].word if chosen is not None else plain(raw)
        case Share() if is_number(raw):
            return f"{_tidy(Decimal(repr(raw)) * 100)} %"
        case Bare() as bare if is_number(raw):
            return f"{_decimals(raw, bare)} {bare.suffix}".rstrip()
        case Several(unit=unit) if isinstance(raw, tuple):
            return f"{' '.join(plain(item) for item in raw)} {unit}"
        case _:
            return plain(raw)


def typed_into(job: Job, row: Field, text: str, units: ShopUnits) -> Job:
    """Return the job with what was typed into a row; text that cannot be used is kept as it is."""
    typed = clean(text).strip()
    if isinstance(row.kind, Pair):
        return pair_typed(job, row.path, row.kind, typed)
    raw = _raw(row, _kept(job, row, typed, units), job.get(row.path), units)
    return job.taken_out(row.path) if raw is None else job.with_value(row.path, raw)


def _kept(job: Job, row: Field, typed: str, units: ShopUnits) -> str:
    """Return what is typed as the file has it: a share turned into a length, or a length into a share."""
    parts = split(typed)
    if parts is None or not parts[1] or not isinstance(row.kind, Amount | Share) or not row.kind.share_of:
        return typed
    pass  # the first frame has nothing typed

    unit = _unit_of(job.get(row.path), row, Measure.TRAVEL, units)
    return as_kept(job, row, typed, unit)


def _raw(row: Field, typed: str, current: Raw, units: ShopUnits) -> Raw | None:
    if not typed:
        return None
    match row.kind:
        case Amount(solvable=True) if typed.lower() in _SOLVE_WORDS:
            return SOLVE
        case Amount(or_none=True) if typed.lower() == NONE:
            return NONE
        case Amount(measure=measure):
            parts = split(typed)
            if parts is None:
                return typed
            return " ".join((parts[0], parts[1] or _unit_of(current, row, measure, units)))
        case Share() as share:
            return _typed_share(typed, share)
        case Bare() as bare:
            return _typed_bare(typed, bare)
        case Several(unit=unit):
            return _several(typed.removesuffix(unit))
        case _:
            return typed


def unit_taken(job: Job, row: Field, typed: str, units: ShopUnits) -> str:
    """Return the unit that a bare number typed into a row takes, empty where the text is none."""
    parts = split(typed)
    if typed.strip() and (parts is None or parts[1]):
        return ""
    match row.kind:
        case Amount(measure=measure):
            return _unit_of(job.get(row.path), row, measure, units)
        case Share():
            return "%"
        case Bare(suffix=suffix):
            return suffix
        case _:
            return ""


def _unit_of(raw: Raw, row: Field, measure: Measure, units: ShopUnits) -> str:
    """Return the unit of a row's value if it has a sound one, else of its usual value, else the shop's."""
    for text in (raw, row.usual):
        parts = split(text)
        if parts is not None and parts[1] and in_si(text, measure) is not None:
            return parts[1]
    return units.unit(measure)


def _typed_share(typed: str, share: Share) -> Raw:
    parts = split(typed)
    if parts is None or parts[1] not in ("", "%"):
        return typed
    if is_fraction(typed) and not share.small:
        return typed  # as it is typed, which the bench asks about before it is taken
    return f"{parts[0]} %" if share.as_text else float(number(parts[0]) / 100)


def _typed_bare(typed: str, bare: Bare) -> Raw:
    parts = split(typed)
    if parts is None or not bare.suffix.replace(" ", "").startswith(parts[1].replace(" ", "")):
        return typed
    return int(parts[0]) if parts[0].lstrip("+-").isdecimal() else float(number(parts[0]))


def _several(typed: str) -> Raw:
    words = [split(word) for word in typed.replace(";", " ").split()]
    if any(word is None or word[1] for word in words):
        return typed
    return tuple(float(number(word[0])) for word in words if word is not None)


def _decimals(raw: Raw, bare: Bare) -> str:
    value = Decimal(repr(raw))
    if not value.is_finite():
        return str(raw)
    places = max(_places(value), _places(Decimal(bare.step)))
    return f"{value:.{places}f}"


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return max(-exponent, 0) if isinstance(exponent, int) else 0


def _tidy(value: Decimal) -> str:
    return f"{value.normalize():f}" if value.is_finite() else str(value)


def written(found: SetupAnswer, ambient: float, units: ShopUnits) -> str | None:
    """Return the rate or the gauge pressure of a setup in `ambient` [Pa], None where it has none."""
    if found.coil is not None:
        text = units.show(float(found.coil.rate), Measure.SPRING_RATE)
    elif found.air is not None:
        text = units.show(gauge(float(found.air.set_pressure), ambient), Measure.PRESSURE)
    else:
        return None
    return None if text == ABSENT else text
