"""Each fence is broken on purpose, in a copy of the tree, and must be seen to hold.

All breaks stand in the copy at once, so that each tool runs once.
"""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from crewjobs.domain import units
from tests import house

BIN = Path(sys.executable).parent
LATER = "def later() -> None:\n    import {}\n"
TYPED = "from typing import TYPE_CHECKING\n\nif TYPE_CHECKING:\n    import {}\n"

IMPORTS = {
    "the domain takes Django": ("domain/scheduling/zz_plain", "import django.db"),
    "the same inside a function": ("domain/rules/zz_later", LATER.format("django.db")),
    "the same for its types alone": ("domain/hours/zz_typed", TYPED.format("crewjobs.models")),
    "a table calls an action": ("models/zz_table", LATER.format("crewjobs.actions.log")),
    "a table calls a door": ("models/zz_door", "import crewjobs.feeds"),
    "the API uses a page": ("api/zz_api", "import crewjobs.web.urls"),
    "a page uses the API": ("web/zz_page", "import crewjobs.api.urls"),
    "an action uses a door": ("actions/zz_action", "import crewjobs.tasks"),
    "rows ask who may": ("snapshots/zz_rows", "import crewjobs.permissions"),
    "a rule knows a rule": ("domain/rules/zz_one", "import crewjobs.domain.rules.zz_two"),
    "a part of the work knows another": (
        "domain/hours/elements/zz_one", "import crewjobs.domain.hours.elements.zz_two",
    ),
    "a part of the work knows a rule": (
        "domain/hours/elements/zz_three", "import crewjobs.domain.rules.zz_two",
    ),
    "a thing of the kit knows another": (
        "domain/kit/things/zz_one", "import crewjobs.domain.kit.things.zz_two",
    ),
    "a rule plans": ("domain/rules/zz_plans", "import crewjobs.domain.scheduling"),
    "an action writes a calendar": ("actions/zz_calendar", "import icalendar"),
    "a page speaks DRF": ("web/zz_drf", "import rest_framework"),
    "an action waits for Celery": ("actions/zz_celery", "import celery"),
    "an action signs": ("actions/zz_signs", "import standardwebhooks"),
    "an action decodes pictures": ("actions/zz_pictures", "import PIL"),
    "an action sets type": ("actions/zz_sets_type", "import reportlab"),
    "an action solves": ("actions/zz_solves", "import highspy"),
    "a page is its own server": ("web/zz_serves", "import gunicorn"),
    "an action asks Redis": ("actions/zz_redis", "import redis"),
    "the code reads how it is put together": ("actions/zz_config", "import config.settings"),
}  # fmt: skip
CLOCKS = {
    "actions/zz_now": "from django.utils import timezone\n\nNOW = timezone.now()",
    "domain/zz_today": "import datetime as dt\n\nTODAY = dt.date.today()",
    "domain/scheduling/zz_timer": "import time\n\nSTART_S = time.perf_counter()",
    "models/zz_sleeps": "import time\n\ntime.sleep(1)",
}
HOUSE = {
    "domain/zz_number": "WIDTH: float = 3\n\n\ndef mass(depth: float | None) -> float: ...",
    "domain/zz_any": "from typing import Any\n\n\ndef fits(thing: Any) -> bool: ...",
    "domain/zz_foreign": "import requests",
    "domain/rules/zz_bare": '"""A rule without source and test."""',
    "models/zz_column": "class Row:\n    width = models.FloatField()",
    "actions/helpers": '"""A drawer."""',
    "actions/zz_catches": "try:\n    pass\nexcept Exception:\n    pass",
    "actions/zz_long": "def long():\n" + "    pass\n" * 60,
    "actions/zz_huge": "pass\n" * 501,
    "actions/zz_here": "import crewjobs.actions.zz_there",
    "actions/zz_there": LATER.format("crewjobs.actions.zz_here"),
}


def copy(to: Path) -> Path:
    for name in ("crewjobs", "config"):
        shutil.copytree(house.ROOT / name, to / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(house.ROOT / "pyproject.toml", to)
    (to / "tests").mkdir()
    return to


def put(root: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        (root / "crewjobs" / f"{name}.py").write_text(text, encoding="utf-8")


def complaints(root: Path, *command: str) -> str:
    done = subprocess.run(
        [str(BIN / command[0]), *command[1:]], cwd=root, capture_output=True, text=True
    )
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def imports(tmp_path_factory) -> str:
    root = copy(tmp_path_factory.mktemp("imports"))
    put(root, dict(IMPORTS.values()))
    folders = ("domain/rules", "domain/hours/elements", "domain/kit/things")
    put(root, {f"{folder}/zz_two": "" for folder in folders})
    return complaints(root, "lint-imports", "--no-cache")


@pytest.mark.parametrize("what", IMPORTS)
def test_an_import_that_points_the_wrong_way(imports, what) -> None:
    path, text = IMPORTS[what]
    importer = f"crewjobs.{path.replace('/', '.')}"
    imported = text.split("import ")[-1].strip()
    if not imported.startswith(("crewjobs", "config")):
        imported = imported.partition(".")[0]
    assert f"{importer} -> {imported}" in imports


@pytest.mark.parametrize("path", ["odds", "domain/ends"])
def test_a_file_without_a_place(tmp_path, path) -> None:
    root = copy(tmp_path)
    put(root, {path: '"""Odds and ends."""'})
    assert path.rpartition("/")[2] in complaints(root, "lint-imports", "--no-cache")


@pytest.fixture(scope="module")
def clocks(tmp_path_factory) -> str:
    root = copy(tmp_path_factory.mktemp("clocks"))
    put(root, CLOCKS)
    return complaints(root, "ruff", "check", "--output-format", "concise", "--select", "TID251")


@pytest.mark.parametrize("path", CLOCKS)
def test_a_clock_read_behind_the_doors(clocks, path) -> None:
    assert f"crewjobs/{path}.py" in clocks


@pytest.fixture(scope="module")
def odd(tmp_path_factory) -> Path:
    root = copy(tmp_path_factory.mktemp("house"))
    put(root, HOUSE)
    return root


def test_a_number_without_a_unit(odd) -> None:
    said = "\n".join(house.floats_without_unit(odd, units.SUFFIXES))
    for name in ("zz_number.py:1 WIDTH", "zz_number.py:4 mass", "zz_number.py:4 depth",
                 "zz_column.py:2 width"):  # fmt: skip
        assert name in said


@pytest.mark.parametrize(
    ("reader", "said"),
    [
        (house.any_in_the_domain, "zz_any.py:4 fits"),
        (house.foreign_to_the_domain, "zz_foreign.py:1 requests"),
        (house.rules_without_source_or_test, "zz_bare.py has no SOURCE"),
        (house.rules_without_source_or_test, "zz_bare.py has no test"),
        (house.drawers, "helpers.py"),
        (house.broad_excepts, "zz_catches.py:3 Exception"),
        (house.too_long, "zz_long.py:1 long has 61 lines"),
        (house.too_long_modules, "zz_huge.py"),
        (house.untyped, "zz_long.py:1 long"),
        (house.imports_in_functions, "zz_there.py:2 imports crewjobs.actions.zz_here"),
        (house.undocumented, "zz_number.py:4 mass"),
        (house.formulas_without_example, "zz_number.py:4 mass"),
    ],
)
def test_what_the_house_does_not_want(odd, reader, said) -> None:
    assert said in "\n".join(reader(odd))


def test_a_cycle_through_a_function(odd) -> None:
    assert {"crewjobs.actions.zz_here", "crewjobs.actions.zz_there"} in house.cycles(odd)


def test_a_test_that_patches(tmp_path) -> None:
    (tmp_path / "tests").mkdir()
    text = "def test_one(monkeypatch):\n    monkeypatch.setattr(a, 'b', 1)\n\ndef test_two(): ...\n"
    (tmp_path / "tests" / "test_it.py").write_text(text, encoding="utf-8")
    assert house.tests_that_patch(tmp_path) == (["tests/test_it.py:1 test_one"], 2)


def test_a_new_rule_needs_no_other_edit(tmp_path) -> None:
    root = copy(tmp_path)
    title, check = '"""A trial of the fences."""', "def check(job):\n    yield from ()\n"
    rule = f'{title}\n\nSOURCE = "none"\nGUARDS = ()\n\n\n{check}'
    put(root, {"domain/rules/zz_trial": rule})
    code = "from crewjobs.domain import rules; print(rules.titles()['zz_trial'])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    assert done.stdout == "A trial of the fences.\n"
