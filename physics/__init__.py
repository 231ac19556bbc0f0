"""Suspension spring physics in SI: no screen, no file, no unit text outside `physics.units`."""
