"""Frozen dataclasses behave like those of the standard library."""

import copy
import dataclasses
import inspect
import pickle
import re
import typing
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field, fields, replace
from pathlib import Path
from typing import Any

import pytest

from physics.case import Ambient, NoNegative, Target
from physics.frozen import NamedTuple, dataclass

ROOT = Path(__file__).parents[2]
WAYS: tuple[Callable[..., Any], ...] = (dataclasses.dataclass, dataclass)
ways = pytest.mark.parametrize("made_by", WAYS, ids=["standard library", "own"])
slotted = pytest.mark.parametrize("slots", [True, False], ids=["slots", "no slots"])


def classes(made_by: Callable[..., Any], slots: bool) -> tuple[Any, Any, Any]:
    @made_by(frozen=True, slots=slots)
    class Spring:
        """A spring."""

        rate: float
        preload: float = 0.0
        marks: "dict[str, int]" = field(default_factory=dict, compare=False)
        drawn: str = field(default="", repr=False)

        @property
        def twice(self) -> float:
            return 2 * self.rate

    @made_by(frozen=True, slots=slots, eq=False)
    class Single:
        spring: Spring

        def __post_init__(self) -> None:
            if self.spring.rate < 0:
                raise ValueError("negative")

    @made_by(frozen=True, slots=slots)
    class Nothing:
        def __repr__(self) -> str:
            return "nothing"

    return Spring, Single, Nothing


@ways
@slotted
def test_made_compared_hashed_and_shown(made_by: Callable[..., Any], slots: bool) -> None:
    spring, single, nothing = classes(made_by, slots)
    one = spring(80.0, preload=1.0)
    assert (one.rate, one.preload, one.marks, one.drawn, one.twice) == (80.0, 1.0, {}, "", 160.0)
    assert one.marks is not spring(80.0, 1.0).marks
    assert one == spring(80.0, 1.0, {"a": 1}) != spring(80.0, 1.0, drawn="red")
    assert hash(one) == hash(spring(80.0, 1.0))
    assert one != (80.0, 1.0, "")
    assert one.__eq__(3) is NotImplemented
    assert repr(one).endswith("Spring(rate=80.0, preload=1.0, marks={})")
    assert single(one) != single(one)
    assert len({single(one), single(one)}) == 2
    assert nothing() == nothing()
    assert hash(nothing()) == hash(nothing())
    assert repr(nothing()) == "nothing"
    nan = float("nan")
    assert spring(nan) == spring(nan) or made_by is dataclasses.dataclass
    with pytest.raises(ValueError, match="negative"):
        single(spring(-1.0))
    with pytest.raises(TypeError, match="missing 1 required positional argument: 'rate'"):
        spring()
    with pytest.raises(TypeError, match="unexpected keyword argument 'colour'"):
        spring(1.0, colour="red")


@ways
@slotted
def test_nothing_in_it_changes(made_by: Callable[..., Any], slots: bool) -> None:
    one = classes(made_by, slots)[0](80.0)
    with pytest.raises(FrozenInstanceError, match="cannot assign to field 'rate'"):
        one.rate = 90.0
    with pytest.raises(FrozenInstanceError, match="cannot delete field 'rate'"):
        del one.rate
    with pytest.raises((AttributeError, TypeError)):
        one.colour = "red"
    assert one.rate == 80.0
    assert hasattr(one, "__dict__") is not slots


@ways
@slotted
def test_the_tools_for_dataclasses_take_it(made_by: Callable[..., Any], slots: bool) -> None:
    spring, single, _ = classes(made_by, slots)
    one = spring(80.0)
    assert [part.name for part in fields(one)] == ["rate", "preload", "marks", "drawn"]
    assert replace(one, rate=90.0) == spring(90.0)
    assert dataclasses.asdict(single(one))["spring"]["rate"] == 80.0
    assert spring.__match_args__ == ("rate", "preload", "marks", "drawn")
    assert spring.__doc__ == "A spring."
    assert not slots or spring.__slots__ == spring.__match_args__
    said = inspect.signature(spring)
    assert list(said.parameters) == ["rate", "preload", "marks", "drawn"]
    assert said.parameters["preload"].default == 0.0
    assert said.parameters["rate"].annotation is float
    assert copy.copy(one) == copy.deepcopy(one) == one


def test_it_can_be_pickled() -> None:
    for one in (Target(0.3, "travel"), Ambient(293.15, 0.0), NoNegative()):
        assert pickle.loads(pickle.dumps(one)) == one


def test_what_it_cannot_do_is_refused() -> None:
    with pytest.raises(TypeError, match="can be changed"):
        dataclass(frozen=False)
    with pytest.raises(TypeError, match=r"Late\.rate: a field by keyword only"):

        @dataclass(frozen=True, slots=True)
        class Late:
            rate: float = field(kw_only=True)


def named(base: Any) -> tuple[Any, Any]:  # noqa: ANN401 - one is a function, one a class
    class Reading(base):  # type: ignore[misc]
        """A reading."""

        KINDS = ("sag", "gauge")
        at: float
        kind: "str | None" = None

        @property
        def twice(self) -> float:
            return float(2 * self.at)

        def __str__(self) -> str:
            return f"{self.kind} {self.at}"

    class Nothing(base):  # type: ignore[misc]
        pass

    return Reading, Nothing


@pytest.mark.parametrize("base", [typing.NamedTuple, NamedTuple], ids=["standard library", "own"])
def test_named_tuples_are_as_usual(base: object) -> None:
    reading, nothing = named(base)
    one = reading(2.0, kind="sag")
    assert one == (2.0, "sag") == tuple(one)
    assert (one.at, one.kind, one.twice, str(one), one.KINDS[0]) == (2.0, "sag", 4.0, "sag 2.0", "sag")
    assert repr(one) == "Reading(at=2.0, kind='sag')"
    assert one._replace(at=3.0) == reading(3.0, "sag")
    assert one._asdict() == {"at": 2.0, "kind": "sag"}
    assert (reading._fields, reading._field_defaults) == (("at", "kind"), {"kind": None})
    assert (reading.__doc__, reading.__module__) == ("A reading.", __name__)
    assert list(reading.__annotations__) == list(inspect.signature(reading).parameters) == ["at", "kind"]
    assert reading.__match_args__ == ("at", "kind")
    assert nothing() == ()
    with pytest.raises(TypeError, match="missing 1 required positional argument: 'at'"):
        reading()
    with pytest.raises(AttributeError):
        one.at = 1.0


def test_every_class_of_both_kinds_is_made_so() -> None:
    library = re.compile(r"^from (?:dataclasses|typing) import (.*)$", re.M)
    sources = [path for room in ("physics", "tui") for path in (ROOT / room).rglob("*.py")]
    texts = {path.relative_to(ROOT).as_posix(): path.read_text("utf-8") for path in sources}
    frozen = {name: text for name, text in texts.items() if "@dataclass(frozen=True" in text}
    assert len(frozen) > 80
    taken = {
        name: {one for line in library.findall(text) for one in line.split(", ")}
        for name, text in texts.items()
    }
    assert [name for name in frozen if "dataclass" in taken[name]] == []
    tuples = {name for name, names in taken.items() if "NamedTuple" in names}
    generic, for_help = {"tui/kit/keymap.py"}, {"tui/commands.py", "tui/job/choices.py"}
    assert tuples == generic | for_help
