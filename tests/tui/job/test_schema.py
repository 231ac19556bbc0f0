"""The JSON Schema of a job file takes every job that the reader takes, and marks plain mistakes."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.tui.bench.test_fields import every_job
from tests.tui.job.test_any_job import BASES
from tests.tui.job.test_reading_record import FULL
from tests.tui.job.two_ends import BIKE
from tests.tui.job.wired import wired
from tui.cli import main
from tui.job.demo import demo_job
from tui.job.fields import TOP, every_field
from tui.job.job import Job
from tui.job.panels import NEW_AIR, NEW_COIL
from tui.job.reading import look
from tui.job.schema import job_schema
from tui.job.tree import Raw, Tree, TreePath, thaw
from tui.job.wheels import wheel_job
from tui.linkage.sketch import EXAMPLES, with_sketch

ROOT = Path(__file__).parents[3]
DEMO = demo_job()
STAGES = {"compression_mm": (0.0, 30.0), "rate_n_per_mm": (80.0, 95.0)}
JOBS = (
    DEMO,
    FULL,
    BIKE,
    *BASES,
    *every_job(),
    *(with_sketch(DEMO, example.sketch()) for example in EXAMPLES),
    DEMO.with_setup(None, NEW_COIL).with_setup(None, NEW_AIR),
    wired(material="titanium", ends="open", grade=1, active_coils=7.5, total_coils=None),
    wired(rate=None, stages=STAGES, ladder_lbf_per_in=(400, 425.5), ladder_step=None),
    BIKE.without(("load",)).with_value(("load",), {"scale_mass": "61 kg", "unsprung_mass": "4 kg"})
    .with_value(("front", "load"), {"scale_mass": "38 kg", "unsprung_mass": "2 kg"}),
)  # fmt: skip
JUNK: tuple[Raw, ...] = (
    "", "none", "solve", "5 mm", "40 %", "85", 0, 1, -3, 0.5, 7.5, True, (1.0,), (0.0, 2.0), Tree({}),
)  # fmt: skip


@cache
def validator() -> Draft202012Validator:
    Draft202012Validator.check_schema(job_schema())
    return Draft202012Validator(job_schema())


def is_valid(job: Job) -> bool:
    return bool(validator().is_valid(thaw(job.tree)))


def paths(tree: Raw, here: TreePath = ()) -> list[TreePath]:
    steps = tree.items() if isinstance(tree, Tree) else enumerate(tree) if isinstance(tree, tuple) else ()
    return [*([here] if here else []), *(path for step, raw in steps for path in paths(raw, (*here, step)))]


@pytest.mark.slow
def test_the_schema_takes_every_job_that_the_reader_takes() -> None:
    taken = [job for job in JOBS if not look(job)[1]]
    assert len(taken) > len(JOBS) - 5
    for job in taken:
        assert is_valid(job), next(validator().iter_errors(thaw(job.tree))).message


def test_jobs_in_files_are_taken_as_an_editor_reads_them() -> None:
    readme = re.findall(
        r"<!-- job -->\n```toml\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL
    )
    cases = [path.read_text("utf-8") for path in (ROOT / "tests").rglob("*.toml")]
    assert readme
    assert cases
    for text in (*readme, *cases):
        validator().validate(tomllib.loads(text))


@pytest.mark.slow
@pytest.mark.parametrize(
    "job", [wheel_job(FULL, "rear"), wheel_job(FULL, "front"), with_sketch(DEMO, EXAMPLES[0].sketch())]
)
def test_it_never_marks_what_the_reader_takes(job: Job) -> None:
    """Every value in turn is left out or replaced by other ones; the schema is never the stricter."""
    for path in paths(job.tree):
        changed = [job.without(path), *(job.with_value(path, raw) for raw in JUNK)]
        for other in changed:
            assert look(other)[1] or is_valid(other), (path, other.get(path))


WRONG: dict[str, tuple[TreePath, Raw]] = {
    "a number without its unit": (("load", "rider_mass"), "85"),
    "a bare number for a mass": (("load", "rider_mass"), 85),
    "a word for a number": (("frame", "leverage", "start"), "2.8"),
    "a ratio out of range": (("frame", "leverage", "start"), 28.0),
    "an unknown key": (("setup", 0, "rat"), "450 lbf/in"),
    "an unknown kind": (("setup", 0, "kind"), "gas"),
    "a key of the other spring": (("setup", 0, "bore"), "40 mm"),
    "a word that is none of the choice": (("setup", 1, "negative"), "sealed"),
    "two ways to say the preload": (("setup", 0, "preload"), "1 mm"),
    "half a count": (("setup", 1, "positive_spacers"), 1.5),
    "a scale beside the masses": (("load", "scale_mass"), "61 kg"),
    "lower legs on a shock": (("setup", 1, "lower_leg_volume"), "280 cm3"),
    "a fork at the rear of two wheels": (("frame", "leverage"), {"kind": "fork", "head_angle": "64 deg"}),
    "a symptom of no list": (("ridden", "symptom"), ("wallows", "sings")),
    "another format": (("format",), 2),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_mistake_is_marked(what: str) -> None:
    path, raw = WRONG[what]
    wrong = DEMO.with_value(path, raw)
    assert not is_valid(wrong)
    assert look(wrong)[1]


MISSING: tuple[TreePath, ...] = (
    ("format",), ("load", "rider_mass"), ("load", "posture"), ("load", "unsprung_mass"), ("frame", "stroke"),
    ("frame", "wheel_travel"), ("frame", "leverage", "end"), ("target",), ("setup", 0, "rate"),
    ("setup", 0, "thread_pitch"), ("setup", 0, "gas_volume"), ("setup", 1, "port"), ("setup", 1, "rod"),
    ("setup", 1, "positive_spacer_volume"), ("front", "setup", 0, "stanchion_diameter"),
)  # fmt: skip


@pytest.mark.parametrize("path", MISSING)
def test_what_is_missing_is_marked(path: TreePath) -> None:
    wrong = DEMO.without(path)
    assert not is_valid(wrong)
    assert look(wrong)[1]


def test_every_key_of_the_table_has_a_title_and_says_what_it_means() -> None:
    schema = job_schema()
    assert tuple(schema["properties"]) == TOP
    said = set(_said(schema))
    for field in every_field():
        assert field.meaning.endswith(".")
        assert any(
            (key, title) == (field.key, field.full_label) and description.startswith(field.meaning)
            for key, title, description in said
        ), field.path


def _said(schema: object) -> Iterator[tuple[str, str, str]]:
    """Yield key, title and description of everything that has them."""
    if isinstance(schema, dict):
        for key, inner in schema.get("properties", {}).items():
            if isinstance(inner, dict) and "title" in inner:
                yield key, inner["title"], inner["description"]
    inners = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    for inner in inners:
        yield from _said(inner)


def test_the_command_prints_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out) == job_schema()
