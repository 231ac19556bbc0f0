"""Cautions and states in words, with the values a caution stands on that nobody has typed or confirmed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from physics.answer import Answer
from physics.faults import Caution
from tui.job.fields import SETUP
from tui.job.job import listed
from tui.job.tree import Raw, brief
from tui.job.wheels import spoken
from tui.shop_units import Measure, ShopUnits, gauge

_NAMES = {"total_coils": "total coils", "active_coils": "active coils", "port": "port"}
"""Names in a sentence that are not the labels of the fields."""
_LABELS = {key: field.full_label for fields in SETUP.values() for key, field in fields.items()}
_WIRE = ("wire_diameter", "total_coils", "active_coils")
_STANDS_ON: Mapping[str, tuple[str, ...]] = {
    "rated_stroke": ("rated_stroke",),
    "coil_bind": ("free_length", "solid_length", *_WIRE),
    "preload_turns": ("max_preload_turns",),
    "buckling": ("free_length",),
    **dict.fromkeys(("wire_stress", "wire_not_set", "wire_rate", "surge"), _WIRE),
    **dict.fromkeys(("over_label", "negative_over_label", "single_fill_over_label"), ("max_pressure",)),
    "bumper_at_sag": ("bumper_length",),
    "never_holds": ("port", "positive_volume", "negative_volume"),
}
"""By the code of a caution the keys of a setup whose values it stands on."""


def doubt_text(code: str, typed: Mapping[str, Raw]) -> str:
    """Say which values of a setup, as typed, a caution stands on that nobody has confirmed."""
    doubted = listed(typed)
    keys = [key for key in _STANDS_ON.get(code, ()) if key in doubted and key in typed]
    if not keys:
        return ""
    told = ", ".join(f"{_NAMES.get(key) or _LABELS[key]} {brief(str(typed[key]))}" for key in keys)
    return f"Unverified: {told}."


def only_where_text(limit: float | None, typed: Mapping[str, Raw], once: str) -> str:
    """Say where alone one may pump to `once`, with no `limit` or one that nobody has read off the label.

    Empty where the limit was typed.
    """
    is_typed = limit is not None and "max_pressure" not in listed(typed)
    return "" if is_typed else f"only where the label allows {once}"


def limit_text(typed: Mapping[str, Raw], limit: str) -> str:
    """Say what a limit for pumping is worth that nobody has read off the label; empty where it was typed."""
    told = f"The limit of {limit} is unverified: read the shock's label before pumping, and stay below it."
    return told if "max_pressure" in listed(typed) else ""


def solved_text(typed: Raw | None) -> str:
    """Say how a rate or a pressure came about, as it is `typed` in the job."""
    return "solved for the target" if typed == "solve" else "as typed"


NOTHING_TYPED: Mapping[str, Raw] = MappingProxyType({})

STATES = {
    "ok": "settles at its sag",
    "topped_out": "tops out under the rider: too stiff, the wheel stays at full extension",
    "bottomed_out": "on the stop under the rider: too soft, the travel is used up",
    "unsolved": "no rate or pressure reaches the target sag",
}
"""What each state of a setup means."""

_SENTENCES = {
    "closure": "Wheel travel, stroke and leverage disagree by {closure_error}; the ratios were scaled to fit "
        "the stroke. Check the three against the frame.",
    "pairs_stop_short": "The measured pairs end at {measured} of {wheel_travel} wheel travel; the curve "
        "beyond is a guess. Measure to the end.",
    "eyes_differ": "The eye-to-eye typed is {typed}, the drawing has its eyes {drawn} apart: check the "
        "points and the known length against the shock.",
    "odd_pair": "Pair {pair}, at {at} of wheel travel, does not go with the others: they put its stroke at "
        "{by_others}, not {typed_stroke}. Spring out, read it again.",
    "topped_out": "The rider does not move this shock off its top-out: too stiff, so there is no sag to "
        "read.",
    "bottomed_out": "The rider's weight alone uses up the travel: too soft, so there is no sag to read.",
    "unsolved": "No setting of this spring reaches the target sag: change the target, the spring or its "
        "chambers.",
    "target_missed": "Asked for {asked} of sag, it settles at {found}: the wheel finds another place to rest "
        "before the target.",
    "falling_force": "Past sag the wheel force falls again at {wheel} of travel, and the bike drops through: "
        "the leverage ratio rises faster there than the spring. Check it; less preload or more spacers "
        "lessen it.",
    "bumper_at_sag": "The rider already sits on the bottom-out bumper of {length}: check its length and the "
        "spring.",
    "preloaded_coil": "A coil on its shock is held squeezed, here by {preload}: wind the collar off before "
        "taking the spring off, wear eye protection, follow the maker's manual, and leave what is in doubt "
        "to a qualified technician.",
    "no_preload": "No preload: the coil must not rattle at full extension. Wind the collar until it is snug, "
        "as the maker's manual says.",
    "coil_bind": "Coil bind: the spring is solid after {room}, before the stroke of {stroke} is used: do not "
        "fit it.",
    "rated_stroke": "The spring is rated for {rated} of stroke; this shock with its preload asks for "
        "{needed}. Choose a longer spring.",
    "preload_turns": "{turns} of preload is more than the maker's {most}: choose a stiffer spring and less "
        "preload.",
    "wire_stress": "At full stroke this wire carries {stress}, more than the {allowed} a handbook allows "
        "even a coil that its maker has set: it may settle or break. Check the measures, ask the maker, do "
        "not ride it in doubt.",
    "wire_not_set": "At full stroke this wire carries {stress}: above {allowed} only a coil that its maker "
        "has set keeps its length. Ask the maker, and watch the free length over the season.",
    "wire_rate": "By its wire this coil makes {wire_rate}, give or take {band}, not {rate}: count the coils "
        "and measure the wire again, or put the rate of the wire in.",
    "buckling": "A coil of {free_length} free length is long for its diameter: from {longest} on it may bow "
        "out and rub on the shock. Look for marks.",
    "surge": "The coil swings by itself at {surge}, below {least}, fifteen times the wheel on its spring: it "
        "may ring over fast bumps. A lighter coil swings faster.",
    "port_past_sag": "The port at {port} lies past sag at {sag_stroke} of stroke: the chambers meet on every "
        "stroke out of sag, and the riding figures past the port read a little too high.",
    "pressurised": "Never pump above the limit on the shock's label. Wear eye protection, let all air out "
        "before opening. A shock that stays short after that may hold trapped pressure: leave it to a "
        "qualified technician.",
    "no_pressure": "No pressure up to {highest} holds this load at the target: the bore is too small for it, "
        "or the negative chamber pulls too hard.",
    "beyond_pumps": "{pressure} is beyond common shock pumps and labels: check bore, volumes and sag before "
        "pumping. The label has the last word.",
    "over_label": "{pressure} is above the label's limit of {limit}: do not pump it that high.",
    "negative_over_label": "The negative chamber's {pressure} is above the label's limit of {limit}: do not "
        "pump it that high.",
    "single_fill_over_label": "Filling in one go would take {pressure}, above the label's limit of {limit}: "
        "fill in rounds instead.",
    "never_holds": "After {rounds} rounds of pumping and cycling it still reads only {reading}: check port "
        "and volumes.",
    "drawn_in": "Unloaded it rests {rest_stroke} into its stroke, where the gauge reads {rest_pressure}: "
        "that is the negative spring, not trapped pressure.",
    "gas_range": "At {pressure} and {temperature} the law for air is beyond the range it was checked on: "
        "take the ends of the stroke as a rough guide.",
    "sag_gas_range": "At the sag point the air is already at {pressure}, beyond what the law for air was "
        "checked on: take pressure and sag themselves as a rough guide.",
    "gas_not_typed": "No damper gas is typed. A usual charge, {charge} on a {rod} rod (rule of thumb), "
        "pushes {push}, {share} of the shaft force at sag: a solved rate or pressure is too stiff by about "
        'that share. Type the charge, or "none".',
    "bumper_not_typed": "No bottom-out bumper is typed. A usual one, {length} long, {push} when squeezed "
        'flat (rule of thumb), adds {share} to the force at full stroke. Type it, or "none".',
    "legs_not_typed": "No lower-leg air is typed. A usual volume, two legs of {volume} on {stanchion} "
        "stanchions (rule of thumb), adds {push} at full travel, {share} of the force told there. Type it, "
        'or "none".',
}  # fmt: skip

_MEASURES = {
    name: measure
    for measure, names in (
        (Measure.FRACTION, ("closure_error", "asked", "found", "share", "band")),
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
"""What the values of cautions measure; those not named are lengths."""


def caution_text(
    caution: Caution,
    units: ShopUnits,
    ambient: float,
    fork: bool = False,
    typed: Mapping[str, Raw] = NOTHING_TYPED,
) -> str:
    """Return the sentence of a caution, on a `fork` in its words.

    `ambient` [Pa] turns its pressures into gauge readings. `typed` is the setup as it stands in the job: the
    sentence names what it stands on that nobody has confirmed.
    """
    sentence = _SENTENCES.get(caution.code)
    if sentence is None:
        return f"{caution.code.replace('_', ' ').capitalize()}."
    values = {name: _shown(name, value, units, ambient) for name, value in caution.values.items()}
    said = spoken(sentence.format_map(values), fork)
    doubt = doubt_text(caution.code, typed)
    return f"{said} {doubt}" if doubt else said


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
    """Say what a posture stands for in place of a share typed."""
    return f"Rider {posture}: the share on this wheel is common practice, no source; a scale knows better"
