"""Cautions and states in words, including the unverified values that a caution is based on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from physics.answer import Answer
from physics.faults import NOT_TO_BE_FITTED, Caution
from tui.job.fields import SETUP
from tui.job.figures import is_estimated, peak_text
from tui.job.job import listed
from tui.job.tree import Raw, brief
from tui.job.typed import SOLVE
from tui.job.wheels import spoken
from tui.shop_units import Measure, ShopUnits, gauge

_NAMES = {"total_coils": "total coils", "active_coils": "active coils", "port": "port"}
"""Names for sentences that differ from the labels of the fields."""
_LABELS = {key: field.full_label for fields in SETUP.values() for key, field in fields.items()}
_WIRE = ("wire_diameter", "total_coils", "active_coils")
_STANDS_ON: Mapping[str, tuple[str, ...]] = {
    "rated_stroke": ("rated_stroke",),
    "coil_bind": ("free_length", "solid_length", *_WIRE),
    "too_long_for_shock": ("free_length",),
    "preload_turns": ("max_preload_turns",),
    "buckling": ("free_length",),
    **dict.fromkeys(("wire_stress", "wire_not_set", "wire_rate", "surge"), _WIRE),
    **dict.fromkeys(("over_label", "negative_over_label", "single_fill_over_label"), ("max_pressure",)),
    "bumper_at_sag": ("bumper_length",),
    "never_holds": ("port", "positive_volume", "negative_volume"),
}
"""Keys of a setup that a caution is based on, by its code."""


def doubt_text(code: str, typed: Mapping[str, Raw]) -> str:
    """Return the unverified values of a setup that a caution is based on, in words."""
    doubted = listed(typed)
    keys = [key for key in _STANDS_ON.get(code, ()) if key in doubted and key in typed]
    if not keys:
        return ""
    told = ", ".join(f"{_NAMES.get(key) or _LABELS[key]} {brief(str(typed[key]))}" for key in keys)
    return f"Unverified: {told}."


def only_where_text(limit: float | None, typed: Mapping[str, Raw], once: str) -> str:
    """Return the condition for pumping to `once` if there is no `limit` or it is not read off the label.

    Empty if the limit was typed.
    """
    is_typed = limit is not None and "max_pressure" not in listed(typed)
    return "" if is_typed else f"only where the label allows {once}"


def limit_text(typed: Mapping[str, Raw], limit: str) -> str:
    """Return a warning that a pumping limit was not read off the label, empty if it was typed."""
    told = f"Max pressure {limit} is unverified: read the shock's label before pumping and stay below it."
    return told if "max_pressure" in listed(typed) else ""


def solved_text(typed: Raw | None) -> str:
    """Return the origin of a rate or pressure in words, given its value in the job."""
    return "solved for the target" if typed == SOLVE else "as typed"


NOTHING_TYPED: Mapping[str, Raw] = MappingProxyType({})

_BEYOND_ESTIMATE = (
    "The peak is over {}, far outside the tested range of the air model: figures at full travel are not "
    "shown."
)

_SENTENCES = {
    "closure": "Wheel travel, stroke and leverage disagree by {closure_error}; the ratios were scaled to fit "
        "the stroke. Check the three against the frame.",
    "pairs_stop_short": "The measured pairs end at {measured} of {wheel_travel} wheel travel; the curve "
        "beyond is a guess. Measure to full travel.",
    "pair_beyond": "Pair {pair}, {at} travel and {typed_stroke} stroke, is beyond the frame's {wheel_travel} "
        "travel or {stroke} stroke: impossible. Measure it again, or correct the frame.",
    "eyes_differ": "Eye-to-eye entered {typed}, drawn {drawn}: check points and known length against the "
        "shock.",
    "odd_pair": "Pair {pair} at {at} wheel travel does not fit the others: they give {by_others} stroke, not "
        "{typed_stroke}. Spring out, measure again.",
    "topped_out": "The rider does not move it off top-out: too stiff, no sag.",
    "bottomed_out": "The rider's weight alone bottoms it out: too soft, no sag.",
    "unsolved": "No setting of this spring reaches the target sag: change the target, the spring or its "
        "chambers.",
    "target_missed": "Target sag {asked}, but it comes to rest at {found}: the force curve has an earlier "
        "balance point.",
    "falling_force": "Wheel force drops again at {wheel} of travel: the bike falls through there, because "
        "the leverage ratio rises faster than the spring force. Check it; less preload or more spacers "
        "lessen "
        "it.",
    "bumper_at_sag": "The bottom-out bumper of {length} touches at sag: check its length and the spring.",
    "preloaded_coil": "The coil is under preload ({preload}): back the collar off before removing the "
        "spring, wear eye protection, follow the maker's manual; in doubt, a qualified technician.",
    "no_preload": "No preload: the coil must not rattle at full extension. Turn the collar until snug, as "
        "the maker's manual says.",
    "coil_bind": "Coil bind: the spring goes solid at {room}, before the full stroke of {stroke}. Do not fit "
        "it.",
    "rated_stroke": "The spring is rated for {rated} stroke; this shock with its preload needs {needed}. Fit "
        "a longer spring.",
    "preload_turns": "{turns} of preload, maker's maximum {most}: fit a stiffer spring with less preload.",
    "too_long_for_shock": "The coil is {length} long with its preload, the shock {eyes} eye to eye: it does "
        "not go on. Check both lengths; do not fit it.",
    "wire_stress": "Stress at full stroke {stress}, above the handbook limit of {allowed} for a pre-set "
        "coil: it may take a set or break. Check the measurements, ask the maker; in doubt do not ride it.",
    "wire_not_set": "Stress at full stroke {stress}: above {allowed} only a pre-set coil keeps its length. "
        "Ask the maker; check the free length during the season.",
    "wire_rate": "Wire measurements give {wire_rate} (± {band}), not {rate}: recount coils and re-measure "
        "the wire, or type the wire's rate.",
    "buckling": "Free length {free_length} is long for its diameter: above {longest} it may buckle and rub "
        "on the shock. Look for marks.",
    "surge": "Coil surge frequency {surge} is below {least} (15 x the wheel's natural frequency): it may "
        "ring over fast bumps. A lighter coil is higher.",
    "port_past_sag": "The port at {port} is past sag at {sag_stroke} stroke: the chambers equalise on every "
        "stroke from sag, and the riding figures past the port read a little too high.",
    "pressurised": "Never pump above the max pressure on the shock's label. Wear eye protection, let all air "
        "out before opening. A shock that stays compressed after that may hold trapped pressure: leave it "
        "to a "
        "qualified technician.",
    "no_pressure": "No pressure up to {highest} holds this load at the target sag: the bore is too small, or "
        "the negative spring too strong.",
    "beyond_pumps": "{pressure} is above usual shock pumps and labels: check bore, volumes and sag first. "
        "The label has the last word.",
    "over_label": "{pressure} is above the max pressure of {limit}: do not pump that high.",
    "negative_over_label": "The negative chamber's {pressure} is above the max pressure of {limit}: do not "
        "pump that high.",
    "single_fill_over_label": "Filling in one go would take {pressure}, above the max pressure of {limit}: "
        "fill in rounds.",
    "never_holds": "After {rounds} rounds it still reads only {reading}: check port and volumes.",
    "drawn_in": "Unloaded it sits {rest_stroke} into the stroke, gauge {rest_pressure}: the negative spring "
        "pulls it in; not trapped pressure.",
    "gas_range": "{pressure} and {temperature} are outside the tested range of the air model: results near "
        "bottom-out are rough.",
    "sag_gas_range": "Pressure at sag is {pressure}, outside the tested range of the air model: pressure and "
        "sag are rough.",
    "gas_not_typed": "No damper gas entered. A usual charge, {charge} on a {rod} rod (rule of thumb), "
        "pushes {push}, {share} of the shaft force at sag: {gas_effect}. Type the charge, or none.",
    "bumper_not_typed": "No bottom-out bumper entered. A usual one, {length} long, {push} fully "
        'compressed (rule of thumb), adds {share} to the slow force at full stroke, {fast_share} to that in '
        "a hard hit. Type it, or none.",
    "legs_not_typed": "No lower-leg air entered. A usual volume, two legs of {volume} on {stanchion} "
        "stanchions (rule of thumb), adds {push} at full travel, {share} of the slow force there. Type it, "
        "or none.",
}  # fmt: skip

_ALIKE = {
    "coil_bind": ("room", "stroke", "Coil bind: the spring goes solid at the full stroke of {stroke}, no "
        "clearance. Do not fit it."),
    "rated_stroke": ("rated", "needed", "The spring is rated for {rated} stroke; this shock with its preload "
        "needs slightly more. Fit a longer spring."),
    "preload_turns": ("turns", "most", "Preload is slightly above the maker's maximum of {most}: fit a "
        "stiffer spring with less preload."),
    "too_long_for_shock": ("length", "eyes", "The coil with its preload is slightly longer than the shock, "
        "{eyes} eye to eye: it does not go on. Check both lengths; do not fit it."),
    "bumper_not_typed": ("share", "fast_share", "No bottom-out bumper entered. A usual one, {length} long, "
        "{push} fully compressed (rule of thumb), adds {share} to the force at full stroke. Type it, or "
        "none."),
}  # fmt: skip
"""The sentences where two values that differ are shown by the same digits, with the names of the two."""
_REASONS = {
    "coil_bind": "coil bind at {room} of the {stroke} stroke",
    "rated_stroke": "rated for {rated} stroke, needs {needed}",
    "preload_turns": "{turns} of preload, maximum {most}",
    "too_long_for_shock": "{length} long, the shock {eyes} eye to eye",
}
_REASONS_ALIKE = {
    "coil_bind": "coil bind at full stroke, no clearance",
    "rated_stroke": "rated for {rated} stroke, needs slightly more",
    "preload_turns": "preload slightly above the maximum of {most}",
    "too_long_for_shock": "slightly longer than the shock, {eyes} eye to eye",
}
_GAS_EFFECT = {
    "": "a solved rate or pressure is too stiff by about that share",
    "rate": "the solved rate is too stiff by about that share",
    "pressure": "the solved pressure is too high by about that share",
    "typed": "with it the sag is less than calculated here",
}
"""What a missing damper charge does to a solved setup, and to one with its rate or pressure as typed."""

_MEASURES = {
    name: measure
    for measure, names in (
        (Measure.FRACTION, ("closure_error", "asked", "found", "share", "fast_share", "band")),
        (Measure.TURNS, ("turns", "most")),
        (Measure.COUNT, ("rounds", "pair")),
        (Measure.FORCE, ("push",)),
        (Measure.VOLUME, ("volume",)),
        (Measure.STRESS, ("stress", "allowed")),
        (Measure.SPRING_RATE, ("wire_rate", "rate")),
        (Measure.SURGE, ("surge", "least")),
        (Measure.TEMPERATURE, ("temperature",)),
        (Measure.PRESSURE, ("pressure", "highest", "charge", "limit", "reading", "rest_pressure")),
    )
    for name in names
}
"""Measures of the values of cautions; others are lengths."""


def caution_text(
    caution: Caution,
    units: ShopUnits,
    ambient: float,
    fork: bool = False,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> str:
    """Return the sentence of a caution, in terms of a `fork` if it is one.

    `ambient` [Pa] is subtracted for gauge readings. `typed` is the setup in the job, for naming the
    unverified values that the caution is based on.
    """
    sentence = _SENTENCES.get(caution.code)
    if sentence is None:
        return f"{caution.code.replace('_', ' ').capitalize()}."
    if caution.code == "gas_range" and not is_estimated(peak := caution.values["pressure"]):
        over = f"{peak_text(gauge(peak, ambient), ambient, units)} {units.unit(Measure.PRESSURE)}"
        return _BEYOND_ESTIMATE.format(over.removeprefix(">"))
    values = {name: _shown(name, value, units, ambient) for name, value in caution.values.items()}
    if caution.code in _ALIKE and _looks_alike(caution.code, values):
        sentence = _ALIKE[caution.code][2]
    said = spoken(sentence.format_map({**values, "gas_effect": _GAS_EFFECT[_solved(typed)]}), fork)
    doubt = doubt_text(caution.code, typed)
    return f"{said} {doubt}" if doubt else said


def reason_text(cautions: Iterable[Caution], units: ShopUnits) -> str:
    """Return in a few words the first reason not to fit a coil, empty if none of its cautions forbids it."""
    for caution in cautions:
        if caution.code in NOT_TO_BE_FITTED:
            values = {name: _shown(name, value, units, 0.0) for name, value in caution.values.items()}
            alike = _looks_alike(caution.code, values)
            return (_REASONS_ALIKE if alike else _REASONS)[caution.code].format_map(values)
    return ""


def _looks_alike(code: str, shown: Mapping[str, str]) -> bool:
    one, other, _ = _ALIKE[code]
    return shown[one] == shown[other]


def _solved(typed: Mapping[str, Raw]) -> str:
    """Return which key of a setup is solved, "typed" if none is, empty without a setup."""
    solved = (key for key in ("rate", "pressure") if typed.get(key) == SOLVE)
    return next(solved, "typed" if typed else "")


def caution_texts(
    cautions: Iterable[Caution], answer: Answer, units: ShopUnits, typed: Mapping[str, Raw] = NOTHING_TYPED
) -> list[str]:
    """Return the sentences of cautions of an answer; `typed` is the setup they are about, as in the job."""
    outside, fork = float(answer.shop.pressure), answer.frame.fork
    return [caution_text(caution, units, outside, fork, typed) for caution in cautions]


def _shown(name: str, value: float, units: ShopUnits, ambient: float) -> str:
    measure = _MEASURES.get(name, Measure.TRAVEL)
    return units.show(gauge(value, ambient) if measure is Measure.PRESSURE else value, measure)


def posture_text(posture: str) -> str:
    """Return the meaning of a posture, which replaces a typed rider share."""
    return f"Rider {posture}: weight split is a rule of thumb; a scale is better"
