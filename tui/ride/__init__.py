"""Rides in time of one wheel: events, logged rides, and their results in words."""
