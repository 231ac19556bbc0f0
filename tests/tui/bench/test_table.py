"""The table on a screen."""

from dataclasses import replace

import pytest
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.message import Message
from textual.pilot import Pilot

from physics.answer import Answer
from tests.tui.looks import LOOK, PLAIN_LOOK, six, two
from tui.bench.table import FIX_FIRST, NO_ANSWER, FigureTable
from tui.job.figures import figure_rows
from tui.kit.look import ChartLook
from tui.shop_units import METRIC, USUAL


class Bench(App[None]):
    def __init__(self, look: ChartLook = LOOK) -> None:
        super().__init__()
        self.table = FigureTable(look)
        self.messages: list[Message] = []

    def compose(self) -> ComposeResult:
        yield self.table

    def on_figure_table_row_selected(self, message: FigureTable.RowSelected) -> None:
        self.messages.append(message)

    def on_figure_table_setup_selected(self, message: FigureTable.SetupSelected) -> None:
        self.messages.append(message)


def lines(pilot: Pilot[None]) -> list[str]:
    table = pilot.app.query_one(FigureTable)
    return [table.render_line(y).text for y in range(table.size.height)]


async def shown(
    pilot: Pilot[None], answer: Answer | None, *, stale: bool = False, selected: int = 0
) -> list[str]:
    pilot.app.query_one(FigureTable).show(answer, USUAL, stale=stale, selected=selected)
    await pilot.pause()
    return lines(pilot)


@pytest.mark.fast_cases(2)
@pytest.mark.parametrize("width", [30, 40, 60, 80, 120, 200])
@pytest.mark.parametrize("look", [LOOK, PLAIN_LOOK], ids=["utf8", "ascii"])
async def test_every_line_has_its_width_and_the_selected_setup_is_in_sight(
    width: int, look: ChartLook
) -> None:
    async with Bench(look).run_test(size=(width, 24)) as pilot:
        for selected in range(6):
            found = await shown(pilot, six(), selected=selected)
            marker = f"{look.glyphs.selected}{look.marker(selected)}"
            assert marker in found[0]
            assert {len(line) for line in found} == {width}
            assert "OK" in found[1]
            if look is PLAIN_LOOK:
                assert "".join(found).isascii()


@pytest.mark.slow
async def test_no_number_is_cut_at_any_width() -> None:
    for width in (30, 46, 47, 48, 80, 133):
        async with Bench().run_test(size=(width, 90)) as pilot:
            found = await shown(pilot, two(), selected=1)
            for row, line in zip(figure_rows(two(), USUAL), found[1:], strict=False):
                assert line[2:].lower().startswith(row.label[:12].lower())
                if not row.is_heading:
                    assert row.values[1] in line.split()


async def test_a_number_that_is_too_long_is_said_in_words() -> None:
    answer = two()
    heavy = replace(answer.setups[0].riding, bottom_wheel_force=answer.setups[0].riding.energy_total * 1e14)
    huge = replace(answer, setups=(replace(answer.setups[0], riding=heavy),))
    async with Bench().run_test(size=(30, 70)) as pilot:
        line = next(line for line in await shown(pilot, huge) if "bottom-out, w" in line)
        assert line.split() == ["bottom-out,", "w…", "too", "big"]


async def test_stale_figures_say_so_in_words() -> None:
    async with Bench().run_test(size=(80, 24)) as pilot:
        fresh = await shown(pilot, two())
        stale = await shown(pilot, two(), stale=True)
        assert "OLD: last valid result" in stale[0]
        assert fresh[1:] == stale[1:]
    async with Bench().run_test(size=(30, 24)) as pilot:
        assert "OLD" in (await shown(pilot, two(), stale=True))[0]


async def test_without_an_answer_it_says_what_to_do() -> None:
    async with Bench().run_test(size=(80, 24)) as pilot:
        assert (await shown(pilot, None))[0].strip() == f"{NO_ANSWER} {FIX_FIRST}"
        await pilot.press("down", "pageup", "right")
        assert pilot.app.query_one(FigureTable).row_key == ""


@pytest.mark.slow
async def test_the_cursor_skips_headings_and_stays_in_sight() -> None:
    async with Bench().run_test(size=(80, 12)) as pilot:
        await shown(pilot, two())
        table = pilot.app.query_one(FigureTable)
        assert table.row_key == "state"
        table.focus()
        keys = [row.key for row in figure_rows(two(), USUAL) if not row.is_heading]
        for key in keys[1:]:
            await pilot.press("down")
            assert table.row_key == key
            assert len([line for line in lines(pilot)[1:] if line.startswith(LOOK.glyphs.selected)]) == 1
        assert isinstance(pilot.app, Bench)
        assert [message.key for message in pilot.app.messages] == keys[1:]  # type: ignore[attr-defined]
        await pilot.press("down")
        assert table.row_key == keys[-1]
        await pilot.press("home")
        assert table.row_key == keys[0]
        await pilot.press("pagedown")
        assert table.row_key == keys[10]


async def test_the_heading_of_the_top_row_is_shown_with_it() -> None:
    async with Bench().run_test(size=(80, 6)) as pilot:
        await shown(pilot, two())
        pilot.app.query_one(FigureTable).focus()
        await pilot.press("end", *["up"] * 60)
        await pilot.press("down")
        assert lines(pilot)[2].split() == ["SETTING", "AND", "SAG"]


async def test_sideways_asks_for_the_next_setup() -> None:
    async with Bench().run_test(size=(80, 12)) as pilot:
        await shown(pilot, six(), selected=4)
        pilot.app.query_one(FigureTable).focus()
        await pilot.press("right", "left")
        assert isinstance(pilot.app, Bench)
        assert [message.index for message in pilot.app.messages] == [5, 3]  # type: ignore[attr-defined]


async def test_names_are_shown_as_they_are_and_never_reach_the_terminal_as_codes() -> None:
    answer = two()
    names = ("[red]x[/]", "a\x1b[2Jb\u202ec")
    named = replace(
        answer,
        setups=tuple(replace(setup, name=name) for setup, name in zip(answer.setups, names, strict=True)),
    )
    async with Bench().run_test(size=(120, 12)) as pilot:
        header = (await shown(pilot, named))[0]
        assert "[red]x[/]" in header
        assert "a[2Jbc" in header
    async with Bench(PLAIN_LOOK).run_test(size=(120, 12)) as pilot:
        accented = replace(answer, setups=(replace(answer.setups[0], name="Größe 右"), answer.setups[1]))
        assert "Gro?e ?" in (await shown(pilot, accented))[0]


async def test_only_changed_cells_are_repainted() -> None:
    async with Bench().run_test(size=(80, 60)) as pilot:
        answer = two()
        await shown(pilot, answer)
        table = pilot.app.query_one(FigureTable)
        painted: list[Region] = []
        table.refresh = lambda *regions, **_: painted.extend(regions) or table  # type: ignore[method-assign,func-returns-value]
        table.show(answer, USUAL)
        assert painted == []
        ridden = replace(answer.setups[0].riding, drop_height=answer.setups[0].riding.drop_height * 2)
        table.show(
            replace(answer, setups=(replace(answer.setups[0], riding=ridden), answer.setups[1])), USUAL
        )
        line = next(y for y, text in enumerate(lines(pilot)) if "undamped drop" in text)
        assert {region.y for region in painted} == {line}
        assert sum(region.width for region in painted) < 20
        painted.clear()
        table.show(answer, METRIC)
        assert painted


async def test_a_look_changes_the_markers() -> None:
    async with Bench().run_test(size=(80, 12)) as pilot:
        await shown(pilot, two())
        pilot.app.query_one(FigureTable).look = PLAIN_LOOK
        assert ">A coil" in lines(pilot)[0]


async def test_a_click_selects_a_row() -> None:
    async with Bench().run_test(size=(80, 12)) as pilot:
        await shown(pilot, two())
        await pilot.click(FigureTable, offset=(4, 4))
        assert pilot.app.query_one(FigureTable).row_key == "rate"
        await pilot.click(FigureTable, offset=(4, 2))
        assert pilot.app.query_one(FigureTable).row_key == "rate"
