"""Work out facts on whatever is handed in: blocks of places and candidates, picks, changed picks, workbook cells.

A fact is a function whose parameter names are names of other facts or of columns. Columns that belong to one end of
a connection (its terminal, its lug, its sleeve) are told apart by the end: the fact that reads them is worked out once
for each. Inside a fact the same names serve both ends; from outside, ``from_`` and ``to_`` before a name choose one.
"""

import inspect
from functools import cached_property

from selector.errors import DefinitionError, Problem
from selector.facts.distinct import distinct_rows

ENDS = ("from", "to")


def distinct(function):
    """Mark a fact as dear: the evaluator works it out once per distinct set of its row-wise inputs."""
    function.distinct = True
    return function


class Registry:
    """The facts by name, with what each needs; a ring of facts is refused when it is built."""

    def __init__(self, modules, end_columns):
        self.functions = {}
        for module in modules:
            for name, function in vars(module).items():
                if inspect.isfunction(function) and function.__module__ == module.__name__ and name[0] != "_":
                    self.functions[name] = function
        self.parameters = {name: _parameters_of(function) for name, function in self.functions.items()}
        self.end_columns = frozenset(end_columns)
        self._leaves = {}
        self._split = {}
        self._by_end = {}
        self._keys = {}
        self._at_best = {}
        self._resting = {}
        for name in self.functions:
            self.leaves(name)

    def leaves(self, name, above=()):
        """The column names a fact rests on, through all facts between; a column is its own leaf."""
        if name in self._leaves:
            return self._leaves[name]
        if name in above:
            ring = " -> ".join((*above[above.index(name) :], name))
            raise DefinitionError("", [Problem("facts", None, name, ring, "facts that do not lead back to themselves")])
        base, end = self.split_end(name)
        if end is not None:
            found = frozenset(f"{end}_{leaf}" if self._of_an_end(leaf) else leaf for leaf in self.leaves(base, above))
        elif name not in self.functions:
            found = frozenset([name])
        else:
            found = frozenset().union(*(self.leaves(p, (*above, name)) for p in self.parameters[name]))
        self._leaves[name] = found
        return found

    def leaves_at_best(self, name, bounds):
        """The leaves of a fact when those in ``bounds`` stand at their bound: a fact, or a number that has none."""
        asked = name, tuple(bounds.items())
        if asked not in self._at_best:
            self._at_best[asked] = self._leaves_at_best(name, bounds)
        return self._at_best[asked]

    def _leaves_at_best(self, name, bounds):
        if name in bounds:
            return self.leaves(bounds[name]) if isinstance(bounds[name], str) else frozenset()
        base, end = self.split_end(name)
        if end is not None:
            return frozenset(
                f"{end}_{leaf}" if self._of_an_end(leaf) else leaf for leaf in self.leaves_at_best(base, bounds)
            )
        if name not in self.functions:
            return frozenset([name])
        return frozenset().union(*(self.leaves_at_best(p, bounds) for p in self.parameters[name]))

    def split_end(self, name):
        """``("terminal_limit_k", "from")`` for ``from_terminal_limit_k``; the name and None for any other."""
        if name not in self._split:
            self._split[name] = self._split_end(name)
        return self._split[name]

    def _split_end(self, name):
        for end in ENDS:
            base = name[len(end) + 1 :]
            if name.startswith(f"{end}_") and (base in self.functions or self._of_an_end(base)):
                return base, end
        return name, None

    def _of_an_end(self, column):
        return column in self.end_columns or column.startswith(("lug_", "sleeve_"))

    def differs_by_end(self, name):
        """Whether a fact or column has a value of its own at each end."""
        if name not in self._by_end:
            self._by_end[name] = any(self._of_an_end(leaf) for leaf in self.leaves(name))
        return self._by_end[name]

    def key(self, name, end):
        """(name, end) under which a value asked for as ``name`` at ``end`` is known; the end None where it does not differ."""
        found = self._keys.get((name, end))
        if found is None:
            base, named_end = self.split_end(name)
            whose = named_end or end
            found = self._keys[name, end] = base, whose if whose is not None and self.differs_by_end(base) else None
        return found

    def rests_on(self, name, others):
        """Whether a fact is, or leads back to, one of the names in ``others``."""
        asked = name, frozenset(others)
        if asked not in self._resting:
            base, _ = self.split_end(name)
            self._resting[asked] = name in others or any(
                self.rests_on(p, asked[1]) for p in self.parameters.get(base, ())
            )
        return self._resting[asked]

    @cached_property
    def dear(self):
        """Names of the facts worked out only where it matters."""
        return frozenset(name for name, f in self.functions.items() if getattr(f, "distinct", False))


def _parameters_of(function):
    """Names of a function's parameters; `inspect.signature` takes ten times as long over some hundred facts."""
    code = function.__code__
    return code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]


class Evaluation:
    """Facts on one set of columns, each worked out once.

    ``columns`` maps a name, or ``(name, end)`` for what belongs to an end, to floats, arrays that broadcast against
    each other, tuples of such, or cells. A name nobody supplies is a definition error.
    """

    def __init__(self, registry, columns):
        self.registry = registry
        self.columns = columns
        self._known = {}

    def value(self, name, end=None):
        """The value of a fact or column, at ``end`` where it differs by end."""
        key = self.registry.key(name, end)
        if key in self._known:
            return self._known[key]
        value = self._known[key] = self._work_out(*key)
        return value

    def _work_out(self, name, end):
        columns = self.columns
        if end is not None and (name, end) in columns:
            return columns[name, end]
        if name in columns:
            return columns[name]
        function = self.registry.functions.get(name)
        if function is None:
            raise DefinitionError("", [Problem("facts", None, name, "nothing", "a column or a fact of that name")])
        values = [self.value(parameter, end) for parameter in self.registry.parameters[name]]
        if name in self.registry.dear:
            return _once_per_distinct_row(function, values)
        return function(*values)


def _once_per_distinct_row(function, values):
    """Run ``function`` on the distinct combinations of its row inputs only.

    Row inputs are arrays of shape (rows, 1) or (rows,); the rest (candidates of shape (1, n), numbers, cells) stays.
    """
    shapes = [getattr(value, "shape", None) for value in values]
    rows = next((shape[0] for shape in shapes if shape and shape[0] > 1), 0)
    if rows < 2:
        return function(*values)
    import numpy

    by_row = [i for i, shape in enumerate(shapes) if shape and shape[0] == rows and (len(shape) == 1 or shape[1] == 1)]
    if any(shape and shape[0] == rows and len(shape) == 2 and shape[1] > 1 for shape in shapes):
        return function(*values)
    first, back = distinct_rows([numpy.asarray(values[i], dtype=float).reshape(rows) for i in by_row])
    if len(first) == rows:
        return function(*values)
    fewer = list(values)
    for i in by_row:
        fewer[i] = values[i][first]
    result = numpy.asarray(function(*fewer))
    if result.ndim == 0 or result.shape[0] != len(first):
        return result
    return result[back]
