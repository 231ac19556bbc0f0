"""One thing has one name in every text that a person sees; labels fit, keys that are named are there."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tui.bench.keymap import KEYMAP as BENCH
from tui.bench.steps import VIEW_ROWS
from tui.job.fields import every_field
from tui.job.figures import every_figure, meaning_of
from tui.kit.keymap import PROGRAM, Keymap
from tui.linkage.keymap import KEYMAP as LINKAGE
from tui.records.keymap import KEYMAP as RECORDS

ROOT = Path(__file__).parent.parent
WORDS = {
    "breakaway force": r"starting force|\bstarts? at (the )?(shaft|wheel)|starts to move at|push it takes",
    "bottom-out force": r"(force|N) at (the )?end\b|end (over|x) load|to use all the travel",
    "ramp-up": r"\bend ramp|ramps harder",
    "mid-stroke support": r"half x load|half-travel support|halfway in",
    "natural frequency, surge frequency": r"bounce, slow|\bswings\b",
    "critical damping": r"rebound need\b|of critical\b(?! damping)",
    "mid-stroke dip": r"middle, off line",
    "lowest wheel rate": r"softest (rate|at)\b",
    "max pressure": r"label's (limit|pressure)|job's limit|limit typed|above the label",
    "full extension": r"full length",
    "positive chamber, negative chamber": r"main chamber|negative side|air sleeve",
    "spacer volume": r"spacer takes",
    "equalise, equalised pressure": r"chambers (have )?(meet|met|settle)|port pressure|port at stroke",
    "rest position": r"\b(is|rests?) drawn in\b|\bsits in\b|into its stroke",
    "seal friction": r"seal drag|\bdraggy\b",
    "target sag": r"sag (wanted|asked for)|asked for:|hits the target",
    "target setup": r"\bgoal\b|like another",
    "slow, fast": r"pushed in slowly|moved slowly|quick bumps",
    "tool error, tolerance": r"may be off|how sure|off as said|\bstrays?\b",
    "riding conditions": r"air of the ride|other air|ride[n]? there|ridden there|temperature there",
    "progressive, linear": r"in stages|wound with one",
    "total coils, active coils, wire diameter": r"coils in all|coils that work|wire thickness",
    "coil-bind clearance": r"gap left",
    "pre-set": r"set by its maker",
    "sprung load, static load": r"spring carries|carried by the spring|rider's load",
    "CoM behind front, CoM height": r"mass (behind|height)",
    "rate step, rates in stock": r"rates (come every|on the shelf)|\bladder\b",
    "O-ring": r"(?<!o-)ring on the shaft|\bthe ring\b",
    "rule of thumb": r"common practice|no source",
    "unverified": r"from memory",
    "OLD: last valid result": r"\bSTALE\b|last good|\bof before\b|older job|marked in the (panel|field)",
    "fix": r"put right",
    "u undoes it": r"takes? (it|that|them|this) (back|away)|brings? it back|puts? it back|back again",
    "history": r"\btimeline\b|\bever saved",
    "conflicting versions, current": r"versions? (stand )?side by side|stands? beside|\bgoes on\b(?! to)",
    "removed": r"\bis gone\b|\bare gone\b|be gone\b|off the (list|job)|tak(e|en) out|put away",
    "use ...": r"\b(is|are) accepted\b",
    "result": r"\bno answer\b|good answer|nothing to say",
    "start": r"begins? like this",
    "delete, clear": r"rubs? out|rubbed out",
    "again": r"\banew\b",
    "here, there": r"\blies (here|there)\b|\bstands here\b",
    "option": r"\bnext way\b|the ways there are",
    "example": r"an invented (setup|front)|invented values to type",
    "next, previous": r"the \w+ (before|after) this one",
    "expected of": r"\blets? (one )?expect",
    "is reported, is refused, is marked": r"\b(is|are|was|were) told\b",
    "compared with": r"\bheld against\b",
    "is named, is marked": r"\bbears? (a|an|the|its|their|no) (name|mark|sign)s?\b",
    "is kept in": r"\blies? (too|in the)\b|\bstands? (in one|in the) (chart|file|table|job)\b",
    "bottoms out, bottom-out": r"\bme(et|t)s? (the|its) stop\b|meetings? with the stop|never at the stop",
    "has a sag, has no sag": r"settles? at (a|no|its) sag",
    "for comparing only": r"\byardstick\b",
    "calculated": r"worked out (yet|anew)|not worked out",
    "use it": r"\b(takes?|take) (it|that load) (into|off)|nothing to take|^take it$",
    "previous": r"^(step|view|setup|list|table) before$|of the job before",
    "is not a": r"\bis no (count|size|figure|number|key)\b",
    "without seal friction": r"\bseals free\b",
    "reproduces the log": r"gives? the log back|give the log",
    "ratio at end, ratio at middle": r"(?<!/ )\b(end|mid|mid-travel) ratio\b",
    "subject first": r"(^|\. )(Shaded|Shown|Marked|Named|Meant|Counted) [^.,:;]{0,40}\b(is|are) ",
}
"""By what to say the older words for it."""
KEYMAPS: dict[str, Keymap[Any]] = {"tui/linkage": LINKAGE, "tui/records": RECORDS, "": BENCH}
"""The acts of each screen, by where its texts are."""
KEYS = r"\b[Pp]ress [A-Za-z]\b|\([a-z]\)(?= *[.:])"
KEYS += r"|(?<!\+)\b[A-Z] (again|asks|saves|says|opens|on a field|finds)\b"
KEYS += (
    r"|(?<![Ss]pace, then )(?<!Space )(?<!then )(?<!\+)\b[b-hj-tw-z] (adds|takes|starts|saves|opens|shows)\b"
)
KEYS += r"|\b[a-zA-Z]: [a-z]+ panels?\b|\bF(?!1\b|2\b|8\b|9\b|10\b)\d+ (takes|opens|saves|removes)\b"
"""Keys that the bench no longer has, as texts named them."""
EXCEPTIONS = {
    ("tui/commands.py", "target setup"),  # --goal is an option that scripts have
    ("README.md", "target setup"),
    ("tui/subjects/match.py", "target setup"),  # which faults name
}
"""By file what an older word is still used for there."""


class Text(NamedTuple):
    """A text in a file."""

    file: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.text!r}"


def texts_of(source: str, file: str = "") -> Iterator[Text]:
    """Yield every string of more than one word in a module, docstrings left out, `{}` for what is put in."""
    tree = ast.parse(source)
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(part) for part in node.values}
            parts = (part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
            yield Text(file, node.lineno, "".join(map(str, parts)))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skipped:
            yield Text(file, node.lineno, node.value)


@cache
def seen_in(file: Path) -> list[Text]:
    """Return the texts of a file: of a module its strings, of another file its lines outside of blocks."""
    name, source = file.relative_to(ROOT).as_posix(), file.read_text("utf-8")
    if file.suffix == ".py":
        return [text for text in texts_of(source, name) if " " in text.text.strip()]
    prose = re.sub(r"```.*?```", lambda block: "\n" * block[0].count("\n"), source, flags=re.DOTALL)
    return [Text(name, number, line) for number, line in enumerate(prose.splitlines(), 1)]


def older_words(text: Text) -> list[str]:
    """Return what to say in place of older words in a text."""
    return [
        f"{text}: say {use}"
        for use, older in WORDS.items()
        if re.search(older, text.text, re.IGNORECASE if older.islower() else 0)
        and (text.file, use) not in EXCEPTIONS
    ]


FILES = sorted(file for file in (*(ROOT / "tui").rglob("*.py"), ROOT / "README.md"))


@pytest.mark.parametrize(
    ("text", "use"),
    [
        ("It is above the label's limit.", "max pressure"),
        ("Saved; u takes it back.", "u undoes it"),
        ("20 to 80 mm is accepted", "use ..."),
        ("STALE: last good answer", "OLD: last valid result"),
        ("Fix what is marked in the panels first.", "OLD: last valid result"),
        ("Revision 3 goes on; others stay.", "conflicting versions, current"),
    ],
)
def test_an_older_word_is_found_with_what_to_say(text: str, use: str) -> None:
    assert any(said.endswith(f"say {use}") for said in older_words(Text("", 1, text)))


def test_docstrings_are_no_texts_and_what_is_put_in_is_left_open() -> None:
    module = '"""The ring on the shaft."""\nA = f"{1} goes {2} on"\nB = "two " "parts"\n"""Old words."""\n'
    assert [text.text for text in texts_of(module)] == ["{} goes {} on", "two parts"]


def test_every_text_has_the_names_of_the_trade() -> None:
    found = [said for file in FILES for text in seen_in(file) for said in older_words(text)]
    assert not found, "\n".join(found)


def test_no_text_names_a_letter_that_is_no_key() -> None:
    letters = {
        folder: {
            action.letter for action in keymap.actions if action.letter and PROGRAM not in action.shelves
        }
        for folder, keymap in KEYMAPS.items()
    }
    program = {action.letter for action in BENCH.shelf(PROGRAM)}
    names = {action.name for action in BENCH.actions}
    wrong = []
    for file in FILES:
        for text in seen_in(file):
            table = re.search(r"\| (linkage|records) \|", text.text)
            place = f"tui/{table[1]}" if table else text.file
            known = next(those for folder, those in letters.items() if place.startswith(folder))
            if re.search(KEYS, text.text):
                wrong.append(f"{text}: name the act, or Space and its letter")
            for letter in re.findall(r"Space(?:,? then)?,? ([a-z])\b", text.text):
                if letter not in known and "Space Space" not in text.text:
                    wrong.append(f"{text}: the menu has no {letter}")
            wrong += [
                f"{text}: no {x}" for x in re.findall(r"Space Space ([a-z])\b", text.text) if x not in program
            ]
            wrong += [
                f"{text}: no {x}" for x in re.findall(r"/ finds '([^']+)'", text.text) if x not in names
            ]
    assert not wrong, "\n".join(wrong)


ACT, ACT_SENTENCE, LABEL = 24, 90, 17
"""Cells that the name of an act, its sentence, and the label of a field or a figure may take."""


def test_every_act_fits_and_has_a_sentence() -> None:
    named = [action for action in BENCH.actions if action.name]
    assert len(named) > 50
    assert [action.name for action in named if len(action.name) > ACT] == []
    for keymap in (BENCH, LINKAGE, RECORDS):
        for action in keymap.actions:
            assert action.meaning.endswith("."), action.id
            assert len(action.meaning) <= ACT_SENTENCE, action.meaning
            assert not older_words(Text("", 0, f"{action.label} {action.name}")), action.id


def test_every_view_fits_and_has_a_sentence() -> None:
    for view in VIEW_ROWS.values():
        assert 0 < len(view.name) <= ACT
        assert view.help.endswith("."), view.help
        assert view.sentence.endswith("."), view.sentence
        assert len(view.sentence) <= ACT_SENTENCE, view.sentence
        assert not older_words(Text("", 0, view.name)), view.id


def test_every_field_fits_and_has_a_sentence() -> None:
    fields = tuple(every_field())
    assert len(fields) > 80
    assert [field.label for field in fields if len(field.label) > LABEL] == []
    assert [field.label for field in fields if not field.meaning.endswith(".")] == []


@pytest.mark.parametrize("fork", [False, True])
def test_every_figure_fits_and_has_a_sentence(fork: bool) -> None:
    figures = every_figure(fork)
    assert len(figures) > 40
    assert [figure.label for figure in figures if len(figure.label) > LABEL] == []
    for figure in figures:
        label, meaning = meaning_of(figure.name, fork)
        assert label, figure.name
        assert meaning.endswith("."), figure.name
