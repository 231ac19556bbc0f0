"""Everything a person touches: the commands, the job file, the bench screen."""


def version() -> str:
    """Return the version that is installed, which comes from the tag it was built at."""
    from importlib.metadata import PackageNotFoundError, version  # only few ask

    try:
        return version("springwright")
    except PackageNotFoundError:
        return "not installed"
