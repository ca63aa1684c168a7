"""The worked examples in the docstrings of the drawing and page rooms are true."""

import doctest
import importlib
import pkgutil

import pytest

import gripwright.draw
import gripwright.page

MODULES = [
    f"{room.__name__}.{found.name}"
    for room in (gripwright.draw, gripwright.page)
    for found in pkgutil.iter_modules(room.__path__)
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    """Every example prints what it says."""
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    """The set of modules with examples is not empty."""
    finder = doctest.DocTestFinder()
    found = [test for name in MODULES for test in finder.find(importlib.import_module(name))]
    assert sum(bool(test.examples) for test in found) > 10
