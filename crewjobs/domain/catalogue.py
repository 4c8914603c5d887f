"""Finds the files of a folder in which one file is one rule, or one part of the work."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType


def modules(package: ModuleType) -> Iterator[tuple[str, ModuleType]]:
    """The name and module of every file in the package's folder, by name.

    Examples
    --------
    >>> from crewjobs.domain import rules
    >>> names = [name for name, _ in modules(rules)]
    >>> names == sorted(names)
    True
    """
    for found in sorted(iter_modules(package.__path__), key=lambda module: module.name):
        yield found.name, import_module(f"{package.__name__}.{found.name}")
