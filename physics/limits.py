"""Limits and conversions that job files and laws share, apart from the laws: a file is read without numpy."""

HIGHEST_PRESSURE = 120e5
"""Highest pressure [Pa] the gas law was fitted to: absolute where solved for, gauge where typed."""
PSI = 6894.757293168
"""One pound-force per square inch [Pa]."""
