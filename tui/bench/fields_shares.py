"""Lengths typed as a share of a whole, and a sag typed as a length: each is kept as the file has it."""

from __future__ import annotations

from tui.bench.fields_row import Amount, Row, Share
from tui.bench.fields_text import in_si, number, split
from tui.jobs.job import Job
from tui.shop_units import Measure

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


def as_kept(job: Job, row: Row, typed: str, unit: str) -> str:
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
    from tui.jobs.case_of import frame_of
    from tui.jobs.reading import look

    try:
        travel = float(leverage_curve(frame_of(look(job)[0])).wheel_travel)
    except (Refused, KeyError, ValueError):
        return None
    return travel if travel > 0 else None
