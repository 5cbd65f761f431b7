"""The benchmarks as modules, so that tests run a short version of the very same thing."""

from __future__ import annotations

import importlib.util
import sys
from functools import cache
from pathlib import Path
from types import ModuleType

BENCHMARKS = Path(__file__).resolve().parents[1] / "benchmarks"


@cache
def benchmark(name: str) -> ModuleType:
    """`benchmarks/<name>.py`, loaded once; never run as a program."""
    if str(BENCHMARKS) not in sys.path:
        sys.path.append(str(BENCHMARKS))  # they import what they share by its plain name
    spec = importlib.util.spec_from_file_location(f"benchmarks_{name}", BENCHMARKS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module
