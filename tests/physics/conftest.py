"""Random cases are judged by what they find, never by the clock."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
