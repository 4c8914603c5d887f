"""The house style, held by machines. `pytest tests/test_house_style.py -s` prints the ruler."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import call_command

from crewjobs.domain import units
from tests import house
from tests.house import ROOT

BIN = Path(sys.executable).parent
TOP = {
    "README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "docker-compose.yml",
    "crewjobs", "config", "tests",
}  # fmt: skip
NEVER = {
    "an address of a package registry": r"pypi\.or[g]|pythonhosted\.or[g]|npmjs\.(or[g]|com)",
    "a folder of one machine": r"(?<![\w.])/(wor[k]|roo[t]|hom[e])/|\.\./share[d]",
    "a word about who wrote it": r"(?i)\b(sub-?agen[t]|assistan[t]|chatbo[t])",
    "something left to do": r"\b(TOD[O]|FIXM[E]|XX[X])\b",
}


def tool(*words: str) -> None:
    """Run a tool on the tree; its complaints are the failure."""
    command = [str(BIN / words[0]), *words[1:]]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def tracked() -> list[str]:
    """The files that belong to the project."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return [name for name in done.stdout.splitlines() if (ROOT / name).is_file()]


def test_ruff_has_nothing_to_say() -> None:
    tool("ruff", "check", "--output-format", "concise", ".")


def test_ruff_would_format_nothing() -> None:
    tool("ruff", "format", "--check", ".")


def test_types_hold() -> None:
    tool("mypy")


def test_imports_point_inwards() -> None:
    tool("lint-imports")


@pytest.mark.django_db
def test_every_change_of_a_table_has_its_migration() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_functions_and_modules_stay_short() -> None:
    assert house.too_long(ROOT) == []
    assert house.too_long_modules(ROOT) == []


def test_the_ruler() -> None:
    modules = house.modules()
    lines = [len(module.text.splitlines()) for module in modules]
    functions = [house.length(each) for module in modules for each in module.functions()]
    tests = [
        house.length(each)
        for module in house.modules(ROOT, "tests")
        for each in module.functions()
        if each.name.startswith("test_")
    ]
    for name, sizes in (("modules", lines), ("functions", functions), ("tests", tests)):
        print(f"{len(sizes)} {name}: {[house.share(sizes, at) for at in (0.5, 0.9, 1)]} lines")
    assert house.share(functions, 0.5) <= 8
    assert house.share(functions, 0.9) <= 25
    assert house.share(lines, 0.5) <= 120
    assert house.share(lines, 0.9) <= 300
    assert house.share(tests, 0.5) <= 10
    assert house.share(tests, 0.9) <= 25


def test_every_number_names_its_unit() -> None:
    assert house.floats_without_unit(ROOT, units.SUFFIXES) == []


def test_nothing_is_called_after_a_drawer() -> None:
    assert house.drawers(ROOT) == []


def test_the_domain_is_plain() -> None:
    assert house.foreign_to_the_domain(ROOT) == []
    assert house.any_in_the_domain(ROOT) == []


def test_every_function_is_typed() -> None:
    assert house.untyped(ROOT) == []


def test_imports_stand_at_the_top_and_form_no_cycle() -> None:
    assert house.imports_in_functions(ROOT) == []
    assert house.cycles(ROOT) == []


def test_only_workers_catch_everything() -> None:
    assert house.broad_excepts(ROOT) == []


def test_the_domain_is_documented_with_examples() -> None:
    assert house.undocumented(ROOT) == []
    assert house.formulas_without_example(ROOT) == []


def test_a_rule_has_a_source_and_a_test() -> None:
    assert house.rules_without_source_or_test(ROOT) == []


def test_hardly_a_test_patches_anything() -> None:
    patching, total = house.tests_that_patch(ROOT)
    assert len(patching) <= 0.02 * total, patching


def test_the_top_level_is_as_designed() -> None:
    assert {name.partition("/")[0] for name in tracked() if not name.startswith(".")} == TOP


def test_the_project_speaks_of_itself_alone() -> None:
    found = []
    for name in tracked():
        try:
            text = (ROOT / name).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for what, pattern in NEVER.items():
            found += [f"{name}: {what}: {hit[0]}" for hit in re.finditer(pattern, text)]
    assert found == []


@pytest.mark.parametrize("name", ["run", "scale", "dev"])
def test_locks_hold_hashes_and_no_address(name) -> None:
    text = (ROOT / ".ci" / f"{name}.lock").read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^(-|.*\B@\B.*)(?<!hash)", text, re.MULTILINE)
    wanted = re.split(r"(?<!\\)\n(?=\S)", text.strip())
    assert all(re.match(r"[a-z0-9.-]+==\S+.*--hash=sha256:", each, re.DOTALL) for each in wanted)


def test_locks_agree_and_hold_what_pyproject_asks_for() -> None:
    locks = {name: pinned(name) for name in ("run", "scale", "dev")}
    for name in ("run", "scale"):
        assert locks[name].items() <= locks["dev"].items()
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    asked = re.findall(r'^    "([A-Za-z0-9-]+)', text[: text.index("[tool.")], re.MULTILINE)
    assert {each.lower() for each in asked} <= locks["dev"].keys()


def pinned(name: str) -> dict[str, str]:
    text = (ROOT / ".ci" / f"{name}.lock").read_text(encoding="utf-8")
    return dict(re.findall(r"^([a-z0-9.-]+)==(\S+)", text, re.MULTILINE))


def test_the_guide_is_short_and_true() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(guide.split()) <= 1500
    missing = [name for name in settings_read() if f"`{name}`" not in guide]
    assert missing == []


def settings_read() -> set[str]:
    """The variables that the settings take from the environment."""
    found = (module.text for module in house.modules(ROOT, "config"))
    return {name for text in found for name in re.findall(r'environment\.\w+\(\s*"(\w+)"', text)}


def test_the_tree_in_the_guide_is_the_tree_on_disk() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn = re.search(r"```text\n(crewjobs/\n.*?)```", guide, re.DOTALL)
    assert drawn
    said = set()
    folders: list[str] = []
    for line in drawn[1].splitlines():
        depth = (len(line) - len(line.lstrip())) // 2
        for word in re.split(r"\s{2,}", line.strip())[0].split():
            folders[depth:] = [word.rstrip("/")]
            said.add("/".join(folders[: depth + 1]))
    assert {path for path in said if not (ROOT / path).exists()} == set()
    two_deep = {
        "/".join(Path(name).parts[:2]) for name in tracked() if name.startswith("crewjobs/")
    }
    assert {path for path in two_deep if path not in said and "__init__" not in path} == set()


def test_the_readme_says_what_is_run() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    lines = re.findall(r"^python3 -m venv .*$", readme, re.MULTILINE)
    assert len(lines) == 2
    assert lines[0].endswith("manage.py demo")
    assert lines[1].endswith(".venv/bin/pytest")
    assert lines[1] in script.splitlines()
    assert os.access(ROOT / ".ci" / "run", os.X_OK)
