"""Wires that lie together warm each other: counts and factors."""

from selector.maths import lookup

GREATEST_CIRCUITS = 50


def bundle(grouped_with):
    """Loaded conductors that lie together: those that touch the wire, and itself.

    Examples
    --------
    >>> bundle(3.0)
    4.0
    """
    return grouped_with + 1.0


def circuits_from_conductors(conductors):
    """Circuits in a bundle: half the loaded conductors, rounded up; unknown above 100 conductors.

    Examples
    --------
    >>> [circuits_from_conductors(n) for n in (1.0, 2.0, 3.0, 7.0)]
    [1.0, 1.0, 2.0, 4.0]
    """
    counts = range(1, GREATEST_CIRCUITS + 1)
    return lookup(conductors, [2.0 * count for count in counts], [float(count) for count in counts])


def derated_ampacity_a(ampacity_a, laying_factor, grouping_factor):
    """Continuous current of a wire where it lies: the single wire's, times both factors [A].

    Examples
    --------
    >>> round(derated_ampacity_a(47.0, 0.91, 0.6), 1)
    25.7
    """
    return ampacity_a * (laying_factor * grouping_factor)


def equivalent_current_a(current_a, laying_factor, grouping_factor):
    """Current that makes a single wire as warm as this one is where it lies: current over both factors [A].

    Examples
    --------
    >>> round(equivalent_current_a(40.0, 1.0, 0.8), 1)
    50.0
    """
    return current_a / (laying_factor * grouping_factor)
