"""The two commands of the README, which `.ci/run` carries out as they stand there."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

FENCE = re.compile(r"^<!-- command: (\w+) -->\n```sh\n(.*?)\n```$", re.MULTILINE | re.DOTALL)
EVERY = re.compile(r"^```(?:sh|powershell)\n(.*?)\n```$", re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def readme(checkout: Path) -> str:
    """The text of the README."""
    return (checkout / "README.md").read_text(encoding="utf-8")


def test_each_command_is_one_line(readme: str) -> None:
    """One to plan the sample, one to run the tests; each is one copy-and-paste line."""
    commands = dict(FENCE.findall(readme))
    assert set(commands) == {"plan", "test"}
    assert all("\n" not in line for line in commands.values())


def test_first_command_plans_the_sample_and_draws_it(readme: str, sample: Path) -> None:
    """It ends by planning the shipped sample, at the hour that sample starts."""
    last = dict(FENCE.findall(readme))["plan"].rsplit(" && ", 1)[1]
    start = re.search(r"^start = (\S+)", (sample / "project.toml").read_text(), re.MULTILINE)
    assert last.startswith(f".venv/bin/fabsched plan sample_projects/{sample.name} --now ")
    assert start is not None
    assert start[1].startswith(last.split("--now ")[1].split()[0])


def test_every_system_shows_both_commands(readme: str) -> None:
    """Debian, macOS and Windows: two commands each, all of them planning and testing alike."""
    section = readme.split("## Two commands\n", 1)[1].split("\n## ", 1)[0]
    lines = EVERY.findall(section)
    assert len(lines) == 6
    tails = [line.replace("\\", "/").rsplit("fabsched plan ", 1)[-1] for line in lines[::2]]
    assert len({tail.removesuffix(" }") for tail in tails}) == 1
    assert all("pytest" in line for line in lines[1::2])


def test_ci_script_reads_as_a_script(checkout: Path) -> None:
    """Bash finds no fault in the grammar of `.ci/run`."""
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash here")
    subprocess.run([bash, "-n", str(checkout / ".ci" / "run")], check=True)  # noqa: S603 - our own
