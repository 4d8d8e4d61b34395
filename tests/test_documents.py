"""The documents say what the program does: printed from it, or tried against it."""

from __future__ import annotations

import ast
import calendar
import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command

from docs.make import COMMAND, FOLDER, PAGES, contexts
from safety_check.cli.app import build_app
from safety_check.rules.hazards import HAZARDS
from safety_check.settings.limits import load_default_limits
from safety_check.sources import registry

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "safety_check"
BY_PATH = {context.command_path: context for context in contexts()}
COMMANDS = {
    path: context for path, context in BY_PATH.items() if not hasattr(context.command, "commands")
}


# -- pages printed from the program --------------------------------------------------------------


@pytest.mark.parametrize("name", PAGES)
def test_a_printed_page_says_what_the_program_says(name: str) -> None:
    kept = (FOLDER / name).read_text(encoding="utf-8")
    assert kept == PAGES[name](), f"docs/{name} is stale. Print it anew with: {COMMAND}"


@pytest.mark.thorough
def test_a_printed_page_does_not_depend_on_who_prints_it(tmp_path: Path) -> None:
    code = (
        "import json; from docs.make import PAGES;"
        " print(json.dumps({name: page() for name, page in PAGES.items()}))"
    )
    elsewhere = {
        **{"COLUMNS": "40", "TZ": "Asia/Tokyo", "LC_ALL": "C", "PYTHONHASHSEED": "7"},
        **{"HOME": str(tmp_path), "SAFETY_CHECK_HOME": str(tmp_path / "home")},
    }
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=os.environ | elsewhere,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == {name: page() for name, page in PAGES.items()}


def test_the_commands_page_is_what_a_terminal_of_80_columns_shows(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    page, program = PAGES["commands.md"](), get_command(build_app())
    for path in BY_PATH:
        program([*path.split()[1:], "--help"], prog_name="safety-check", standalone_mode=False)
        assert f"## {path}\n\n```\n{capsys.readouterr().out.rstrip()}\n```\n" in page


def test_no_limit_is_without_a_hazard_and_no_hazard_without_a_limit() -> None:
    assert {quantity for quantity, _ in load_default_limits()} == {
        hazard.weighs for hazard in HAZARDS
    }


# -- every command, hazard and source is explained -----------------------------------------------


@pytest.mark.parametrize("path", COMMANDS)
def test_a_command_shows_an_example_of_itself_that_it_takes(path: str) -> None:
    said = COMMANDS[path].command.help
    found = re.search(r"Example: (.+?)(?:\n\n|\Z)", said, re.DOTALL)
    assert found, f"{path}: its docstring has no line that starts with Example:"
    example = " ".join(found[1].split())
    short = path.removesuffix(" write")  # the default command of a group may be left out
    assert f"{example} ".startswith(f"{short} ")
    _taken(example)


def _taken(line: str) -> None:
    """Parse a command line as the app would, without running it; it raises what a user sees."""
    words = _before_the_shell(shlex.split(line))
    path = max(
        (one_path for one_path in BY_PATH if words[: len(one_path.split())] == one_path.split()),
        key=len,
    )
    default = getattr(BY_PATH[path].command, "default_command", "")
    if default:  # "plan WATER" is short for "plan write WATER"
        words[len(path.split()) :] = [default, *words[len(path.split()) :]]
        path = f"{path} {default}"
    assert path in COMMANDS, f"{line!r} names no command"
    context = COMMANDS[path]
    rest = words[len(path.split()) :]
    context.command.make_context(context.info_name, rest, parent=context.parent).close()


def _before_the_shell(words: list[str]) -> list[str]:
    return words[: next((i for i, word in enumerate(words) if word in SHELL), len(words))]


SHELL = ("&&", "||", "|", ">", "<", ";")


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
def test_a_hazard_says_why_it_is_one_and_what_it_can_not_see(hazard: Any) -> None:
    for field in ("rationale", "limitations", "says", "remedy"):
        assert len(getattr(hazard, field).split()) >= 2, field


@pytest.mark.parametrize("hazard", HAZARDS, ids=lambda hazard: hazard.name)
def test_a_command_that_a_hazard_advises_is_one(hazard: Any) -> None:
    if hazard.remedy.startswith("safety-check "):
        _taken(hazard.remedy)
    for option in re.findall(r"--[a-z-]+", hazard.remedy):
        assert any(option in command.get_help() for command in COMMANDS.values()), option


def _asked_sources() -> set[str]:
    """Return every source that an adapter names when it asks."""
    named = set()
    for path in (PACKAGE / "sources").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        constants = _text_constants(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") in ("read", "get"):
                for keyword in node.keywords:
                    if keyword.arg == "source":
                        named.add(_text(keyword.value, constants))
    return named - {""}


def _text_constants(tree: ast.Module) -> dict[str, str]:
    """Return the text constants at the top of a module by their names."""
    return {
        node.targets[0].id: _text(node.value, {})
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }


def _text(node: ast.expr, constants: dict[str, str]) -> str:
    """Return the text that an expression stands for; empty where it is none."""
    if isinstance(node, ast.Name):
        return constants.get(node.id, "")
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


@pytest.mark.promise("sources are named")
def test_a_source_has_an_adapter_that_asks_it_an_attribution_and_terms() -> None:
    known = registry.load_sources()
    # The services of official warnings have one adapter; tests of it ask each of them.
    own = {name for name, source in known.items() if source.covers != registry.COUNTRIES}
    assert own == _asked_sources()
    for name, source in known.items():
        assert source.attribution.strip(), name
        assert source.terms.strip(), name


# -- references ----------------------------------------------------------------------------------

REFERENCES = (FOLDER / "references.md").read_text(encoding="utf-8")
ENTRIES = [
    " ".join(match.split())
    for match in re.findall(r"^- (\*\*.+?)(?=\n[-\n]|\Z)", REFERENCES, re.DOTALL | re.MULTILINE)
]
CITED = {
    found[1]: one_entry
    for one_entry in ENTRIES
    if (found := re.match(r"\*\*\[(.+?)\]\*\*", one_entry))
}
CODE = {
    path: path.read_text(encoding="utf-8")
    for folder in (PACKAGE, ROOT / "benchmarks")
    for path in folder.rglob("*.py")
}
KEY = r"[A-Z][A-Za-z]+(?:\d{3,4}|-I+-\d)?"


def test_a_key_that_the_code_cites_is_explained_once_and_none_besides() -> None:
    used = {key for text in CODE.values() for key in re.findall(rf"\.\. \[({KEY})\]", text)}
    named = {
        key for text in CODE.values() for key in re.findall(r"\[([A-Z][a-zA-Z]+\d{4})\]", text)
    }
    listed = re.findall(r"^- \*\*\[(.+?)\]\*\*", REFERENCES, re.MULTILINE)
    assert sorted(listed) == sorted(used)
    assert named <= used


def test_a_formula_cites_by_key_only() -> None:
    for path, text in CODE.items():
        if path.parent.name == "physics":
            for key in re.findall(r"\.\. \[(.+?)\]", text):
                assert re.fullmatch(KEY, key), f"{path.name}: [{key}] is no key"


MARKS = ("read", "second-hand", "from memory, not read")


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.split("**")[1])
def test_a_reference_says_how_far_it_is_known(entry: str) -> None:
    marks = [match.casefold() for match in re.findall(r"\*([A-Za-z][^*]+)\*", entry)]
    assert any(mark.endswith(MARKS) for mark in marks)


def test_what_the_code_knows_from_memory_or_second_hand_is_no_more_in_the_references() -> None:
    for text in CODE.values():
        for key, cited in re.findall(rf"\.\. \[({KEY})\](.+?)(?=\n\n|\n *\.\. |\n *\"\"\")",
                                     text, re.DOTALL):  # fmt: skip
            for mark in ("from memory", "second-hand"):
                if mark in " ".join(cited.split()):
                    assert mark in CITED[key].casefold(), f"[{key}] is {mark} in the code"


CONFIG = " ".join(
    path.read_text(encoding="utf-8") for path in sorted((ROOT / "config").glob("*.toml"))
)
IDENTIFIER = (
    r"NWS \d+-\d+|\d+ CFR \d+\.\d+|Directive \d+/\d+/EU|NVIC \d+-\d+"
    r"|WMO(?:-No\. |/TD-)\d+|Handbook No\. \d+"
)


def test_an_official_paper_that_the_configuration_names_is_in_the_references() -> None:
    flat = " ".join(REFERENCES.split())
    for paper in sorted(set(re.findall(IDENTIFIER, CONFIG))):
        assert paper in flat, f"{paper} is named in config/, and docs/references.md lacks it"


def test_a_work_that_the_configuration_names_by_author_and_year_is_in_the_references() -> None:
    cited = r"([A-Z][a-z]+)(?: and [A-Z][a-z]+| et al\.)? ((?:19|20)\d\d)\b"
    for name, year in sorted(set(re.findall(cited, CONFIG))):
        if name not in calendar.month_name:
            assert any(name in entry and year in entry for entry in ENTRIES), f"{name} {year}"


def test_words_that_the_references_quote_from_the_configuration_stand_there() -> None:
    said = " ".join((CONFIG, *CODE.values()))
    for entry in ENTRIES[len(CITED) :]:
        for words in re.findall(r"\*\*(.+?)\*\*", entry):
            assert words in said, f"{words!r} is no longer named in config/"


# -- command lines and links that the documents show ---------------------------------------------

TOP = sorted(ROOT.glob("*.md"))
DOCUMENTS = [*TOP, *sorted(FOLDER.rglob("*.md"))]


def _shown(text: str) -> list[str]:
    """Return the lines of a document's code blocks, and its code within the text."""
    parts = re.split(r"^```.*$", text, flags=re.MULTILINE)
    lines = "\n".join(parts[1::2]).replace("\\\n", " ").splitlines()
    return lines + re.findall(r"`([^`\n]+)`", "\n".join(parts[::2]))


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_a_command_line_that_a_document_shows_is_one(path: Path) -> None:
    for line in _shown(path.read_text(encoding="utf-8")):
        if line.startswith("safety-check "):
            _taken(line)


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_a_link_between_documents_leads_somewhere(path: Path) -> None:
    for target in re.findall(r"\]\((?!https?://)([^)#]+)\)", path.read_text(encoding="utf-8")):
        assert (path.parent / target).exists(), target
