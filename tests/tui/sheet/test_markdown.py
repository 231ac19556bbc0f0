"""The sheet as Markdown: its structure, and names that are only names."""

import re

from tests.tui.sheet.sheets import full_job, hostile_job, sheet
from tui.sheet.text import markdown, plain


def test_headings_lists_and_boxes() -> None:
    text = markdown(sheet(full_job(), workings=True))
    assert text.startswith("# Setup sheet: Demo trail bike (invented figures)\n")
    assert re.findall(r"^## (.*)$", text, re.MULTILINE) == [
        "To set",
        "Safety first",
        "Rear wheel",
        "Front wheel",
        "Hand over",
        "Workings: rear wheel",
        "Workings: front wheel",
        "Inputs, as entered",
    ]
    assert "- **Customer:** Jo Example\n" in text
    assert text.count("- [ ] ") == 8 + 3
    assert "- **Set pressure at full extension:** 205 psi" in text


def test_it_says_what_the_plain_text_says() -> None:
    def words(text: str) -> set[str]:
        return set(re.findall(r"[\w.,%/]+", text.replace("_", "")))

    made = sheet(full_job(), workings=True)
    assert words(plain(made)) <= words(markdown(made)) | {"Caution"}


def test_hostile_names_are_only_names() -> None:
    text = markdown(sheet(hostile_job()))
    assert "\x1b" not in text
    assert "<script>" not in text
    assert not re.search(r"(?<!\\)\[x", text)
    assert not re.search(r"(?<!\\)`", text)
    assert r"\<script\>alert(1)\</script\> \*\*b\*\* \[x\]" in text


def test_a_name_cannot_begin_a_list_or_a_heading() -> None:
    job = full_job().with_value(("setup", 0, "name"), "1. # x").with_value(("record", "bike"), "- y " * 40)
    lines = markdown(sheet(job, workings=True)).splitlines()
    assert not [line for line in lines if re.match(r" +(- |\d+\. |\+ |#)", line) and "**" not in line]
