"""The record panel: whose bike it is, what was measured on it, and how it rode. None of it moves a number."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Bare, Choice, Option, Panel, Row, Words
from tui.jobs.job import Job
from tui.jobs.on_bike import ON_BIKE
from tui.jobs.symptom_words import SYMPTOMS
from tui.shop_units import Measure

_CLICKS = Bare("1", "clicks")


def _word(word: str) -> str:
    return word.replace("-", " ")


_WHOSE = (
    Row(
        "customer",
        ("record", "customer"),
        Words(),
        "Whose bike it is, as the records should find it again: a name, or leave it out and keep to the "
        "ticket.",
    ),
    Row(
        "ticket",
        ("record", "ticket"),
        Words(),
        "The number on the bike's ticket. A name or a ticket is enough for the records.",
    ),
    Row(
        "bike",
        ("record", "bike"),
        Words(),
        "Which bike it is: colour, size, a frame number, whatever tells it from the customer's others.",
    ),
)
_ON_BIKE = Row(
    "on the bike",
    ON_BIKE,
    Choice(()),
    "The setup that was on the bike when this was measured: sag and gauge are held against it.",
    head="measured on the bike",
)
_SAG = Row(
    "sag measured",
    ("measured", "sag"),
    Amount(Measure.TRAVEL, {"mm": "0.5"}, share_of="read"),
    "Rider on board, in riding position: bounce once, sit still, read how far it went in. Do it twice and "
    "take the middle.",
)
_SAG_AT = Row(
    "read at",
    ("measured", "of"),
    Choice((Option("the wheel", "travel"), Option("the shock", "stroke"))),
    "Where that sag was read: straight up at the axle, or by the ring on the shock's shaft.",
)
_GAUGE = Row(
    "gauge",
    ("measured", "gauge"),
    Amount(Measure.PRESSURE),
    "What the gauge shows, bike unloaded. A pump put on again fills its hose and so shows less.",
    caution="Eye protection on, valve away from the face; never above the label's limit.",
)
_SETTINGS = (
    Row(
        "rebound",
        ("measured", "rebound_clicks"),
        _CLICKS,
        "Clicks from fully closed: turn it in gently until it stops, count on the way back. Never force it "
        "past the stop.",
    ),
    Row(
        "compression",
        ("measured", "compression_clicks"),
        _CLICKS,
        "Clicks from fully closed, counted like the rebound's. Where there are two knobs, the low-speed one.",
    ),
    Row(
        "tyre",
        ("measured", "tyre"),
        Amount(Measure.PRESSURE, {"psi": "0.5", "bar": "0.05"}),
        "Pressure of this wheel's tyre, cold: it is a spring of its own and part of how the bike feels.",
        caution="Never above the limit on the tyre or the rim, whichever is lower.",
    ),
    Row(
        "scale",
        ("measured", "scale"),
        Amount(Measure.MASS, {"kg": "0.1", "lb": "0.2", "lbs": "0.2"}),
        "What a scale under this wheel shows, the other wheel as high, rider on board in riding position "
        "and still. Have someone hold the bar.",
    ),
)
_SYMPTOM = Row(
    "it rode",
    ("ridden", "symptom"),
    Choice(
        (
            Option("nothing said"),
            *(Option(_word(said.word), said.word) for said in SYMPTOMS.values()),
        ),
        absent=0,
    ),
    "What the rider noticed. A says what to change for it, and takes several: Space ticks them there.",
    head="how it rode",
)
_SAID = Row(
    "rider's words",
    ("ridden", "words"),
    Words(),
    "What the rider said, as they said it: where, at what speed, which end.",
)


def record_panel(job: Job) -> Panel:
    """Return the record panel of one wheel: the customer and the ride are those of the whole bike."""
    measured = (*_on_bike(job), _SAG, _sag_at(job), _GAUGE, *_SETTINGS)
    return Panel("record", (*_WHOSE, *measured, _symptom(job), _SAID))


def _on_bike(job: Job) -> tuple[Row, ...]:
    """Return the choice of a setup; nothing where none has a name to go by."""
    names = [name for setup in job.setups if isinstance(name := setup.get("name"), str)]
    options = tuple(Option(name, name) for name in dict.fromkeys(names))
    return (_ON_BIKE._replace(kind=Choice(options, absent=0)),) if options else ()


def _symptom(job: Job) -> Row:
    """Return how it rode; several symptoms are one more way to choose, which the next one takes away."""
    raw, kind = job.get(_SYMPTOM.path), _SYMPTOM.kind
    assert isinstance(kind, Choice)
    if not isinstance(raw, tuple) or not all(isinstance(word, str) for word in raw):
        return _SYMPTOM
    several = Option(", ".join(map(_word, raw)), raw)
    return _SYMPTOM._replace(kind=kind._replace(options=(*kind.options, several)))


def _sag_at(job: Job) -> Row:
    """Return how the sag was read; as the target counts it where the file says nothing."""
    ways = _SAG_AT.kind
    assert isinstance(ways, Choice)
    by_shock = job.get(("target", "of")) == "stroke"
    return _SAG_AT._replace(kind=ways._replace(absent=1 if by_shock else 0))
