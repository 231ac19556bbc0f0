"""Suspension spring physics in SI: no screen, no file, no unit text outside `physics.units`.

The door for notebooks and scripts: `from physics import case, bench, sweep, match, fit, ride`.
`physics/README.md` says what each gives, with the equations, ranges and sources.

>>> from physics import bench, case
>>> frame, shop = case.Frame(0.150, 0.060, case.LeverageEnds(2.5, 2.5)), case.Ambient(293.15, 101_325.0)
>>> coil = case.Setup("coil", case.Coil(rate=None, preload=0.0, ladder_step=4378.0))
>>> job = case.Case(case.ScaleReading(60.0, 4.0), frame, case.Target(0.30, "travel"), shop, (coil,))
>>> round(float(bench.answer(job).setups[0].sag.wheel), 4)  # 30 % of 150 mm [m]
0.045
"""
