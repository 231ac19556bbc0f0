"""Logged rides out of files of any logger."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.random_cases import cases
from tui.tables.heads import LOGGED
from tui.tables.questions import Open, Told, attempt
from tui.tables.recorded import (
    LogFile,
    Recorded,
    UnitsUnclear,
    date_of,
    log_told,
    recorded_in,
    told_of,
    units_told,
)
from tui.tables.source import UnusableReadings

NUMBERS = st.lists(
    st.tuples(st.integers(0, 9_999), st.integers(0, 60_000), st.integers(0, 160_000)), min_size=2, max_size=40
)


def read(text: str, **told: dict[str, str]) -> Recorded:
    return recorded_in(text.encode(), "ride.csv", Told(units=told.get("units", {})))


@pytest.mark.parametrize("mark", [".", ","])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|", " "])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@settings(max_examples=cases(10))
@given(rows=NUMBERS)
def test_any_separator_and_mark_of_decimals_gives_the_same_numbers(
    mark: str, sign: str, end: str, rows: list[tuple[int, int, int]]
) -> None:
    def written(thousandths: int) -> str:
        number = f"{thousandths / 1000:.3f}".replace(".", mark)
        return f'"{number}"' if sign == mark == "," else number

    heads = sign.join(("time[s]", "shock_stroke[mm]", "fork_travel[mm]"))
    body = end.join(sign.join(map(written, row)) for row in rows)
    found = read(heads + end + body + end)
    expected = np.array(rows) / 1000
    assert found.time.tolist() == expected[:, 0].tolist()
    assert [channel.role.word for channel in found.channels] == ["shock", "fork"]
    for channel, own in zip(found.channels, expected.T[1:], strict=True):
        assert channel.lengths(0.060, 0.150) == pytest.approx(own / 1000, abs=1e-15)


def test_a_column_that_leaves_the_mark_of_decimals_open_is_read_like_the_others() -> None:
    found = read('time[s],shock_stroke[mm]\n"1,000","1,000"\n"2,000","1,000"\n')
    assert found.time.tolist() == [1.0, 2.0]
    assert found.channels[0].lengths(0.060, 0.150) == pytest.approx([1e-3, 1e-3])


@pytest.mark.parametrize(
    ("head", "factor"),
    [("Time (ms)", 1e-3), ("time [s]", 1.0), ("timestamp us", 1e-6), ("elapsed, milliseconds", 1e-3)],
)
def test_the_unit_of_the_clock_stands_above_it(head: str, factor: float) -> None:
    found = read(f"{head};wheel travel (mm)\n0;10\n2;11\n")
    assert found.time.tolist() == pytest.approx([0.0, 2 * factor])
    assert found.channels[0].of_wheel


def test_times_of_day_count_in_seconds() -> None:
    found = read("time\tfork [mm]\n2026-05-02 12:00:00.000\t10,5\n2026-05-02 12:00:00.002\t11,5\n")
    assert found.time.tolist() == pytest.approx([43_200.0, 43_200.002], abs=1e-9)
    assert found.channels[0].readings.tolist() == [10.5, 11.5]


def test_a_ride_past_midnight_goes_on() -> None:
    times = ["23:59:59.998", "bad", "00:00:00.000", "00:00:00.002", "23:59:59.999", "00:00:00.004"]
    found = read("time,fork [mm]\n" + "".join(f"{time},1\n" for time in times))
    expected = [86_399.998, np.nan, 86_400.0, 86_400.002, 172_799.999, 172_800.004]
    assert found.time.tolist() == pytest.approx(expected, abs=1e-6, nan_ok=True)


def test_a_sensor_that_is_not_ready_at_first_leaves_the_heads_where_they_are() -> None:
    found = read("time [s],fork [mm]\n0.000,\n0.002,\n0.004,5\n0.006,6\n")
    assert found.time.tolist() == [0.0, 0.002, 0.004, 0.006]
    assert found.channels[0].readings.tolist() == pytest.approx([np.nan, np.nan, 5, 6], nan_ok=True)


@pytest.mark.parametrize(
    "junk", ['"' * 400_000, "," * 3_000_000, "x" * 20_000], ids=["quotes", "commas", "x"]
)
def test_a_line_far_too_long_is_a_missing_sample(junk: str) -> None:
    # Lines too long among the first rows are refused.
    body = "".join(f"{place / 500},{place % 7}\n" for place in range(20_000))
    found = read(f"time [s],fork [mm]\n{body}{junk}\n40.000,6\n")
    assert len(found.time) == 20_002
    assert found.channels[0].readings[[0, 19_999, -1]].tolist() == [0, 19_999 % 7, 6]
    assert np.isnan(found.time[20_000])


@pytest.mark.parametrize(
    "text",
    [
        '{"columns": {"time": Infinity}, "units": {}}',
        '{"columns": {"shock": 1}, "units": {}}',
        '{"columns": {"time": 1e400, "shock": 1}, "units": {}}',
    ],
)
def test_kept_answers_that_make_no_sense_are_asked_again(text: str) -> None:
    assert told_of(text) == Told()


def test_one_column_is_not_two_quantities() -> None:
    with pytest.raises(UnusableReadings, match='"time 1, shock 1" names a column twice'):
        log_told("time 1, shock 1", "")


@pytest.mark.parametrize(
    ("head", "unit", "first", "of_wheel"),
    [
        ("shock stroke [%]", None, 0.015, False),
        ("shock [% of stroke]", None, 0.015, False),
        ("shock [% of travel]", None, 0.0375, True),
        ("rear wheel [%]", None, 0.0375, True),
        ("fork [percent]", None, 0.015, False),
        ("shock [%]", "% of travel", 0.0375, True),
        ("shock (raw)", "counts 0 100", 0.015, False),
        ("shock (raw)", "counts 100 0", 0.045, False),
        ("fork", "counts 5 45", 0.030, False),
        ("shock", "in", 0.635, False),
    ],
)
def test_a_channel_is_a_length_a_share_or_counts(
    head: str, unit: str | None, first: float, *, of_wheel: bool
) -> None:
    text = f"time [s];{head}\n0;25\n1;30\n"
    if unit is not None:
        with pytest.raises(UnitsUnclear):
            read(text)
        word = "fork" if "fork" in head else "shock"
        found = read(text, units={word: unit})
    else:
        found = read(text)
    channel = found.channels[0]
    assert channel.of_wheel is of_wheel
    assert channel.lengths(0.060, 0.150)[0] == pytest.approx(first)


def test_what_is_no_number_is_missing_and_the_rest_stays() -> None:
    lines = ["0.000,10", "0.002,", "# paused", "0.004,err", "time [s],shock stroke [mm]", "0.006,12"]
    found = read("\n".join(["time [s],shock stroke [mm]", "0.000,9", *lines]))
    assert np.isnan(found.channels[0].readings).tolist() == [False, False, True, True, True, False]
    assert found.time[-1] == 0.006


def test_questions_lead_to_the_log_one_after_the_other() -> None:
    data = b"a;b\n0,000;512\n0,002;600\n0,004;700\n"

    def ask(told: Told) -> Recorded:
        return recorded_in(data, "ride.csv", told)

    first = attempt(ask, Told())
    assert isinstance(first, Open)
    assert 'Columns are 1 "a", 2 "b"' in first.question.asks
    second = first.answered("time 1, shock 2")
    assert isinstance(second, Open)
    assert second.question.option == '--units "time ms, shock counts 512 3800"'
    found = second.answered("time s, shock counts 512 712")
    assert isinstance(found, Recorded)
    assert found.channels[0].lengths(0.060, 0.150) == pytest.approx([0.0, 0.0264, 0.0564])
    assert found.told == log_told("time 1, shock 2", "time s, shock counts 512 712")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("shock psi", '"psi" is not a unit of shock stroke; use mm, in, % of stroke, % of travel'),
        ("shock %", '"%" is not a unit of shock stroke'),
        ("shock counts 5 5", "both readings are the same"),
        ("shock counts 1.2.3 4", '"counts 1.2.3 4" is not a unit of shock stroke'),
        ("shock counts . .", '"counts . ." is not a unit of shock stroke'),
        ("shock counts 1 2 3", '"counts 1 2 3" is not a unit of shock stroke'),
        ("shock counts 0 " + "9" * 500, "is not a unit of shock stroke"),
        ("saddle mm", '"saddle mm" cannot be read; use one of time, shock, fork, wheel'),
    ],
)
def test_a_unit_that_is_none_is_refused_with_what_to_use(text: str, said: str) -> None:
    with pytest.raises(UnusableReadings, match=said):
        units_told(text, LOGGED.roles)


def test_a_log_longer_than_a_block_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.tables.recorded._BLOCK", 5_000)
    count = 2_000
    body = "".join(f"{place * 2},{place % 7}.5\n" for place in range(count))
    shares: list[float] = []
    found = recorded_in(f"time [ms],fork [mm]\n{body}".encode(), "ride.csv", Told(), shares.append)
    assert found.time.tolist() == pytest.approx([place * 0.002 for place in range(count)])
    assert found.channels[0].readings[:8].tolist() == [0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 0.5]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) > 3


def test_too_many_samples_are_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.tables.recorded.MOST_SAMPLES", 10)
    with pytest.raises(UnusableReadings, match="more than 10 samples; use a log of at most an hour"):
        read("time [s],fork [mm]\n" + "0,1\n" * 11)


@pytest.mark.parametrize("data", [b"", b"hello", b"\x00\x01\x02", b"PK\x03\x04", b"time,shock\n"])
def test_what_is_no_log_is_refused_in_words(data: bytes, tmp_path: Path) -> None:
    path = tmp_path / "ride.csv"
    path.write_bytes(data)
    with pytest.raises(UnusableReadings):
        LogFile.at(path).read()


@settings(max_examples=cases(100))
@given(
    data=st.binary(max_size=300), head=st.sampled_from([b"", b"time [s],fork [mm]\n", b"time;shock\n0;1\n"])
)
def test_any_bytes_give_a_log_or_a_sentence(data: bytes, head: bytes) -> None:
    try:
        found = recorded_in(head + data, "ride.csv", Told())
    except UnusableReadings as unusable:
        said = unusable.lines
    else:
        said = tuple(str(len(one.readings)) for one in found.channels if len(one.readings) == len(found.time))
    assert said


def test_progress_can_end_the_work() -> None:
    class Stop(Exception):
        pass

    def stop(_share: float) -> None:
        raise Stop

    told: Callable[[float], None] = stop
    with pytest.raises(Stop):
        recorded_in(b"time [s],fork [mm]\n0,1\n1,2\n", "ride.csv", Told(), told)


@pytest.mark.parametrize(
    ("name", "head", "said"),
    [
        ("run.csv", "# logged 2026-11-20 by hand\ntime [s],shock stroke [mm]", "2026-11-20"),
        ("run.csv", "time,shock stroke [mm]\n2026-11-20T10:00:00.000,1", "2026-11-20"),
        ("20261121_evening.csv", "time [s],shock stroke [mm]", "2026-11-21"),
        ("2026-11-21.csv", "# 2026-11-20\n", "2026-11-20"),
        ("2026-13-41.csv", "20261120,1", ""),
        ("run12026-11-201.csv", "time [s]", ""),
        ("run.csv", "time [s],shock stroke [mm]", ""),
    ],
)
def test_the_date_is_what_file_or_name_say_and_else_none(name: str, head: str, said: str) -> None:
    assert date_of(name, head.encode()) == said
