"""A job as the text of its file; over an older text its comments and its order stay."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from tui.jobs.job import Job, parse
from tui.jobs.schema import TOP
from tui.jobs.tree import Raw, Table, thaw

if TYPE_CHECKING:
    from tomlkit.items import AoT


def toml_text(job: Job, before: str | None) -> str:
    """Return the TOML of a job, written over the text `before` it where there is one."""
    import tomlkit  # it is needed only when somebody saves

    if before is not None:
        # Where the old text and the new job do not go together, the job counts and not the comments.
        with suppress(Exception):
            text = _written_over(before, job)
            if parse(text) == job:
                return text
    return tomlkit.dumps(_fresh(job))


def _written_over(before: str, job: Job) -> str:
    import tomlkit

    document = tomlkit.parse(before)
    _merge(document, job.tree)
    return tomlkit.dumps(document)


def _fresh(job: Job) -> dict[str, Any]:
    known = {key: job.tree[key] for key in TOP if key in job.tree}
    return {key: _plain(value) for key, value in (known | dict(job.tree)).items()}


def _plain(raw: Raw) -> Raw:
    import tomlkit

    if not isinstance(raw, Table):
        return [_plain(item) for item in raw] if isinstance(raw, tuple) else raw
    # Columns of one thing, such as the stages of a coil, read best on one line.
    if raw and all(isinstance(value, tuple) for value in raw.values()):
        inline = tomlkit.inline_table()
        inline.update(thaw(raw))
        return inline
    return {key: _plain(value) for key, value in raw.items()}


def _merge(document: MutableMapping[str, Any], tree: Mapping[str, Any]) -> None:
    for key in [key for key in document if key not in tree]:
        del document[key]
    for key, raw in tree.items():
        old = document.get(key)
        if isinstance(raw, Table) and isinstance(old, MutableMapping):
            _merge(old, raw)
        elif _is_list_of_tables(raw) and isinstance(old, list):
            if _named_alike(old, raw):
                for table, inner in zip(old, raw, strict=True):
                    _merge(table, inner)
            else:
                document[key] = _merged_tables(old, raw)
        elif old is None or _differs(old, raw):
            document[key] = _plain(raw)


def _differs(old: Raw, raw: Raw) -> bool:
    value = old.unwrap() if hasattr(old, "unwrap") else old
    return bool(value != thaw(raw) or type(value) is not type(thaw(raw)))


def _is_list_of_tables(raw: Raw) -> bool:
    return isinstance(raw, tuple) and bool(raw) and all(isinstance(item, Table) for item in raw)


def _named_alike(old: list[Any], new: tuple[Table, ...]) -> bool:
    return [table.get("name") for table in old] == [table.get("name") for table in new]


def _merged_tables(old: list[Any], new: tuple[Table, ...]) -> AoT:
    """Return the setups in their new order, each over the old table of its name, else of its place."""
    import tomlkit

    names = [table.get("name") for table in new]
    spare = [table for table in old if table.get("name") not in names]
    tables = tomlkit.aot()
    for raw in new:
        table = next((t for t in old if t.get("name") == raw.get("name")), None)
        if table is None:
            table = spare.pop(0) if spare else tomlkit.table()
        else:
            old = [t for t in old if t is not table]
        _merge(table, raw)
        tables.append(table)
    return tables
