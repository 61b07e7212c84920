"""Choose every wire, fuse, lug and sleeve of a battery power system, and say why."""

__version__ = "0.1.0"
