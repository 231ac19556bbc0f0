"""Random inputs at every border where text comes in, by grammars made from the tables of the product.

`python -m tests.fuzz COUNT [SEED [BORDER]]` draws COUNT inputs in all and prints each failure with its seed
and border; the same seed draws the same inputs. A border answers or refuses in a sentence: it never raises
anything else, never takes a second of computing, and no sentence or answer holds a terminal control or a NaN.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import random
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple, get_args

from physics.inputs import BY_NAME
from physics.units import TABLE, Dimension, UnitFault
from physics.units import parse as parse_quantity
from tui import own_keys, themes
from tui.cli import main
from tui.commands import COMMANDS, TextAsked, parsed
from tui.job.answer import answer_job
from tui.job.demo import demo_job
from tui.job.faults import UnusableJob
from tui.job.fields import FIELDS, LEVERAGE, SETUP, Amount, Bare, Choice, Fields, Group, Share
from tui.job.files import FileTrouble, decoded, toml_text
from tui.job.job import parse as parse_job
from tui.job.panels import panels
from tui.job.reading import look
from tui.job.typed import typed_into
from tui.ride.damper_table import damper_in
from tui.ride.events import SIZES, EventName, event_in, sizes_asked
from tui.settings import find_settings
from tui.shop_units import ALL, USUAL
from tui.subjects.answers import answer_object
from tui.subjects.leverage import leverage_in
from tui.subjects.match import UnusableWant, wants_of
from tui.subjects.report import report
from tui.subjects.sweep import range_typed
from tui.tables.questions import Told, Unclear
from tui.tables.recorded import log_told, recorded_in, told_of
from tui.tables.source import UnusableReadings
from tui.tables.table import table_of

SECOND = 1.0
UNITS = sorted({unit for table in TABLE.values() for unit in table}) + ["", "flurb", "°", "mm/s2", "m**9**9"]
ODD = (
    "\x1b[31m", "\x1b]0;x\x07", "\x00", "\x9b31m", "\u202e", "\u200d", "\ud800", "ü", "日本", "'", '"',
    "\\", "\n", "\r", "\t", "[bold]", "{}", "%s", "$(x)", "=1+1", "a" * 400, "0" * 400, "-", "--", "1e400",
    "nan", "inf", "-inf", "½", "−1", "1_000", "0x10", "٣", "solve", "none", "true", "2**9999999",
    "9**9**9**9", "__import__('os')", "$x^2$", "{0.__class__}",
)  # fmt: skip


class Random(random.Random):
    """Draws what people and machines type: numbers, quantities, words, and what is none of these."""

    def number(self) -> str:
        """Return a number in one of many ways to write it."""
        size = self.choice((1.0, 10.0, 100.0, 1e3, 1e6, 1e-3, 1e300))
        value = self.uniform(-0.1, 1.0) * size
        text = self.choice(
            (f"{value:.3g}", f"{value:.6f}", f"{value:.0f}", f"{value:,.2f}", f"{value:e}", repr(value))
        )
        return text.replace(".", ",") if self.random() < 0.2 else text

    def quantity(self) -> str:
        """Return a number with a unit."""
        return f"{self.number()}{self.choice(('', ' ', '  '))}{self.choice(UNITS)}"

    def text(self) -> str:
        """Return any text."""
        parts: list[Callable[[], str]] = [self.number, self.quantity, lambda: self.choice(ODD), self._letters]
        return "".join(self.choice(parts)() for _ in range(self.randint(1, 3)))

    def _letters(self) -> str:
        return "".join(self.choice("abcdefgh .,;:/<>=!#_-()") for _ in range(self.randint(0, 8)))

    def spoilt(self, text: str) -> str:
        """Return a text with some of its lines or letters changed."""
        for _ in range(self.randint(0, 3)):
            at = self.randrange(len(text) + 1)
            match self.randrange(5):
                case 0:
                    text = text[:at] + self.text() + text[at:]
                case 1:
                    text = text[:at] + text[at + self.randint(1, 9) :]
                case 2:
                    lines = text.split("\n")
                    lines.insert(self.randrange(len(lines)), self.choice(lines))
                    text = "\n".join(lines)
                case 3:
                    lines = text.split("\n")
                    del lines[self.randrange(len(lines))]
                    text = "\n".join(lines)
                case _:
                    text = text[:at]
        return text


class Fault(AssertionError):
    """A border let something through."""


def _tame(text: str, *, lines: bool = False) -> None:
    """Raise `Fault` for text with a terminal control in it; `lines` may end."""
    # Some scripts cannot be spelled without the joiners; blanks of another width do no harm.
    harmless = "\u200c\u200d\xa0\u3000" + "\n" * lines
    bad = [one for one in text if not (one.isprintable() or one in harmless)]
    if bad:
        raise Fault(f"{bad[0]!r} in {text[:200]!r}")


def _tell(trouble: BaseException) -> None:
    _tame(str(trouble), lines=True)


def _finite(raw: object) -> None:
    if isinstance(raw, dict):
        for inner in raw.values():
            _finite(inner)
    elif isinstance(raw, list | tuple):
        for inner in raw:
            _finite(inner)
    elif isinstance(raw, float) and not math.isfinite(raw):
        raise Fault("not a finite number in the JSON")


def units(draw: Random) -> None:
    """Draw text for a quantity."""
    text = draw.choice((draw.quantity, draw.text))()
    try:
        value, _unit = parse_quantity(text, draw.choice(list(Dimension)))
    except UnitFault:  # whoever shows it escapes what it quotes
        return
    _finite(value)


_DEMO = demo_job()
_ROWS = tuple(row for panel in panels(_DEMO) for row in panel.rows)


def fields(draw: Random) -> None:
    """Draw text typed into a field of the bench."""
    row = draw.choice(_ROWS)
    with contextlib.suppress(UnusableJob):
        job = typed_into(_DEMO, row, draw.choice((draw.quantity, draw.number, draw.text))(), draw.choice(ALL))
        for fault in look(job)[1]:
            _tame(str(fault))


_OF_TOML = ("true", "1979-05-27", "[]", "{}", "[1, 2]", "nan", "-inf")


def _value(draw: Random, fields: Fields, key: str) -> str:
    kind = fields[key].kind
    roll = draw.random()
    if roll < 0.1:
        return draw.choice(
            ("true", "1979-05-27", "[]", "{}", "[1, 2]", "nan", "-inf", json.dumps(draw.text()))
        )
    match kind:
        case Choice():
            return json.dumps(draw.choice([*kind.words, draw.text()]))
        case Bare():
            return draw.number().replace(",", "")
        case Amount() | Share():
            return json.dumps(
                draw.choice((draw.quantity(), "solve", "none", "30 %", "60 mm", "12 kg", "200 psi"))
            )
        case Group():
            return "{ " + ", ".join(_lines(draw, kind.fields, 3)) + " }"
        case _:
            return draw.choice((json.dumps(draw.text()), f"[{draw.number()}, {draw.number()}]"))


def _lines(draw: Random, fields: Fields, most: int) -> list[str]:
    keys = draw.sample(sorted(fields), min(draw.randint(0, most), len(fields)))
    return [f"{key} = {_value(draw, fields, key)}" for key in keys]


def job_text(draw: Random) -> str:
    """Return the text of a job file by the table of fields, or the demo's with something changed."""
    if draw.random() < 0.5:
        return draw.spoilt(_DEMO_TEXT)
    lines = ["format = 1"]
    for table, inside in FIELDS.items():
        if draw.random() < 0.6:
            lines += [f"[{table}]", *_lines(draw, inside, 8)]
    kind = draw.choice(sorted(LEVERAGE))
    lines += ["[frame.leverage]", f'kind = "{kind}"', *_lines(draw, LEVERAGE[kind], 6)]
    for _ in range(draw.randint(0, 3)):
        spring = draw.choice(sorted(SETUP))
        lines += [
            "[[setup]]",
            f"name = {json.dumps(draw.text())}",
            f'kind = "{spring}"',
            *_lines(draw, SETUP[spring], 12),
        ]
    return draw.spoilt("\n".join(lines)) if draw.random() < 0.2 else "\n".join(lines)


_DEMO_TEXT = toml_text(_DEMO, None)


def jobs(draw: Random) -> None:
    """Draw a job file; what has no fault is answered, reported and written."""
    try:
        job = parse_job(decoded(job_text(draw).encode("utf-8", "surrogatepass")))
        faults = look(job)[1]
    except (UnusableJob, FileTrouble) as trouble:
        _tell(trouble)
        return
    for fault in faults:
        _tame(str(fault))
    # An answer with all its words takes fifty times as long as reading.
    if not faults and draw.random() < 0.1:
        try:
            answered = answer_job(job)
        except UnusableJob as trouble:
            _tell(trouble)
            return
        _finite(answer_object(answered))
        _tame(report(answered, USUAL), lines=True)


def _table(draw: Random) -> str:
    sign = draw.choice((",", ";", "\t", " ", "|"))
    heads = (
        "travel [mm]",
        "stroke mm",
        "ratio",
        "speed m/s",
        "force N",
        "time (s)",
        "shock",
        "fork %",
        draw.text(),
    )
    count = draw.randint(1, 4)
    rows = [[f"{draw.uniform(0, 9):.3f}" for _ in range(count)] for _ in range(draw.randint(0, 30))]
    steps = [[f"{row * draw.choice((0.002, 1.0)):.3f}", *cells[1:]] for row, cells in enumerate(rows)]
    lines = [draw.sample(heads, count), *draw.choice((rows, steps))]
    return draw.spoilt("\n".join(sign.join(line) for line in lines))


_TOLD_TEXT = '{"columns": {"time": 0, "shock": 1}, "units": {"time": "ms", "shock": "counts 5 700"}}'


def tables(draw: Random) -> None:
    """Draw a table of leverage, of a damper, or of a logged ride."""
    text = _table(draw)
    reads: Sequence[Callable[[], object]] = (
        lambda: leverage_in(table_of(text, "table"), Told()),
        lambda: damper_in(table_of(text, "table"), Told()),
        lambda: recorded_in(text.encode("utf-8", "surrogatepass"), "ride.csv", Told()),
        lambda: recorded_in(
            text.encode("utf-8", "surrogatepass"), "ride.csv", log_told(_role_told(draw), _role_told(draw))
        ),
        lambda: log_told("", _role_told(draw)),
        lambda: told_of(draw.spoilt(_TOLD_TEXT)),
    )
    try:
        draw.choice(reads)()
    except (UnusableReadings, Unclear) as trouble:
        _tell(trouble)


def asked(draw: Random) -> None:
    """Draw what is typed for a range, for wanted figures and for the sizes of an event."""
    name = draw.choice([*BY_NAME, draw.text()])
    try:
        match draw.randrange(3):
            case 0:
                range_typed(f"{name}={draw.quantity()}..{draw.quantity()}:{draw.number()}")
            case 1:
                sign = draw.choice((">=", "<=", "=", "<", ""))
                wants_of(
                    f"{draw.choice(('support_50', 'bottom_ratio', name))}{sign}{draw.quantity()}",
                    draw.choice(ALL),
                )
            case _:
                event = draw.choice(get_args(EventName))
                sizes = {key: draw.quantity() for key in SIZES if draw.random() < 0.4}
                event_in(event, sizes_asked(event, sizes))
    except (UnusableJob, UnusableWant) as trouble:
        _tell(trouble)


_SET = ("name", "mechanic", "units", "store", "zoom", "undo", "a b")


def kept(draw: Random) -> None:
    """Draw a settings file, the keys in it, and a theme."""
    with tempfile.NamedTemporaryFile(suffix=".toml", delete=False) as file:
        path = Path(file.name)
    try:
        if draw.random() < 0.5:
            lines = [f"[{draw.choice(('shop', 'bench', 'keys', draw.text()))}]"]
            keys = [draw.choice(_SET) for _ in range(draw.randint(0, 4))]
            lines += [f"{key} = {json.dumps(draw.text())}" for key in keys]
            path.write_bytes(draw.spoilt("\n".join(lines)).encode("utf-8", "surrogatepass"))
            found = find_settings(path)
            for fault in found.faults:
                _tame(str(fault))
            # Whoever shows these escapes what they quote.
            assert all(map(all, own_keys.key_faults(found.settings.keys)))
        else:
            path.write_bytes(draw.spoilt(draw.choice(_THEMES)).encode("utf-8", "surrogatepass"))
            try:
                themes.read_theme(path)
            except themes.ThemeFaults as trouble:
                _tell(trouble)
    finally:
        path.unlink()


_THEMES = [source.read_text("utf-8") for source in (Path(__file__).parent.parent / "themes").glob("*.toml")]
_OPTIONS = (
    "--json", "--setup", "--symptom", "--target", "--with", "--want", "--over", "--figure", "--wheel",
    "--csv", "--event", "--height", "--speed", "--class", "--seed", "--units", "--columns", "--against", "-o",
    "--format", "--date", "--store", "--view", "--damper", "--readings", "--friction", "--before", "--after",
    "--log", "--log-columns", "--log-units", "--replace", "--slow", "--strict", "--workings", "--seed",
    "--descent", "--spacing", "--count", "--radius", "--angle", "--slope", "--length", "--spring-alone",
)  # fmt: skip


def _words(draw: Random) -> list[str]:
    words = [draw.choice((*COMMANDS, draw.text()))]
    for _ in range(draw.randint(0, 5)):
        words.append(
            draw.choice((draw.choice(_OPTIONS), draw.text(), draw.quantity(), "coil", "drop", "pumps-dive"))
        )
    return words


def arguments(draw: Random) -> None:
    """Draw a command line; it is parsed, not carried out."""
    told, said = io.StringIO(), io.StringIO()
    with (
        contextlib.redirect_stdout(told),
        contextlib.redirect_stderr(said),
        contextlib.suppress(SystemExit, TextAsked),
    ):
        parsed(_words(draw))
    _tame(told.getvalue() + said.getvalue(), lines=True)


def _ride(draw: Random) -> str:
    """Return the table of a ride that can be read, or nearly so."""
    rate, wave = draw.choice((100, 200, 250)), draw.uniform(0.5, 20.0)
    rows = []
    for row in range(draw.choice((5, 700, 1500))):
        travel = draw.uniform(0, 60) if draw.random() < 0.01 else 20 + 15 * math.sin(wave * row / rate)
        cell = draw.text() if draw.random() < 0.002 else f"{travel:.2f}"
        rows.append(f"{row / rate:.4f},{cell}")
    text = "\n".join([draw.choice(("time [s],shock stroke [mm]", "time [s],fork", "time,shock [%]")), *rows])
    return draw.spoilt(text) if draw.random() < 0.3 else text


def _role_told(draw: Random) -> str:
    """Return an answer on columns or units of a log."""
    words = ("time", "shock", "fork", "wheel", draw.text())
    answers = ("1", "2", "ms", "mm", "% of stroke", f"counts {draw.number()} {draw.number()}", draw.text())
    return ", ".join(f"{draw.choice(words)} {draw.choice(answers)}" for _ in range(draw.randint(1, 3)))


_FILES_READ = ("log", "against", "advised", "on sheet", "table", "damper", "readings")
"""Commands that read a second file besides the job."""


def _file_words(draw: Random, command: str, file: str) -> list[str]:
    """Return the words of a command that reads another file, but for the job."""
    told = {"columns": _role_told(draw), "units": _role_told(draw)}
    prefix = "log-" if command in ("advised", "on sheet") else ""
    options = [f"--{prefix}{key}={text}" for key, text in told.items() if draw.random() < 0.3]
    match command:
        case "log":
            return [file, *options]
        case "against":
            return [file, f"--against={draw.choice(('air', 'all', draw.text()))}", *options]
        case "readings":
            return [f"--readings={file}", "--setup=coil", *options]
        case "advised" | "on sheet":
            return [f"--log={file}", *options]
        case _:
            return options


def commands(draw: Random) -> None:
    """Draw a command line for the demo job, carried out; only commands that write nothing."""
    command = draw.choice(("solve", "sweep", "match", "ride", "advise", "fit", *_FILES_READ))
    span, name = f"{draw.quantity()}..{draw.quantity()}", draw.choice(("air", draw.text()))
    words = {
        "solve": ["--json"],
        "sweep": ["--over", f"{draw.choice(list(BY_NAME))}={span}:3", "--figure", "bottom_ratio"],
        "match": ["--want", f"support_50>={draw.number()}"],
        "ride": ["--event", "drop", "--height", draw.quantity()],
        "advise": ["--symptom", draw.choice(("bottoms-out", draw.text()))],
        "fit": ["--before", draw.quantity(), "--after", draw.quantity(), "--setup", name],
    }.get(command, [])
    with tempfile.TemporaryDirectory() as folder:
        job, file = Path(folder, "job.toml"), Path(folder, draw.choice(("ride.csv", _HOSTILE)))
        job.write_text(_DEMO_TEXT, encoding="utf-8")
        text = _ride(draw) if draw.random() < 0.7 else _table(draw)
        file.write_bytes(text.encode("utf-8", "surrogatepass"))
        first = {"against": "log", "advised": "advise", "on sheet": "sheet", "damper": "table"}.get(command)
        first = "fit" if command == "readings" else first or command
        if command in ("table", "damper"):
            words = [
                str(file),
                *(["--damper"] if command == "damper" else []),
                *_file_words(draw, command, ""),
            ]
        else:
            words = [str(job), *words, *_file_words(draw, command, str(file))]
            words += ["--json"] if first != "sheet" and draw.random() < 0.5 else []
        told, said = io.StringIO(), io.StringIO()
        with (
            contextlib.redirect_stdout(told),
            contextlib.redirect_stderr(said),
            contextlib.suppress(SystemExit),
        ):
            code = main([first, *words])
            if code not in (0, 2):
                raise Fault(f"exit code {code} of {words}")
    _tame(told.getvalue() + said.getvalue(), lines=True)
    if "please report" in said.getvalue() or "Traceback" in said.getvalue():
        raise Fault(f"{[first, *words]}: {said.getvalue()}")
    if "--json" in words and told.getvalue():
        _finite(json.loads(told.getvalue()))


_HOSTILE = "ri\x1b[31md\u202ee\nx\x9b.csv"
"""Name of a file that would colour a terminal, and turn its text round."""


BORDERS: dict[str, tuple[Callable[[Random], None], int]] = {
    "units": (units, 40),
    "fields": (fields, 12),
    "jobs": (jobs, 10),
    "tables": (tables, 16),
    "asked": (asked, 15),
    "kept": (kept, 4),
    "arguments": (arguments, 2),
    "commands": (commands, 1),
}
"""The borders, each with its share of the inputs, of 100."""


class Failure(NamedTuple):
    """An input that a border did not hold against: draw it again with its border and seed."""

    border: str
    seed: int
    what: str

    def __str__(self) -> str:
        return f"python -m tests.fuzz 1 {self.seed} {self.border}\n{self.what}"


def failures(count: int, seed: int, only: str = "") -> Iterator[Failure]:
    """Draw `count` inputs from `seed` on and yield each that fails."""
    shares = [only] if only else [name for name, (_, share) in BORDERS.items() for _ in range(share)]
    for one in range(seed, seed + count):
        draw = Random(one)
        border = shares[0] if only else shares[one % len(shares)]
        began = time.process_time()
        try:
            BORDERS[border][0](draw)
        except Exception:
            yield Failure(border, one, traceback.format_exc(limit=-6))
        took = time.process_time() - began
        if took > SECOND and border != "commands":
            yield Failure(border, one, f"took {took:.1f} s")


def _run() -> int:
    count, seed, only = [*sys.argv[1:], *("1000", "0", "")[len(sys.argv) - 1 :]][:3]
    found = 0
    for failure in failures(int(count), int(seed), only):
        found += 1
        sys.stdout.write(f"{failure}\n".encode("ascii", "backslashreplace").decode())
        sys.stdout.flush()
    sys.stdout.write(f"{count} inputs from seed {seed} on, {found} failed\n")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(_run())
