"""The keys of the records: whose bike, what was measured, how it rode; none of them moves a number."""

from __future__ import annotations

import pytest

from tui.job.answer import answer_job
from tui.job.case import case_of
from tui.job.choices import OLD_WORDS, SYMPTOMS, symptoms_of
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob, dotted
from tui.job.fields import MEASURED, RECORD, RIDDEN
from tui.job.files import toml_text
from tui.job.job import Job, parse
from tui.job.reading import read
from tui.job.tree import Raw, TreePath
from tui.job.wheels import faults_of, wheel_job, with_wheel_job

DEMO = demo_job()
WHEEL = wheel_job(DEMO, "rear")
KEPT: dict[TreePath, Raw] = {
    ("record",): {"customer": "Customer 12", "ticket": "0417", "bike": "green trail bike"},
    ("frame", "name"): "frame of stand 3",
    ("setup", 0, "shock"): "long coil shock",
    ("setup", 1, "shock"): "air shock",
    ("measured",): {
        "setup": "air",
        "sag": "43 mm",
        "of": "travel",
        "gauge": "214 psi",
        "rebound_clicks": 7,
        "compression_clicks": 0,
        "tyre": "1.6 bar",
        "scale": "61.5 kg",
    },
    ("ridden",): {"symptom": "packs-down", "words": "gets lower and lower in the rock garden"},
}


def with_all(job: Job, values: dict[TreePath, Raw]) -> Job:
    for path, raw in values.items():
        job = job.with_value(path, raw)
    return job


FULL = with_all(DEMO, KEPT).with_value(("front", "measured"), {"setup": "fork", "sag": "30 mm"})


def faults(job: Job) -> dict[str, str]:
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    return {dotted(fault.path): f"{fault.what}; {fault.accepted}" for fault in caught.value.faults}


def test_the_records_change_nothing_that_is_asked() -> None:
    assert case_of(read(with_all(WHEEL, KEPT))) == case_of(read(WHEEL))


def test_every_key_can_be_used_and_goes_through_the_file() -> None:
    assert KEPT["record",].keys() == RECORD.keys()
    assert KEPT["measured",].keys() == MEASURED.keys()
    assert KEPT["ridden",].keys() == RIDDEN.keys()
    read(FULL)
    assert parse(toml_text(FULL, None)) == FULL
    assert parse(toml_text(FULL, "# mine\n" + toml_text(DEMO, None))) == FULL
    assert toml_text(FULL, "# mine\n" + toml_text(DEMO, None)).startswith("# mine\n")


@pytest.mark.parametrize(("symptom", "word"), [(key, said.word) for key, said in SYMPTOMS.items()])
def test_a_symptom_takes_the_words_of_the_command(symptom: str, word: str) -> None:
    job = DEMO.with_value(("ridden", "symptom"), word)
    read(job)
    assert symptoms_of(job.get(("ridden", "symptom"))) == (symptom,)


def test_several_symptoms_are_a_list_that_goes_through_the_file() -> None:
    job = DEMO.with_value(("ridden", "symptom"), ("wallows", "harsh-ramp-up"))
    read(job)
    assert parse(toml_text(job, None)) == job
    assert symptoms_of(job.get(("ridden", "symptom"))) == ("wallows", "harsh_ramp_up")


@pytest.mark.parametrize(("old", "new"), [*OLD_WORDS.items(), ("wallows", "wallows")])
def test_the_words_of_older_files_are_read_and_the_new_ones_written(old: str, new: str) -> None:
    head = toml_text(DEMO, None)
    text = f'{head}\n[ridden]\nfelt = "{old}"  # said at the desk\nwords = "so so"\n'
    job = parse(text)
    read(job)
    assert job.get(("ridden",)) == {"symptom": new, "words": "so so"}
    written = toml_text(job, text)
    assert f'symptom = "{new}"' in written
    assert "felt" not in written
    assert parse(written) == job
    listed = parse(f'{head}\n[ridden]\nsymptom = ["{old}", "too-low"]\n')
    assert listed.get(("ridden", "symptom")) == (new, "too-low")


def test_both_spellings_at_once_are_no_job() -> None:
    both = parse(f'{toml_text(DEMO, None)}\n[ridden]\nfelt = "wallows"\nsymptom = "too-low"\n')
    assert faults(both)["ridden.felt"].startswith("unknown key")


@pytest.mark.parametrize(
    ("path", "raw", "at", "said"),
    [
        (
            ("measured", "setup"),
            "aire",
            "measured.setup",
            '"aire" is not the name of a setup; use one of coil, air',
        ),
        (("front", "measured", "setup"), "air", "front.measured.setup", "use one of fork"),
        (("measured", "sagg"), "43 mm", "measured.sagg", "unknown key; the nearest known key is sag"),
        (("measured", "sag"), 43, "measured.sag", "43 has no unit"),
        (("measured", "of"), "fork", "measured.of", "use one of travel, stroke"),
        (("measured", "rebound_clicks"), 7.5, "measured.rebound_clicks", "use a whole number from 0 to 200"),
        (("measured", "tyre"), "160 psi", "measured.tyre", "145 psi"),
        (("measured", "scale"), "61 mm", "measured.scale", "a mass"),
        (("measured",), 3, "measured", "use a table [measured]"),
        (("record", "ticket"), 417, "record.ticket", "use text that is not empty"),
        (("record", "costumer"), "x", "record.costumer", "the nearest known key is customer"),
        (("recrod",), {"ticket": "417"}, "recrod", "the nearest known key is record"),
        (("measurd",), {"sag": "43 mm"}, "measurd", "the nearest known key is measured"),
        (("ridden", "symptom"), "odd", "ridden.symptom", "use one of wallows, "),
        (("ridden", "symptom"), ("wallows", "odd"), "ridden.symptom", "or a list of several"),
        (("ridden", "symptom"), ("wallows", "wallows"), "ridden.symptom", "or a list of several"),
        (("ridden", "symptom"), (), "ridden.symptom", "or a list of several"),
        (("ridden", "symptom"), 3, "ridden.symptom", "use one of wallows, "),
        (("ridden", "words"), "", "ridden.words", "use text that is not empty"),
        (("frame", "nam"), "x", "frame.nam", "the nearest known key is name"),
        (("setup", 0, "shok"), "x", "setup.0.shok", "the nearest known key is shock"),
        (("front", "record"), {"ticket": "417"}, "front.record", "unknown key"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_where_it_stands(path: TreePath, raw: Raw, at: str, said: str) -> None:
    found = faults(DEMO.with_value(path, raw))
    assert list(found) == [at]
    assert said in found[at]


def test_a_setup_without_a_sound_name_may_be_the_one_that_was_on_the_bike() -> None:
    nameless = DEMO.with_value(("measured", "setup"), "third").with_value(("setup", 0, "name"), 3)
    assert list(faults(nameless)) == ["setup.0.name"]
    assert list(faults(nameless.without(("setup",)))) == ["setup"]


def test_each_wheel_is_measured_and_the_bike_is_ridden() -> None:
    rear, front = (wheel_job(FULL, end) for end in ("rear", "front"))
    assert rear.get(("measured", "sag")) == "43 mm"
    assert front.get(("measured", "sag")) == "30 mm"
    assert wheel_job(FULL.without(("front", "measured")), "front").get(("measured",)) is None
    assert rear.tree["record"] == front.tree["record"] == FULL.tree["record"]
    edited = front.with_value(("measured", "gauge"), "81 psi").with_value(("ridden", "words"), "dives")
    bike = with_wheel_job(FULL, "front", edited)
    assert bike.get(("front", "measured", "gauge")) == "81 psi"
    assert bike.get(("measured", "gauge")) == "214 psi"
    assert bike.get(("ridden", "words")) == "dives"
    assert bike.get(("front", "ridden")) is None


def test_a_fault_of_the_whole_bike_is_told_once_and_seen_at_both_ends() -> None:
    job = DEMO.with_value(("record", "ticket"), 417)
    with pytest.raises(UnusableJob) as caught:
        answer_job(job)
    assert len(caught.value.faults) == 1
    assert all(faults_of(job, end, caught.value.faults) == caught.value.faults for end in ("rear", "front"))
