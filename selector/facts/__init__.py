"""Facts: named columns worked out for a place, or for a place with candidate parts; one function a fact."""


def registry():
    """The registry of every fact the program ships."""
    from selector.facts import conductor, place, protection, terminal
    from selector.facts.evaluator import Registry

    return Registry((place, conductor, protection, terminal), END_COLUMNS)


END_COLUMNS = ("stud_diameter_m", "terminal_limit_k", "hottest_k", "palm_space_m", "has_palm_space", "hottest_stated")
