"""Byte code for a checkout that is installed as it stands: pip writes it for every other way to install."""

import compileall
from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ByteCode(BuildHookInterface):
    """Compiles the package beside its sources, so that the first start need not, nor any where nothing may be written."""

    def initialize(self, version, build_data):
        if version == "editable":
            compileall.compile_dir(Path(self.root) / "selector", quiet=2)
