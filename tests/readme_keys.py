"""README's tables of the keys of a job file and of the acts: `python -m tests.readme_keys` writes them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from tui.job.fields import (
    AMBIENT,
    DAMPER,
    FRAME,
    GEOMETRY,
    LEVERAGE,
    LOAD,
    MEASURED,
    RECORD,
    RIDDEN,
    RIDE,
    SETUP,
    STAGES,
    TARGET,
    TOLERANCE,
    TYRE,
    Amount,
    Bare,
    Choice,
    Column,
    Field,
    Fields,
    Group,
    Names,
    Points,
    Share,
)
from tui.job.quantities import dimension_of
from tui.kit.keymap import key_text
from tui.own_keys import acts

README = Path(__file__).parent.parent / "README.md"
_BLOCK = re.compile(r"(?<=<!-- keys -->\n).*?(?=<!-- end -->)", re.DOTALL)
_ACTS = re.compile(r"(?<=<!-- acts -->\n).*?(?=<!-- end -->)", re.DOTALL)
_EVERY = {key: field for key, field in SETUP["coil"].items() if key in SETUP["air"]}
_TABLES: dict[str, Fields] = {
    "[load]": LOAD,
    "[load.geometry]": GEOMETRY,
    "[frame]": FRAME,
    **{f'[frame.leverage], kind = "{kind}"': fields for kind, fields in LEVERAGE.items()},
    "[target]": TARGET,
    "[ambient], the shop": AMBIENT,
    "[ride], where it differs": RIDE,
    "[tolerance]": TOLERANCE,
    "[[setup]]": _EVERY,
    **{
        f'[[setup]], kind = "{kind}"': {key: field for key, field in fields.items() if key not in _EVERY}
        for kind, fields in SETUP.items()
    },
    "[setup.stages]": STAGES,
    "[damper]": DAMPER,
    "[tyre]": TYRE,
    "[record]": RECORD,
    "[measured]": MEASURED,
    "[ridden]": RIDDEN,
}


def keys_text() -> str:
    """Return the table of every key: what it takes, what it is if it is left out, and what it means."""
    lines = ["| key | takes | left out | |", "| --- | --- | --- | --- |"]
    for table, fields in _TABLES.items():
        lines.append(f"| **{table}** | | | |")
        lines += [" | ".join(_cells(field)) for field in fields.values()]
    return "\n".join(lines) + "\n"


def _cells(field: Field) -> Iterator[str]:
    # What comes behind a colon or a full stop is how to measure it, which the bench tells.
    means = re.split(r"(?<=[^\d])[.:;](?= |$)", field.meaning)[0]
    on_fork = field.on_fork.get("usual")
    beside = [f"; needs `{'` and `'.join(field.needs)}`"] if field.needs else []
    if len(field.one_of) > 1 and field.one_of[0] != field.key:
        beside.append(f"; one of `{'`, `'.join(field.one_of)}`")
    yield f"| `{field.key}`"
    yield _takes(field)
    yield (field.usual or ("needed" if field.due else "")) + (f", on a fork {on_fork}" if on_fork else "")
    yield f"{field.full_label}: {means}{''.join(beside)} |"


def _takes(field: Field) -> str:
    kind = field.kind
    match kind:
        case Amount():
            dimension = dimension_of(kind.measure)
            assert dimension is not None
            words = [word for word, may in (("solve", kind.solvable), ("none", kind.or_none)) if may]
            return "".join([dimension.value, *(f', or `"{word}"`' for word in words)])
        case Share():
            return "fraction"
        case Bare():
            return f"{'whole number, ' if kind.whole else ''}{kind.low:g} to {kind.high:g}"
        case Choice():
            return f"{', '.join(f'`{word}`' for word in kind.words)}{' or several' if kind.several else ''}"
        case Column():
            return f"list of {kind.least} to {kind.most} numbers"
        case Points():
            return "points by name"
        case Names(pairs=True):
            return "pairs of points"
        case Names():
            return "names of points"
        case Group():
            return "table"
        case _:
            return "text"


def acts_text() -> str:
    """Return the table of every act: its key, its name in the settings, where it is done, what it does."""
    lines = ["| key | act | where | |", "| --- | --- | --- | --- |"]
    lines += [
        f"| `{key_text(act)}` | `{act.id}` | {where} | {act.meaning} |" for act, where in acts().values()
    ]
    return "\n".join(lines) + "\n"


def with_keys(readme: str, keys: str) -> str:
    """Return README with a table of keys in its place."""
    return _BLOCK.sub(lambda _: keys, readme, count=1)


def with_acts(readme: str, table: str) -> str:
    """Return README with a table of acts in its place."""
    return _ACTS.sub(lambda _: table, readme, count=1)


def main() -> None:
    """Rewrite README."""
    README.write_text(with_acts(with_keys(README.read_text("utf-8"), keys_text()), acts_text()), "utf-8")


if __name__ == "__main__":
    main()
