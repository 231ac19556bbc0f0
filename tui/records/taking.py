"""A frame or a shock of the records into the job on the bench: one edit, which undo takes back."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from tui.bench.state import BenchState, selected, with_job
from tui.bench.state_edit import committed
from tui.bench.state_ends import turned
from tui.bench.state_setups import setup_added
from tui.bench.state_view import setup_selected
from tui.jobs.ends import End, has_front
from tui.jobs.tree import Raw, Table
from tui.jobs.unconfirmed import KEY as UNCONFIRMED
from tui.jobs.unconfirmed import listed, with_list
from tui.store.hardware import hardware_of
from tui.store.kept import Part

_ASKED = {"coil": {"rate": "solve"}, "air": {"pressure": "solve"}}
"""What a setup begins with that has nothing set on it yet."""
_OWN_VALVE = {"negative_pressure": "150 psi"}
"""For a negative chamber with a valve, where nothing is known yet; invented, as on the bench."""


def frame_taken(state: BenchState, part: Part) -> BenchState:
    """Put a frame into the job: a fork in front where there is a front, anything else at the rear."""
    state = committed(state)
    leverage = part.tree.get("leverage")
    is_fork = isinstance(leverage, Table) and leverage.get("kind") == "fork"
    end: End = "front" if is_fork and has_front(state.bike) else "rear"
    state = state if state.end == end else turned(state, end)
    after = with_job(state, state.job.with_value(("frame",), part.tree))
    note = f"{part.name} is in the job: u takes it back."
    return replace(selected(after, ("frame", "name")), note=note)


def shock_taken(state: BenchState, part: Part) -> BenchState:
    """Put a shock into the selected setup, whose settings stay, or beside it where it is of another kind."""
    state = committed(state)
    setups = state.job.setups
    setup = setups[state.setup] if state.setup < len(setups) else Table({})
    if setup.get("kind") != part.kind:
        fresh = {"name": part.name, **_fitting(part, {**_ASKED.get(part.kind, {})})}
        after = setup_added(state, fresh, "A new setup")
        return replace(after, note=_taken(f"{part.name} is a new setup", after))
    hardware = hardware_of(setup)
    settings = {key: raw for key, raw in setup.items() if key not in hardware}
    changed = {"name": setup.get("name", part.name), **_fitting(part, settings, listed(setup))}
    after = with_job(state, state.job.with_value(("setup", state.setup), changed))
    note = _taken(f"{part.name} is in the setup {changed['name']}", after, settings)
    return replace(setup_selected(after, state.setup), note=note)


def _taken(what: str, after: BenchState, settings: Collection[str] = ()) -> str:
    """Say what was taken, and first of all which pressure in it nobody has set."""
    invented = set(_OWN_VALVE) & set(after.job.setups[after.setup]) - set(settings)
    start = (
        f"Set the negative pressure: {_OWN_VALVE['negative_pressure']} is only a start. " if invented else ""
    )
    return f"{start}{what}: u takes it back."


def _fitting(part: Part, settings: Mapping[str, Raw], doubted: Collection[str] = ()) -> Table:
    """Return a shock with what is set on it, as far as that goes with it; of that, what is `doubted`.

    What nobody has confirmed is still so: of the shock as it was kept, of the settings as they were.
    """
    set_on_it = {key: raw for key, raw in settings.items() if key not in ("name", UNCONFIRMED)}
    found = {**part.tree, **set_on_it}
    doubted = {key for key in listed(part.tree) if key not in set_on_it} | (set(doubted) & set(set_on_it))
    if part.tree.get("negative") != "separate":
        found.pop("negative_pressure", None)
    elif part.kind == "air":
        doubted |= set(_OWN_VALVE) - set(found)
        found = {**_OWN_VALVE, **found}
    if "thread_pitch" not in found:
        found.pop("preload_turns", None)
    return with_list(found, doubted)
