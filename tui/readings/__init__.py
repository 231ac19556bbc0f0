"""Readings from the bench: tester files and typed numbers, what they say of a setup, and taking it over."""
