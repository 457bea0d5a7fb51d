"""The examples in the docstrings of core are true."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

from tagtrack.core import READING_ORDER

WITH_EXAMPLES = ["spelling", "axes", "tagcode", "marks", "hardware", "places", "records"]


@pytest.mark.parametrize("name", READING_ORDER)
def test_the_examples_of_a_module_are_true(name):
    outcome = doctest.testmod(import_module(f"tagtrack.core.{name}"))
    assert outcome.failed == 0
    assert outcome.attempted or name not in WITH_EXAMPLES
