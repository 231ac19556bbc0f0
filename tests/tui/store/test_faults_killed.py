"""Sessions killed while they save: what was acknowledged is there, and nothing is half there."""

from __future__ import annotations

import signal
import time
from contextlib import closing
from itertools import count
from random import Random
from typing import Any

import pytest

from tests.tui.store.sessions import Session
from tests.tui.store.soundness import assert_kept, assert_whole
from tests.tui.store.work import die_while_saving, job_of, keep_saving
from tui.store.address import StoreAddress
from tui.store.opening import open_store
from tui.store.store import Store

KILLS = 200
LOOKED_AT = 10
"""After so many kills the records are looked at; between them a session opens what the killed one left."""


def _save_and_be_killed(place: StoreAddress, name: str) -> list[tuple[Any, ...]]:
    """Kill a session after some saves, in the next one or soon after it; return what it told.

    How long a save takes on this machine is told by the one before.
    """
    random = Random(name)
    session = Session(keep_saving, place, name)
    told = [session.hear(), session.hear()]
    took = 0.0
    for _ in range(random.randrange(4)):
        began = time.perf_counter()
        told.append(session.hear())
        took = time.perf_counter() - began
        told.append(session.hear())
    time.sleep(random.uniform(0, 1.5 * took))
    told += session.kill()
    assert session.exit_code == -signal.SIGKILL
    return told


@pytest.mark.slow
def test_what_was_acknowledged_outlives_two_hundred_kills(place: StoreAddress) -> None:
    acknowledged: list[tuple[Any, ...]] = []
    looked_at, cut_off = 0, list[str]()
    for kill in range(KILLS):
        told = _save_and_be_killed(place, f"k{kill}")
        assert told[0] == ("open", "", False), "it is opened as if nothing had happened"
        acknowledged += [line for line in told if line[0] == "saved"]
        cut_off += [line[1] for line in told[-1:] if line[0] == "begun"]
        if kill % LOOKED_AT == LOOKED_AT - 1:
            with closing(open_store(place)) as store:
                assert_kept(store, acknowledged[looked_at:])
            looked_at = len(acknowledged)
    with closing(open_store(place)) as store:
        assert store.told == ""
        notes = assert_whole(store)
        assert_kept(store, acknowledged)
    assert set(notes) == {line[1] for line in acknowledged} | (set(cut_off) & set(notes))
    assert set(notes.values()) == {1}
    assert cut_off, "nobody was killed inside a save"
    if place.file is not None:
        assert not list(place.file.parent.glob("*damaged*"))


@pytest.mark.slow
@pytest.mark.parametrize("goes_on", [False, True])
def test_a_save_is_whole_or_not_there_wherever_it_is_cut_off(place: StoreAddress, goes_on: bool) -> None:
    with closing(open_store(place)) as store:
        entry = store.save(job_of("first"), "Mo", note="first").entry
    arrived = set()
    for moment in count():
        note = f"m{moment}"
        told = Session(die_while_saving, place, note, moment, entry if goes_on else None).rest()
        with closing(open_store(place)) as store:
            assert store.told == ""
            notes = assert_whole(store)
        assert notes.pop("first") == 1
        assert note in notes or ("saved" not in {line[0] for line in told})
        arrived.add(note in notes)
        if ("through",) in told:
            break
    assert moment > 15
    assert arrived == {True, False}


def test_a_store_that_stays_open_sees_others_die(store: Store) -> None:
    """The file is not checked anew for it, and what the dead one left is cleared up on the way."""
    for kill in range(5):
        told = _save_and_be_killed(store.place, f"o{kill}")
        assert_kept(store, [line for line in told if line[0] == "saved"])
        store.save(job_of(f"own{kill}"), "Mo", note=f"own{kill}")
    assert {f"own{kill}" for kill in range(5)} <= set(assert_whole(store))
