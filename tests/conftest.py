"""What all tests share: the shipped tables are read, and their candidates made, once a worker.

Tests pick hundreds of small projects; a project without rows of its own reads the very same files each time.
"""

from copy import copy
from dataclasses import replace
from pathlib import Path

import pytest

from selector.catalogue import catalogue as tables
from selector.catalogue import families


@pytest.fixture(autouse=True, scope="session")
def shipped_tables_once():
    read, make, known, made = tables.load, families.candidates, {}, {}

    def load(folder=None, project_folder=None, encoding=None, idle=True):
        if folder is not None or encoding is not None or (project_folder is not None and Path(project_folder).exists()):
            return read(folder, project_folder, encoding, idle)
        if idle not in known:
            known[idle] = read(None, None, None, idle)
        own = copy(known[idle])  # what a run notes on it, or puts into it, stays its own
        own.frames, own.headers, own.hashes = dict(own.frames), dict(own.headers), dict(own.hashes)
        own.hints, own.own_rows = list(own.hints), list(own.own_rows)
        own.shipped = True
        return own

    def candidates(family, catalogue, rule):
        if not getattr(catalogue, "shipped", False) or family.name not in families.FAMILIES:
            return make(family, catalogue, rule)
        key = family.name, rule["rule_set"]
        if key not in made:
            made[key] = make(family, catalogue, rule)
        return replace(made[key], columns=dict(made[key].columns), words=dict(made[key].words))

    tables.load, families.candidates = load, candidates
    yield
    tables.load, families.candidates = read, make
