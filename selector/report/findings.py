"""Findings of the whole and the cautions that concern a project."""


def findings_of(outcome):
    return []


def cautions_of(outcome):
    return []
