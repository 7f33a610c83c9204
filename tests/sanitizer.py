"""Builds under a sanitizer: how to tell them, and what lets Python load a package that is one."""

import os
import re
import subprocess
from pathlib import Path


def setting(build: Path, name: str) -> str:
    """What a build directory was configured with."""
    cache = (build / "CMakeCache.txt").read_text(encoding="utf-8")
    found = re.search(rf"^{name}:\w+=(.*)$", cache, re.MULTILINE)
    return found[1] if found else ""


def sanitizer_of(build: Path) -> str | None:
    """As its runtime is called: `asan` or `tsan`; None where the build has none."""
    flags = re.search(r"-fsanitize=(address|thread)\b", setting(build, "CMAKE_CXX_FLAGS"))
    return {"address": "asan", "thread": "tsan"}[flags[1]] if flags else None


def environment_of_package(build: Path) -> dict[str, str]:
    """What Python needs beside, which is not built so, to load a package that is.

    The runtime comes first, and with it the C++ library, whose exceptions it watches. Python itself
    never gives back all of its memory, and what other libraries do with their threads is not known.
    The program brings a runtime of its own along, so that the script in its place starts it without
    this one.
    """
    name = sanitizer_of(build)
    if name is None:
        return {}
    # Clang's thread sanitizer can only be linked into a program; GCC's, which it calls alike, comes
    # as a library that can be loaded first.
    runtime = (
        printed("clang-14", "-print-file-name=libclang_rt.asan-x86_64.so")
        if name == "asan"
        else printed("g++", "-print-file-name=libtsan.so")
    )
    library = printed("g++", "-print-file-name=libstdc++.so.6")
    program = build / "reports" / "vitalproof"
    program.parent.mkdir(parents=True, exist_ok=True)
    program.write_text(f'#!/bin/sh\nunset LD_PRELOAD\nexec "{build}/bin/vitalproof" "$@"\n')
    program.chmod(0o700)
    return {
        "LD_PRELOAD": f"{runtime} {library}",
        "ASAN_OPTIONS": os.environ.get("ASAN_OPTIONS", "") + ":detect_leaks=0",
        "TSAN_OPTIONS": os.environ.get("TSAN_OPTIONS", "")
        + ":ignore_noninstrumented_modules=1:detect_deadlocks=0",
        "VITALPROOF_PROGRAM": str(program),
    }


def printed(*command: str) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
