"""Themes as data: the shipped ones, a user's own, their faults, and the choice for a terminal."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from textual.app import App

from tui import themes
from tui.bench.prompts import NotePrompt
from tui.kit.look import ASCII, CONSOLE, UTF8, glyphs_for
from tui.kit.prompts import LineInput

GOOD = (Path(__file__).parents[2] / "themes" / "dark.toml").read_text(encoding="utf-8")
NAMES = {"dark", "light", "high-contrast", "sixteen", "plain"}


def test_every_shipped_theme_is_good() -> None:
    found = themes.find_themes(Path("/nowhere"))
    assert found.faults == ()
    assert set(found.themes) == NAMES
    for theme in found.themes.values():
        assert len(theme.look.lines) >= 6
        assert theme.textual().name == theme.name
        assert all(line.marker.isascii() for line in theme.chart(ASCII).lines)


def test_few_and_no_colours_are_promised_by_name() -> None:
    found = themes.find_themes(Path("/nowhere")).themes
    for name in ("sixteen", "plain"):
        theme = found[name]
        colours = [*theme.ui.values(), *(line.colour for line in theme.look.lines)]
        assert theme.ansi
        assert all(colour.startswith("ansi_") for colour in colours)
        if name == "plain":
            assert set(colours) == {"ansi_default"}


def test_a_theme_of_ones_own_goes_first(tmp_path: Path) -> None:
    (tmp_path / "dark.toml").write_text(GOOD.replace("#64a79c", "#123456", 1), encoding="utf-8")
    (tmp_path / "mine.toml").write_text(GOOD, encoding="utf-8")
    found = themes.find_themes(tmp_path)
    assert found.faults == ()
    assert found.themes["dark"].look.line(0).colour == "#123456"
    assert "mine" in found.themes


def test_a_shipped_theme_is_read_when_it_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    reading = themes.read_theme

    def read_theme(source: Path) -> themes.ThemeData:
        read.append(source.stem)
        return reading(source)

    monkeypatch.setattr(themes, "read_theme", read_theme)
    found = themes.find_themes(Path("/nowhere"))
    assert len(found.themes) == 5
    assert read == []
    assert found.themes["light"] is found.themes["light"]
    assert read == ["light"]


def test_every_fault_of_a_theme_is_reported_at_once(tmp_path: Path) -> None:
    bad = GOOD.replace('primary = "#8fbf7f"', 'primry = "#8fbf7f"').replace('"#b077ec"', '"mauve"', 1)
    bad = bad.replace('marker = "◆"', 'marker = "●"').replace('"braille"', '"curly"').replace("= 1", "= 2")
    head, lines = bad.split("[[line]]", 1)
    head = head.replace('"◎"', '"✦"').replace("[chamber.negative]", "[chamber.vacuum]")
    bad = f"{head}[[line]]{lines}".replace('"▽"', '"▽▽"')
    (tmp_path / "bad.toml").write_text(bad, encoding="utf-8")
    (tmp_path / "worse.toml").write_text("format = [", encoding="utf-8")
    found = themes.find_themes(tmp_path)
    assert "bad" not in found.themes
    assert set(found.themes) == NAMES
    text = "\n".join(found.faults)
    for words in (
        'ui.primry is not known; did you mean "primary"?',
        "ui.primary is missing",
        "line 3: colour cannot be 'mauve'",
        "line 4: ● is a marker of line 1 already",
        "line_style cannot be 'curly'",
        "format cannot be 2",
        "line 5: slow_marker cannot be '▽▽'; use one character of one cell",
        "chamber.vacuum is not known",
        "chamber.negative: colour is missing",
        "chamber.positive: ✦ is a marker of chamber.total already",
        "worse.toml: is not TOML",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a = " + b"[" * 5000, "is not TOML"),
        (b"format = " + b"9" * 5000, "is not TOML"),
        (b"\0", "is not TOML"),
        (b"\xff\xfe", "cannot be read"),
        (b"#" * 200_000, "is larger than 100 kB"),
        (None, "cannot be read"),
    ],
    ids=["deep", "digits", "nul", "bytes", "large", "pipe"],
)
def test_what_is_no_theme_is_told_and_the_others_stay(
    content: bytes | None, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "own.toml"
    if content is None:
        os.mkfifo(path)
    else:
        path.write_bytes(content)
    found = themes.find_themes(tmp_path)
    assert set(found.themes) == NAMES
    [fault] = found.faults
    assert said in fault
    assert "own.toml" in fault
    assert len(fault) < 300


def test_a_theme_without_chambers_takes_its_first_lines_for_them(tmp_path: Path) -> None:
    before, rest = GOOD.split("[chamber.total]")
    lines = rest[rest.index("[[line]]") :]
    (tmp_path / "mine.toml").write_text(before + lines, encoding="utf-8")
    found = themes.find_themes(tmp_path)
    assert found.faults == ()
    look = found.themes["mine"].look
    assert look.chambers == look.lines[:3]


def test_a_theme_may_leave_out_what_stands_behind_a_chart(tmp_path: Path) -> None:
    kept = "".join(line for line in GOOD.splitlines(True) if not line.startswith(("shade", "band")))
    (tmp_path / "older.toml").write_text(kept, encoding="utf-8")
    (tmp_path / "bad.toml").write_text(GOOD.replace("shade =", "shadow ="), encoding="utf-8")
    found = themes.find_themes(tmp_path)
    assert [fault.partition(": ")[2] for fault in found.faults] == [
        'chart.shadow is not known; did you mean "shade"?'
    ]
    assert (found.themes["older"].look.shade, found.themes["older"].look.band) == ("", "")
    assert found.themes["dark"].look.shade.startswith("#")


def test_the_old_name_of_the_hollow_marker_is_read(tmp_path: Path) -> None:
    (tmp_path / "old.toml").write_text(GOOD.replace("slow_marker", "fast_marker"), encoding="utf-8")
    (tmp_path / "new.toml").write_text(GOOD, encoding="utf-8")
    found = themes.find_themes(tmp_path)
    assert found.faults == ()
    assert found.themes["old"].look == found.themes["new"].look


def test_too_few_lines_are_refused(tmp_path: Path) -> None:
    head = GOOD[: GOOD.index("[[line]]")]
    one = '[[line]]\ncolour = "#7fd1ae"\nmarker = "●"\nslow_marker = "○"\n'
    (tmp_path / "short.toml").write_text(head + one, encoding="utf-8")
    assert "only 1 [[line]] tables" in "".join(themes.find_themes(tmp_path).faults)


@pytest.mark.parametrize(
    ("environ", "name"),
    [
        ({"NO_COLOR": "1", "COLORTERM": "truecolor"}, "plain"),
        ({"NO_COLOR": "", "COLORTERM": "truecolor"}, "dark"),
        ({"TERM": "xterm-256color"}, "dark"),
        ({"TERM": "linux"}, "sixteen"),
        ({"TERM": "xterm"}, "sixteen"),
        ({}, "sixteen"),
    ],
)
def test_the_terminal_chooses(environ: dict[str, str], name: str) -> None:
    assert themes.default_theme(environ) == name


def test_a_theme_can_be_asked_for_by_name() -> None:
    found = themes.find_themes(Path("/nowhere"))
    deep = {"COLORTERM": "truecolor"}
    assert found.choose(deep | {"SPRINGWRIGHT_THEME": "light"})[0].name == "light"
    assert found.choose(deep | {"SPRINGWRIGHT_THEME": ""})[0].name == "dark"
    assert found.choose({"SPRINGWRIGHT_THEME": "light", "NO_COLOR": "1"})[0].name == "plain"
    theme, fault = found.choose(deep | {"SPRINGWRIGHT_THEME": "lite"})
    assert theme.name == "dark"
    assert fault == (
        "SPRINGWRIGHT_THEME: there is no theme 'lite'; use dark, high-contrast, light, plain or sixteen"
    )


def test_the_theme_of_the_last_time_comes_back_where_this_terminal_can_show_it() -> None:
    found = themes.find_themes(Path("/nowhere"))
    deep, few = {"COLORTERM": "truecolor", "TERM": "xterm-256color"}, {"TERM": "linux"}
    assert found.choose(deep, "light") == (found.themes["light"], "")
    assert found.choose(deep, "plain") == (found.themes["plain"], "")
    assert found.choose(few, "plain") == (found.themes["plain"], "")
    assert found.choose(few, "light") == (found.themes["sixteen"], "")
    assert found.choose(deep, "gone") == found.choose(deep, "") == (found.themes["dark"], "")
    assert found.choose(deep | {"NO_COLOR": "1"}, "light") == (found.themes["plain"], "")
    assert found.choose(deep | {"SPRINGWRIGHT_THEME": "dark"}, "light") == (found.themes["dark"], "")
    assert found.choose(deep | {"SPRINGWRIGHT_THEME": "lite"}, "light")[0].name == "dark"


def test_an_empty_no_color_is_taken_out() -> None:
    empty, asked = {"NO_COLOR": ""}, {"NO_COLOR": "1"}
    themes.forget_empty_no_color(empty)
    themes.forget_empty_no_color(asked)
    assert empty == {}
    assert asked == {"NO_COLOR": "1"}


@pytest.mark.parametrize(
    ("environ", "encoding", "expected"),
    [
        ({}, "UTF-8", UTF8),
        ({}, "utf8", UTF8),
        ({}, "ANSI_X3.4-1968", ASCII),
        ({"TERM": "linux"}, "UTF-8", CONSOLE),
        ({"TERM": "linux"}, "ISO-8859-1", ASCII),
        ({"TERM": "linux", "LANG": "C"}, "UTF-8", ASCII),
        ({"TERM": "linux", "SPRINGWRIGHT_ASCII": "1"}, "UTF-8", ASCII),
        ({"SPRINGWRIGHT_ASCII": "1"}, "UTF-8", ASCII),
        ({"SPRINGWRIGHT_ASCII": "0"}, "UTF-8", UTF8),
        # What Python makes of a plain locale is not what the terminal can show.
        ({"LANG": "C", "LC_CTYPE": "C.UTF-8"}, "UTF-8", ASCII),
        ({"LANG": "POSIX"}, "UTF-8", ASCII),
        ({"LC_ALL": "C", "LANG": "de_DE.UTF-8"}, "UTF-8", ASCII),
        ({"LC_CTYPE": "UTF-8"}, "UTF-8", UTF8),
        ({"LANG": "C", "LC_CTYPE": "en_GB.UTF-8"}, "UTF-8", UTF8),
        ({"LANG": "C", "LC_ALL": "C.UTF-8"}, "UTF-8", UTF8),
        ({"LANG": "C.UTF-8"}, "UTF-8", UTF8),
    ],
)
def test_characters_follow_the_locale(environ: dict[str, str], encoding: str, expected: object) -> None:
    assert glyphs_for(environ, encoding) is expected


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("name", ["dark", "high-contrast", "light", "plain", "sixteen"])
async def test_the_caret_of_a_prompt_is_seen(name: str) -> None:
    theme = themes.find_themes(Path("/nowhere")).themes[name]

    class Asked(App[None]):
        def on_mount(self) -> None:
            self.register_theme(theme.textual())
            self.theme = name
            self.push_screen(NotePrompt("", UTF8))

    async with Asked(ansi_color=theme.ansi).run_test() as pilot:
        await pilot.pause()
        caret = pilot.app.screen.query_one(LineInput).get_component_rich_style("input--cursor")
    if theme.ansi:  # of the terminal's own colours only the reverse is sure to be seen
        assert caret.reverse
        assert {colour.name for colour in (caret.color, caret.bgcolor) if colour} <= {"default"}
    else:
        assert not caret.reverse
        assert caret.color != caret.bgcolor
