"""What is made when the package is built: completion for the shells and the manual page."""

import argparse
import importlib.util
import re
import subprocess
import tomllib
from pathlib import Path
from types import ModuleType

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

from tui.commands import parser

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def hook() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_hook", ROOT / ".packaging" / "build_hook.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def commands() -> list[str]:
    (acts,) = (one for one in parser()._actions if isinstance(one, argparse._SubParsersAction))
    return list(acts.choices)


def test_completion_and_manual_page_have_every_command(hook: ModuleType, tmp_path: Path) -> None:
    written = dict(hook.write(ROOT, tmp_path))
    assert sorted(written.values()) == [
        "share/bash-completion/completions/springwright",
        "share/fish/vendor_completions.d/springwright.fish",
        "share/man/man1/springwright.1",
        "share/zsh/site-functions/_springwright",
    ]
    assert len(commands()) > 10
    for source in written:
        text = source.read_text("utf-8")
        assert [name for name in commands() if name not in text] == []


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("ri", "ride"), ("ride --hei", "--height"), ("sheet --form", "--format"), ("ride --event roa", "road")],
)
def test_bash_completes_commands_options_and_words(
    hook: ModuleType, tmp_path: Path, typed: str, offered: str
) -> None:
    hook.write(ROOT, tmp_path)
    words = ["springwright", *typed.split()]
    script = (
        f"source {tmp_path}/springwright.bash; COMP_WORDS=({' '.join(words)}); "
        f"COMP_CWORD={len(words) - 1}; _shtab_springwright; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    )
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True)
    assert offered in done.stdout.split()


def test_the_lock_has_every_dependency_in_its_range_with_checksums() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    asked = [*project["dependencies"]]
    for extra in ("postgresql", "test", "lint"):
        asked += project["optional-dependencies"][extra]
    locked: dict[str, list[Version]] = {}
    text = (ROOT / ".packaging" / "requirements.lock").read_text("utf-8")
    for entry in re.split(r"\n(?=[a-z])", "\n" + text.split("\n", 2)[2])[1:]:
        name, version = re.match(r"([a-z0-9-]+)==([^ ]+) ", entry).groups()  # type: ignore[union-attr]
        locked.setdefault(name, []).append(Version(version))
        assert re.findall(r"--hash=sha256:[0-9a-f]{64}(?: |$)", entry, re.MULTILINE), name
    for one in map(Requirement, asked):
        versions = locked[one.name.lower().replace("_", "-")]
        assert all(one.specifier.contains(version) for version in versions), one
    assert "://" not in text
