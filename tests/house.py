"""Reads a tree of this project and says where it breaks the house style: `file:line what`.

Every reader takes the root, so that test_fences.py can hand it a tree broken on purpose.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).parent.parent
DRAWERS = {"utils", "helpers", "common", "base", "manager", "tools", "lib", "misc"}
LIBRARIES = {"numpy"}
LIBRARIES_OF = {
    "scheduling": {"highspy", "pyvrp"},
    "order_proof": {"ortools"},
    "learning": {"scipy"},
}
FOLDERS_OF_FILES = ("domain/rules", "domain/hours/elements", "domain/kit/things")
CATCHES_BROADLY = ("crewjobs/tasks.py", "crewjobs/management/")
NAMELESS = {"value", "limit", "values"}
"""Quantities of any unit: only functions that compare or show them take these."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Module:
    """One file of code."""

    root: Path
    path: Path

    @cached_property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text)

    @property
    def where(self) -> str:
        return self.path.relative_to(self.root).as_posix()

    @property
    def name(self) -> str:
        return self.where.removesuffix(".py").replace("/", ".").removesuffix(".__init__")

    def at(self, node: ast.AST, what: str) -> str:
        return f"{self.where}:{getattr(node, 'lineno', 1)} {what}"

    def functions(self) -> Iterator[Function]:
        return (node for node in ast.walk(self.tree) if isinstance(node, Function))


@cache
def modules(root: Path = ROOT, *folders: str) -> tuple[Module, ...]:
    """The files of some folders, without migrations and empty ones."""
    paths = sorted(p for f in folders or ("crewjobs", "config") for p in (root / f).rglob("*.py"))
    found = [Module(root, path) for path in paths if "migrations" not in path.parts]
    return tuple(module for module in found if module.text.strip())


def domain(root: Path) -> tuple[Module, ...]:
    return modules(root, "crewjobs/domain")


def length(function: Function) -> int:
    return (function.end_lineno or 0) - function.lineno + 1


def share(values: list[int], at: float) -> int:
    """The value below which this share of them lies."""
    return sorted(values)[round(at * (len(values) - 1))] if values else 0


# Names


def floats_without_unit(root: Path, suffixes: tuple[str, ...]) -> list[str]:
    """Numbers of the domain and columns of the models whose name does not end in a unit."""
    found = []
    for module in domain(root):
        for node, name in _floats(module):
            if not _has_unit(name, suffixes) and name not in NAMELESS:
                found.append(module.at(node, name))
    for module in modules(root, "crewjobs/models"):
        for node, name in _float_columns(module):
            if not _has_unit(name, suffixes):
                found.append(module.at(node, name))
    return found


def _has_unit(name: str, suffixes: tuple[str, ...]) -> bool:
    return f"_{name.lower()}".endswith(suffixes)


def _floats(module: Module) -> Iterator[tuple[ast.AST, str]]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            if _is_float(node.annotation):
                yield node, node.target.id
        elif isinstance(node, ast.arg) and _is_float(node.annotation):
            yield node, node.arg
        elif isinstance(node, Function) and _is_float(node.returns) and node.name[:2] != "__":
            yield node, node.name


def _is_float(annotation: ast.AST | None) -> bool:
    if isinstance(annotation, ast.BinOp):
        return _is_float(annotation.left) or _is_float(annotation.right)
    return isinstance(annotation, ast.Name) and annotation.id == "float"


def _float_columns(module: Module) -> Iterator[tuple[ast.AST, str]]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Assign) and "FloatField" in ast.unparse(node.value):
            yield from ((node, target.id) for target in node.targets if hasattr(target, "id"))


def drawers(root: Path) -> list[str]:
    """Files and folders named for anything and so for nothing."""
    paths = [p for folder in ("crewjobs", "config", "tests") for p in (root / folder).rglob("*")]
    return [str(path) for path in paths if path.stem.strip("_") in DRAWERS]


# Imports


def _imports(tree: ast.AST) -> Iterator[tuple[ast.AST, str, list[str]]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node, alias.name, []) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node, node.module or "", [alias.name for alias in node.names]


def foreign_to_the_domain(root: Path) -> list[str]:
    """Imports of the domain that are neither Python's own nor allowed."""
    found = []
    for module in domain(root):
        own = {lib for part, libs in LIBRARIES_OF.items() if part in module.name for lib in libs}
        allowed = LIBRARIES | own | set(sys.stdlib_module_names)
        for node, name, _ in _imports(module.tree):
            if not name.startswith("crewjobs.domain") and name.partition(".")[0] not in allowed:
                found.append(module.at(node, name))
    return found


def imports_in_functions(root: Path) -> list[str]:
    found = [
        module.at(node, f"imports {name}")
        for module in modules(root)
        for function in module.functions()
        for node, name, _ in _imports(function)
    ]
    return sorted(set(found))


def cycles(root: Path) -> list[set[str]]:
    """Modules that need each other, imports inside functions counted."""
    names = {module.name for module in modules(root)}
    edges: dict[str, set[str]] = {}
    for module in modules(root):
        to = set()
        for _, name, parts in _imports(module.tree):
            inner = {f"{name}.{part}" for part in parts} & names
            to |= inner or ({name} & names)
        edges[module.name] = to - {module.name}
    reach = {name: _reach(name, edges) for name in edges}
    return [{a, b} for a in reach for b in reach[a] if a < b and a in reach.get(b, ())]


def _reach(start: str, edges: dict[str, set[str]]) -> set[str]:
    found: set[str] = set()
    todo = [start]
    while todo:
        new = edges.get(todo.pop(), set()) - found
        found |= new
        todo += new
    return found


# Functions


def too_long(root: Path, lines: int = 50) -> list[str]:
    return [
        module.at(function, f"{function.name} has {length(function)} lines")
        for module in modules(root, "crewjobs", "config", "tests")
        for function in module.functions()
        if length(function) > lines
    ]


def too_long_modules(root: Path, lines: int = 500) -> list[str]:
    found = modules(root, "crewjobs", "config", "tests")
    return [each.where for each in found if len(each.text.splitlines()) > lines]


def untyped(root: Path) -> list[str]:
    return [
        module.at(function, function.name)
        for module in modules(root)
        for function in module.functions()
        if function.returns is None
    ]


def any_in_the_domain(root: Path) -> list[str]:
    found = []
    for module in domain(root):
        for function in module.functions():
            said = [function.returns, *(arg.annotation for arg in _arguments(function))]
            if any(_says_any(annotation) for annotation in said):
                found.append(module.at(function, function.name))
    return found


def _arguments(function: Function) -> list[ast.arg]:
    args = function.args
    extra = [arg for arg in (args.vararg, args.kwarg) if arg]
    return [*args.posonlyargs, *args.args, *args.kwonlyargs, *extra]


def _says_any(annotation: ast.AST | None) -> bool:
    return annotation is not None and bool(re.search(r"\bAny\b", ast.unparse(annotation)))


def broad_excepts(root: Path) -> list[str]:
    """Places that catch everything, apart from those that must go on to the next item."""
    return [
        module.at(node, ast.unparse(node.type) if node.type else "everything")
        for module in modules(root)
        if not module.where.startswith(CATCHES_BROADLY)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or re.search(r"\b(Base)?Exception\b", ast.unparse(node.type)))
    ]


# Words


def undocumented(root: Path) -> list[str]:
    """Modules, public classes and public functions of the domain without a docstring."""
    found = []
    for module in domain(root):
        if not ast.get_docstring(module.tree):
            found.append(module.at(module.tree, "the module"))
        public = _public(module.tree)
        found += [module.at(node, node.name) for node in public if not ast.get_docstring(node)]
    return found


def _public(tree: ast.Module | ast.ClassDef) -> Iterator[Function | ast.ClassDef]:
    for node in tree.body:
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from _public(node)


def formulas_without_example(root: Path) -> list[str]:
    """Public functions of the domain that return a number and show none."""
    return [
        module.at(node, node.name)
        for module in domain(root)
        for node in module.tree.body
        if isinstance(node, Function)
        and not node.name.startswith("_")
        and _is_float(node.returns)
        and ">>>" not in (ast.get_docstring(node) or "")
    ]


def rules_without_source_or_test(root: Path) -> list[str]:
    """One file is one rule (or one part of the work): with a source, and with a test beside it."""
    found = []
    for folder in FOLDERS_OF_FILES:
        for module in modules(root, f"crewjobs/{folder}"):
            if module.path.name == "__init__.py":
                continue
            if not re.search(r"^SOURCE\b.*=", module.text, re.MULTILINE):
                found.append(f"{module.where} has no SOURCE")
            test = root / "tests" / folder / f"test_{module.path.name}"
            if not test.exists():
                found.append(f"{module.where} has no test")
    return found


def tests_that_patch(root: Path) -> tuple[list[str], int]:
    """The tests that replace something of ours, and how many tests there are."""
    found, total = [], 0
    for module in modules(root, "tests"):
        for function in module.functions():
            if function.name.startswith("test_"):
                total += 1
                text = ast.unparse(function)
                if re.search(r"monkeypatch\.setattr|\bmock\b|\bpatch\(|\bmocker\b", text):
                    found.append(module.at(function, function.name))
    return found, total
