"""A front end speaks of a fork: no text about it says shock, shaft or stroke."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest

from physics.faults import Caution
from tests.tui.job.test_figures import LONGEST_LABEL, LONGEST_MEANING
from tests.tui.looks import LOOK
from tests.tui.screens import page_paragraphs
from tests.tui.sheet.sheets import sheet
from tui.bench.grid import LABEL
from tui.bench.state import open_bench, select_setup, with_answer
from tui.bench.views.pane import views
from tui.charts.series import chart_data
from tui.charts.views import ChartView
from tui.job.answer import answer_job
from tui.job.cautions import _SENTENCES, caution_text
from tui.job.demo import demo_job
from tui.job.fields import Choice
from tui.job.figures import every_figure, figures_for
from tui.job.job import History, Job
from tui.job.panels import panels
from tui.job.wheels import is_fork, spoken, wheel_job
from tui.sheet.text import plain
from tui.shop_units import USUAL
from tui.subjects import ordering, pumping
from tui.subjects.report import report

_OF_A_SHOCK = re.compile(r"\b(shocks?|shafts?|strokes?)\b", re.IGNORECASE)
_KEPT = re.compile(
    r"shock pumps|air shaft|rated stroke|stroke printed|mid-stroke|(?:fast|slow) strokes?", re.IGNORECASE
)


def front(*, coil: bool = False) -> Job:
    """Return the demo's fork alone, with a coil in it too where asked."""
    job = wheel_job(demo_job(), "front")
    if not coil:
        return job
    spring = {"name": "sprung", "kind": "coil", "rate": "solve", "preload": "3 mm", "friction": "10 N"}
    return job.with_value(("setup",), (*job.tree["setup"], spring))


def of_a_shock(text: str) -> list[str]:
    """Return the words of a shock that stand in a text."""
    return _OF_A_SHOCK.findall(_KEPT.sub("", text))


@pytest.mark.parametrize(
    ("said", "of_fork"),
    [
        ("sag at shock", "sag at fork"),
        ("of stroke", "of fork travel"),
        ("Shaft force", "Fork force"),
        ("The O-ring on the shaft", "The O-ring on the stanchion"),
        ("Stroke at which they meet", "Fork travel at which they meet"),
        ("over the shock's stroke", "over the fork travel"),
        ("common shock pumps", "common shock pumps"),
        ("the air shaft seals", "the air shaft seals"),
        ("the fast stroke", "the fast stroke"),
        ("mid-stroke support", "mid-stroke support"),
        ("at full stroke", "at full travel"),
        ("a shock or fork is opened", "a fork is opened"),
    ],
)
def test_a_fork_has_its_own_words(said: str, of_fork: str) -> None:
    assert spoken(said, True) == of_fork
    assert spoken(said, False) == said


def test_the_kind_of_leverage_decides() -> None:
    assert not is_fork(demo_job())
    assert is_fork(front())
    assert not answer_job(demo_job()).answer.frame.fork
    assert answer_job(front()).answer.frame.fork


def test_figures_of_a_fork_still_fit_the_smallest_screen() -> None:
    found = every_figure(fork=True)
    for figure in found:
        assert len(figure.label) <= LONGEST_LABEL, figure.label
        assert len(figure.meaning) <= LONGEST_MEANING, (len(figure.meaning), figure.meaning)
    assert len({figure.label[:13] for figure in found}) == len(found)


def test_labels_of_a_fork_fit_beside_their_values() -> None:
    labels = [row.label for panel in panels(front(coil=True), "front") for row in panel.rows]
    assert [label for label in labels if len(label) > LABEL] == []


def _panels() -> Iterator[str]:
    for panel in panels(front(coil=True), "front"):
        for row in panel.rows:
            yield from (row.label, row.meaning, row.caution, row.usual, row.head)
            if isinstance(row.kind, Choice):
                yield from (option.word for option in row.kind.options)


def _figures() -> Iterator[str]:
    found = answer_job(front(coil=True)).answer
    for figure in figures_for(found.setups, found.frame.fork):
        yield from (figure.label, figure.meaning)


def _charts() -> Iterator[str]:
    found = answer_job(front(coil=True)).answer
    for view in ChartView:
        chart = chart_data(found, view)
        yield from (chart.title, chart.x.label, chart.y.label)


def _cautions() -> Iterator[str]:
    for code, sentence in _SENTENCES.items():
        if code not in (
            "eyes_differ",
            "odd_pair",
            "pair_beyond",
        ):  # of a linkage or of measured pairs, which no fork has
            values = dict.fromkeys(re.findall(r"{(\w+)}", sentence), 1.0)
            yield caution_text(Caution(code, values), USUAL, 1e5, True)


def _pages() -> Iterator[str]:
    found = answer_job(front(coil=True), spacers=True)
    for index in range(len(found.answer.setups)):
        for told in (pumping.document(found.answer, index, USUAL), ordering.document(found, index, USUAL)):
            yield from (part.text for part in page_paragraphs(told))


def _views() -> Iterator[str]:
    job = front(coil=True)
    for setup in range(len(job.setups)):
        state = select_setup(with_answer(open_bench(History.starting_at(job))), setup)
        for name, view in views().items():
            if name not in (
                "pairs",
                "readings",
                "wants",
            ):  # of a frame, of a file's columns, of what is typed
                for row in view.draw(state, 80, LOOK):
                    yield "".join(cell for cell, _ in row)


def _sheet() -> Iterator[str]:
    yield from plain(sheet(front(coil=True))).splitlines()


def _report() -> Iterator[str]:
    yield from report(answer_job(front(coil=True))).splitlines()


@pytest.mark.fast_cases(3)
@pytest.mark.parametrize("told", [_panels, _figures, _charts, _cautions, _pages, _views, _sheet, _report])
def test_nothing_about_a_fork_speaks_of_a_shock(told: Callable[[], Iterator[str]]) -> None:
    texts = list(told())
    assert sum(map(bool, texts)) > 5
    assert [text for text in texts if of_a_shock(text)] == []


def test_a_rear_wheel_keeps_the_words_of_a_shock() -> None:
    told = report(answer_job(demo_job()))
    rear, of_fork = told.split("Front wheel")
    assert "Sag at the shock:" in rear
    assert "Sag at the fork:" in of_fork
    assert "shock" not in of_fork.split("Front and rear")[0]


def test_a_name_that_a_person_gave_stays_as_it_is() -> None:
    job = front().with_value(("setup", 0, "name"), "shock shaft stroke")
    found = answer_job(job).answer
    assert chart_data(found, ChartView.CHAMBERS).title.endswith("shock shaft stroke")
    assert "shock shaft stroke" in report(answer_job(job))
    assert any(panel.title == "shock shaft stroke" for panel in panels(job))
