"""Everything a person touches: the commands, the job file, the bench screen."""

__version__ = "0.1.0"
