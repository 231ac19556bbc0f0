"""Limits that the file of a job and the laws share, apart from the laws: a file is read without numpy."""

HIGHEST_PRESSURE = 120e5
"""Highest pressure [Pa] the law for air was fitted on: absolute where it is solved for, gauge where typed."""
