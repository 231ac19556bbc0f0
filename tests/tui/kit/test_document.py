"""A document as plain lines and as rows of cells."""

from __future__ import annotations

import re

from tui.kit.cells import cells, text_of
from tui.kit.document import (
    Block,
    Cell,
    Document,
    Drawing,
    Heading,
    Paragraph,
    SetupName,
    Table,
    caution,
    plain_lines,
)
from tui.kit.dressing import dressed, least_width
from tui.kit.look import UTF8
from tui.kit.roles import Role
from tui.themes import find_themes

LOOK = find_themes().themes["dark"].chart(UTF8)
TABLE = Table((("", "now", "found"), ("rate", "80", "95")), plain=("rate: 80 to 95",), last_from=0)


def shown(*blocks: Block, fork: bool = False, width: int = 40) -> list[str]:
    """Return the lines of a view of so many cells."""
    drawn = {"bar": lambda room: [cells("#" * room, Role.QUIET)]}
    return text_of(dressed(Document(blocks, fork), width, LOOK, drawn)).split("\n")


def plain(*blocks: Block, fork: bool = False) -> list[str]:
    """Return the plain lines."""
    return plain_lines(Document(blocks, fork))


def test_each_dresser_has_its_own_form_of_a_block() -> None:
    """What has no form for one of them is left out there."""
    blocks = (
        Heading("Searched"),
        Paragraph("On the screen", plain="In the lines"),
        Paragraph("Here alone", plain=""),
        Paragraph("", plain="There alone"),
        Paragraph(""),
        TABLE,
        caution("Let air out."),
        Drawing("bar"),
    )
    assert shown(*blocks, width=16) == [
        "", "SEARCHED", "On the screen", "Here alone", "      now  found", "rate   80     95",
        "! Let air out.", "#" * 16,
    ]  # fmt: skip
    assert plain(*blocks) == [
        "  In the lines", "  There alone", "  rate: 80 to 95", "  Caution: Let air out."
    ]  # fmt: skip


def test_a_caution_of_a_setup_has_its_mark_and_the_whole_name() -> None:
    of = SetupName("air 2", 1)
    mark, name = LOOK.glyphs.caution, f"{LOOK.marker(1)} air 2"
    blocks = (Paragraph("Too little air.", Role.CAUTION, of=of), Paragraph("Fine.", of=of))
    [caution, plain] = dressed(Document(blocks), 40, LOOK)
    assert text_of([caution, plain]) == f"{mark} {name}: Too little air.\n{name}: Fine."
    assert {role for _, role in caution[2 : 2 + len(name)]} == {Role.SETUP + 1}


def test_further_lines_hang_under_the_first() -> None:
    """The lead stands once; a gap is one empty line, and none where nothing is said."""
    block = Paragraph("one two three four", lead="> 1 ", gap=True)
    assert shown(block, width=14) == ["", "> 1 one two", "    three four"]
    assert shown(Paragraph("", gap=True)) == [""]


def test_a_fork_is_spoken_of_in_its_words_and_names_are_left() -> None:
    """Both dressers put the program's words into those of a fork, never what somebody typed."""
    blocks = (
        Heading("At full stroke", plain="At full stroke"),
        Paragraph("Open the shock"),
        Paragraph("With Shock 2 in its place", verbatim=True),
        SetupName("My shock", 0),
    )
    assert shown(*blocks, fork=True) == [
        "", "AT FULL TRAVEL", "Open the fork", "With Shock 2 in its place", f"{LOOK.marker(0)} My shock"
    ]  # fmt: skip
    assert plain(*blocks, fork=True) == ["  At full travel", "  Open the fork", "  With Shock 2 in its place"]
    assert plain(*blocks)[1] == "  Open the shock"


def test_the_last_column_is_left_out_where_it_has_no_room() -> None:
    """It has none in a view narrower than the table, or than the table asks for."""
    assert shown(TABLE, width=15) == ["      now", "rate   80"]
    wide = Table(TABLE.rows, last_from=40)
    assert shown(wide, width=39) == ["      now", "rate   80"]
    assert shown(wide, width=40)[0].endswith("found")
    assert shown(Table(TABLE.rows), width=3)[0].endswith("found")


def test_units_stand_below_their_names_in_a_narrow_view() -> None:
    """A cell may have a role of its own, and a setup's name is one."""
    table = Table((("at", "sag"), (Cell("5", Role.QUIET), "30")), units=("C", "%"))
    assert shown(table, width=20) == ["at C  sag %", "5        30"]
    assert shown(table, width=8) == ["at sag", "C    %", "5   30"]
    rows = dressed(Document((table, Table(((SetupName("A", 1),),)))), 20, LOOK)
    assert rows[1][0] == ("5", Role.QUIET)
    assert {role for _text, role in rows[2]} == {Role.SETUP + 1}


def test_a_long_name_of_a_setup_is_cut_before_a_column_is_left_out() -> None:
    names = SetupName("air, two spacers and a long name", 0), SetupName("coil", 1)
    page = Document(
        (Table((("", names[0], "diff.", names[1]), ("sag", "29.0", "+1.0", "28.0")), last_from=0),)
    )
    whole = text_of(dressed(page, 60, LOOK)).splitlines()
    assert whole[0].strip().split("  ")[-3:] == ["● air, two spacers and a long name", "diff.", "▲ coil"]
    for width in (least_width(page, LOOK), 45):
        cut = text_of(dressed(page, width, LOOK)).splitlines()
        assert re.fullmatch(r" +● air, two sp…  diff\.  ▲ coil", cut[0])
        assert cut[1].split() == ["sag", "29.0", "+1.0", "28.0"]
    assert "coil" not in text_of(dressed(page, least_width(page, LOOK) - 1, LOOK))


def test_a_table_that_is_too_wide_leaves_out_whole_columns_and_says_so() -> None:
    """A number that is cut would be another number."""
    table = Table((("", "rear", "front", "difference"), ("sag mm", "42.9", "30.3", "-12.6")))
    assert shown(table, width=40)[0].split() == ["rear", "front", "difference"]
    assert shown(table, width=22) == ["       rear front …", "sag mm 42.9  30.3"]
    spared = Table((*(row + ("end",) for row in table.rows),), last_from=80)
    assert shown(spared, width=22) == ["       rear front …", "sag mm 42.9  30.3"]
