"""How many random cases a property test draws: few in README's command, many where the slow tests run."""

from hypothesis import HealthCheck, settings

ALL = 100
FEW, MANY = 12, 120
"""Of a hundred cases that a test asks for, how many it gets under the profiles `fast` and `slow`."""


def cases(count: int) -> int:
    """Return how many random cases to draw for a test that asks for `count`, under the profile there is."""
    return max(round(count * settings().max_examples / ALL), 2)


def register_profiles() -> None:
    """Make the profiles known; a case is judged by what it finds, never by the clock."""
    for name, count in (("fast", FEW), ("slow", MANY)):
        slowly = [HealthCheck.too_slow]
        settings.register_profile(name, deadline=None, max_examples=count, suppress_health_check=slowly)
    settings.load_profile("fast")
