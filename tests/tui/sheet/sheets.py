"""Jobs with all that a sheet can hold, and their sheets on one day."""

import datetime

from tests.confirmed import confirmed_demo
from tui.job.answer import answer_job
from tui.job.job import Job
from tui.ride.logged import logged
from tui.settings import Settings
from tui.sheet.build import sheet_of
from tui.sheet.model import Sheet
from tui.shop_units import USUAL, ShopUnits
from tui.tables.recorded import Recorded

DAY = datetime.date(2026, 3, 14)
SHOP = Settings(shop="Shed by the River (invented)", mechanic="A. Fitter")
HOSTILE = (
    "<script>alert(1)</script> **b** [x](javascript:1) `c` $\\frac$ | # & \x1b[2J\u202e \u7389\u7389 "
    + "n" * 300
)


def full_job() -> Job:
    """Return the demo bike, all of it confirmed, with a customer and what was measured on its rear."""
    job = confirmed_demo()
    for key, text in (("customer", "Jo Example"), ("ticket", "T-1042"), ("bike", "green trail bike")):
        job = job.with_value(("record", key), text)
    measured = {"setup": "air", "sag": "46 mm", "gauge": "198 psi", "rebound_clicks": 9, "tyre": "1.6 bar"}
    return job.with_value(("measured",), measured)


def four_setups() -> Job:
    """Return a bike with two setups at either wheel."""
    job = full_job()
    fork = job.get(("front", "setup", 0))
    assert fork is not None
    return job.with_value(
        ("front", "setup"), (fork, {**fork, "name": "fork, more spacers", "positive_spacers": 3})
    )


def hostile_job() -> Job:
    """Return a bike on which everything that a person names tries to be more than a name."""
    job = full_job()
    named = (
        ("title",),
        ("record", "customer"),
        ("record", "bike"),
        ("setup", 0, "name"),
        ("front", "setup", 0, "name"),
    )
    for path in named:
        job = job.with_value(path, f"{path[-1]} {HOSTILE}")
    return job


def sheet(
    job: Job, units: ShopUnits = USUAL, *, workings: bool = False, ride: Recorded | None = None
) -> Sheet:
    """Return the sheet of a job, with its appendix and a logged ride where they are asked for."""
    answered = answer_job(job)
    rode = None if ride is None else logged(answered, ride)
    return sheet_of(answered, SHOP, DAY, units, workings=workings, ride=rode)
