"""The JSON Schema of a job file, generated from the table of fields, for completion and checks in an editor.

It covers what can be checked without parsing units: keys, types, required and contradicting keys. Ranges of
quantities are given in words; the reader checks them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from physics.units import accepted
from tui.job.faults import FRONT_TABLES
from tui.job.fields import (
    FIELDS,
    FRAME,
    LEVERAGE,
    LOAD_WAYS,
    SETUP,
    TITLE,
    TOP,
    TYPED_ONLY,
    Amount,
    Bare,
    Choice,
    Column,
    Field,
    Fields,
    Group,
    Kind,
    Names,
    Points,
    Share,
)
from tui.job.job import UNCONFIRMED
from tui.job.quantities import dimension_of
from tui.job.reading import LONGEST_NAME, words_of

Schema = dict[str, Any]

_NUMBER = r"[+\-−]?((\d+\s+)?\d+\s*/\s*\d+|\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?"
_QUANTITY = rf"^\s*{_NUMBER}\s*[^\d\s.,].*$"
_FRACTION = rf"^\s*{_NUMBER}\s*(%.*|[^\d\s.,].*)?$"
_TEXT: Schema = {"type": "string", "pattern": r"\S"}
_IS_FORK: Schema = {
    "properties": {"leverage": {"properties": {"kind": {"const": "fork"}}, "required": ["kind"]}},
    "required": ["leverage"],
}
_REAR_BESIDE_FRONT: Schema = {
    "if": {"required": ["front"]},
    "then": {"properties": {"frame": {"not": _IS_FORK}}},
}
"""With a front wheel, the top level is the rear one."""


def schema_text() -> str:
    """Return the schema as printed by the command."""
    return json.dumps(job_schema(), indent=2, ensure_ascii=False) + "\n"


def job_schema() -> Schema:
    """Return the JSON Schema (draft 2020-12); every readable job file is valid under it."""
    tables = {key: _table(fields, listed=key not in TYPED_ONLY) for key, fields in FIELDS.items()}
    frame = tables["frame"]
    frame["properties"]["leverage"] = {
        "title": "leverage",
        "description": "Where the leverage ratio comes from.",
        **_one_of_kinds(LEVERAGE),
    }
    frame["required"] = ["stroke", "leverage"]
    not_of_forks = [key for key, field in FRAME.items() if field.due and not field.on_fork.get("due", True)]
    frame["allOf"] = [{"if": _IS_FORK, "else": {"required": not_of_forks}}]
    setup = {"title": "setup", "description": "A spring with its shock or fork.", **_one_of_kinds(SETUP)}
    # A front wheel needs only its own part of the load.
    shared: Schema = {
        "load": tables["load"] | {"allOf": list(_load_rules(whole=True))},
        "front_load": tables["load"] | {"allOf": list(_load_rules(whole=False))},
        "frame": frame,
        "target": tables["target"],
        "setup": {"type": "array", "minItems": 1, "items": setup},
        **{key: tables[key] for key in ("damper", "tyre", "measured")},
    }
    wheel = {key: {"$ref": f"#/$defs/{key}"} for key in FRONT_TABLES}
    due = ("load", "frame", "target", "setup")
    parts: Schema = {
        "format": {"const": 1, "title": "format", "description": "Version of the file format."},
        "title": _described(TITLE, {"type": "string"}),
        UNCONFIRMED: _unconfirmed(("title",)),
        **tables,
        **wheel,
        "front": {
            "title": "front wheel",
            "description": "The front wheel; the rear wheel is at the top level.",
            **_object({**wheel, "load": {"$ref": "#/$defs/front_load"}}, due),
            "allOf": [_legs_on_forks()],
        },
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "springwright job",
        "description": "A rider, a frame and the setups to compare on it.",
        **_object({key: parts[key] for key in TOP}, ("format", *due)),
        "allOf": [_legs_on_forks(), _REAR_BESIDE_FRONT],
        "$defs": shared,
    }


def _object(properties: Mapping[str, Any], required: Iterable[str]) -> Schema:
    return {
        "type": "object",
        "properties": dict(properties),
        "required": list(required),
        "additionalProperties": False,
    }


def _unconfirmed(keys: Iterable[str]) -> Schema:
    return {
        "type": "array",
        "items": {"enum": list(keys)},
        "title": "unconfirmed",
        "description": "Keys of this table whose values nobody has typed or confirmed. No effect on results.",
    }


def _table(fields: Fields, *, listed: bool = True) -> Schema:
    """Return the schema of a table of fields, with `listed` including the list of unconfirmed keys."""
    own = {UNCONFIRMED: _unconfirmed(fields)} if listed else {}
    properties = {key: _described(field, _value(field.kind)) for key, field in fields.items()}
    table = _object(
        properties | own, (key for key, field in fields.items() if field.due and not field.one_of)
    )
    rules = [rule for field in fields.values() for rule in _rules(field, fields)]
    return table | {"allOf": rules} if rules else table


def _one_of_kinds(kinds: Mapping[str, Fields]) -> Schema:
    tables = []
    for kind, fields in kinds.items():
        table = _table(fields)
        table["properties"] = {"kind": {"const": kind}} | table["properties"]
        table["required"] = ["kind", *table["required"]]
        tables.append(table)
    return {
        "type": "object",
        "properties": {"kind": {"enum": list(kinds)}},
        "required": ["kind"],
        "oneOf": tables,
    }


def _described(field: Field, schema: Schema) -> Schema:
    said = [field.meaning, field.caution]
    if isinstance(field.kind, Amount | Share) and (dimension := dimension_of(field.kind.measure)) is not None:
        # The schema cannot express the range of a quantity with a unit.
        takes = accepted(dimension)
        said.append(f"{takes[:1].upper()}{takes[1:]}.")
    said.append(f"Left out: {field.usual}." if field.usual else "")
    return {"title": field.full_label, "description": " ".join(filter(None, said)), **schema}


def _value(kind: Kind) -> Schema:
    match kind:
        case Amount():
            quantity, words = {"type": "string", "pattern": _QUANTITY}, words_of(kind)
            return {"anyOf": [{"enum": words}, quantity]} if words else quantity
        case Share():
            return {"anyOf": [_number(kind), {"type": "string", "pattern": _FRACTION}]}
        case Bare():
            return _number(kind)
        case Choice():
            word: Schema = {"enum": list(kind.words)}
            several = {"type": "array", "items": word, "minItems": 1, "uniqueItems": True}
            return {"anyOf": [word, several]} if kind.several else word
        case Column():
            return _array(_number(kind), kind.least, kind.most)
        case Points():
            return {
                "type": "object",
                "propertyNames": {"minLength": 1, "maxLength": LONGEST_NAME},
                "additionalProperties": _array(_number(kind), 2, 2),
                "minProperties": kind.least,
                "maxProperties": kind.most,
            }
        case Names():
            name: Schema = {"type": "string", "minLength": 1}
            return _array(_array(name, 2, 2) if kind.pairs else name, kind.least, kind.most)
        case Group():
            return _table(kind.fields)
        case _:
            return dict(_TEXT)


def _number(kind: Bare | Share | Column | Points) -> Schema:
    whole, closed = getattr(kind, "whole", False), getattr(kind, "closed", True)
    low = {"minimum" if closed else "exclusiveMinimum": kind.low}
    return {"type": "integer" if whole else "number", **low, "maximum": kind.high}


def _array(items: Schema, least: int, most: int) -> Schema:
    return {"type": "array", "items": items, "minItems": least, "maxItems": most}


def _rules(field: Field, fields: Fields) -> Iterator[Schema]:
    """Yield the rules for keys that a key requires or contradicts."""
    for before in field.one_of[: field.one_of.index(field.key)] if field.one_of else ():
        yield {"not": {"required": [before, field.key]}}
    if field.due and field.one_of:
        yield {"anyOf": [{"required": [key]} for key in field.one_of]}
    if isinstance(field.kind, Choice):
        for option in field.kind.options:
            if option.stored and option.needs:
                yield _if_then(field.key, {"const": option.stored}, {"required": list(option.needs)})
    elif field.needs:
        said: Schema = {"not": {"const": "none"}}
        if isinstance(field.kind, Bare) and field.kind.whole:
            said = {"type": "number", "exclusiveMinimum": 0}
        yield _if_then(field.key, said, {"required": list(field.needs)})
    for need in field.needs:
        kind = fields[need].kind
        if isinstance(kind, Amount) and kind.or_none:
            yield _if_then(need, {"const": "none"}, {"not": {"required": [field.key]}})


def _if_then(key: str, value: Schema, then: Schema) -> Schema:
    return {"if": {"required": [key], "properties": {key: value}}, "then": then}


def _load_rules(whole: bool) -> Iterator[Schema]:
    """Yield the rules for keys that each kind of load requires or excludes."""
    marks = [way.mark for way in LOAD_WAYS if way.mark]
    for way in LOAD_WAYS:
        others = {"not": {"anyOf": [{"required": [mark]} for mark in marks]}}
        then: Schema = {"not": {"anyOf": [{"required": [key]} for key in way.drops]}} if way.mark else {}
        if whole:
            then["required"] = [key for key in way.needs if key not in (way.mark, "posture")]
            if not way.mark:
                then["oneOf"] = [{"required": ["posture"]}, {"required": ["rider_share"]}]
        yield {"if": {"required": [way.mark]} if way.mark else others, "then": then}


def _legs_on_forks() -> Schema:
    """Return the rule that only a fork has air in its lower legs."""
    only = {key: False for key, field in SETUP["air"].items() if field.fork_only}
    return {
        "if": {"properties": {"frame": _IS_FORK}},
        "else": {"properties": {"setup": {"items": {"properties": only}}}},
    }
