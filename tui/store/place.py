"""Where the records are: one file of this user, a file that is shared, or a server."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

VARIABLE = "SPRINGWRIGHT_STORE"
"""Names the records in the environment, for all who share them."""
SERVER = ("postgresql://", "postgres://")
_FILE = "records.sqlite"


@dataclass(frozen=True, slots=True)
class Place:
    """A file, or the address of a server: one of the two."""

    file: Path | None = None
    server: str = ""

    def __str__(self) -> str:
        """Name it as a person may see it: an address without its password."""
        if self.file is not None:
            return str(self.file)
        scheme, _, rest = self.server.partition("://")
        before, _, host = rest.rpartition("@")
        # A password may hold any sign; a user never holds these.
        user = before.partition(":")[0]
        if not before or "/" in user or "?" in user:
            user, host = "", rest.removeprefix("@")
        return f"{scheme}://{user}{'@' if user else ''}{host.partition('?')[0]}"

    @property
    def backups(self) -> Path:
        """The folder of its backups; those of a server are kept on this machine."""
        return (self.file.parent if self.file is not None else data_folder()) / "backups"


def place_of(text: str) -> Place:
    """Return the place that a text names: the address of a server, else the path of a file."""
    if text.startswith(SERVER):
        return Place(server=text)
    path = Path(text)
    with suppress(RuntimeError):  # the home of nobody: then the sign stands for itself, as in a shell
        path = path.expanduser()
    return Place(path.absolute())


def chosen_place(asked: str | None, environ: Mapping[str, str], settings: str = "") -> Place:
    """Return the records of the command line, the environment or the settings, else this user's own."""
    named = next(filter(None, (asked, environ.get(VARIABLE), settings)), None)
    return place_of(named) if named else Place(data_folder() / _FILE)


def data_folder() -> Path:
    """Return the folder of this program's data for this user."""
    from platformdirs import user_data_path

    return user_data_path("springwright")
