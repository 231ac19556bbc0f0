"""Looks and answers the chart tests share. Invented data."""

from __future__ import annotations

from dataclasses import replace

import pytest

from physics.answer import Answer
from physics.bench import answer
from physics.case import Air, Coil, Setup
from tests.physics.test_bench import CASE
from tui.kit.look import ASCII, UTF8, ChartLook
from tui.themes import find_themes


@pytest.fixture(scope="session")
def two() -> Answer:
    return answer(CASE)


@pytest.fixture(scope="session")
def six() -> Answer:
    coil, air = CASE.setups
    assert isinstance(air.spring, Air)
    assert isinstance(coil.spring, Coil)
    more = [Setup(f"air {count}", replace(air.spring, positive_spacers=count)) for count in (0, 2, 3)]
    typed = Setup("typed", replace(coil.spring, rate=95e3))
    return answer(replace(CASE, setups=(coil, air, *more, typed)))


@pytest.fixture(scope="session")
def look() -> ChartLook:
    return find_themes().themes["dark"].chart(UTF8)


@pytest.fixture(scope="session")
def ascii_look() -> ChartLook:
    return find_themes().themes["plain"].chart(ASCII)
