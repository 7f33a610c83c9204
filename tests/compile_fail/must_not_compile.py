"""Proves that a mistake does not compile, and that only the mistake is why.

    must_not_compile.py FILE -- COMPILER OPTION...

The file is compiled twice: as it stands it must pass; with MUST_NOT_COMPILE defined it must fail,
and the compiler's words must match every `// expect: regex` line of the file.
"""

import re
import subprocess
import sys
from pathlib import Path


def fail(file: Path, what: str, output: str = "") -> None:
    shown = "\n".join(output.splitlines()[:60])
    sys.exit(f"{file.name}: {what}" + (f"\nThe compiler said:\n{shown}" if shown else ""))


def expectations(file: Path) -> list[str]:
    """The regular expressions of the file's `// expect:` lines."""
    text = file.read_text(encoding="utf-8")
    if not re.search(r"^\s*#\s*ifdef\s+MUST_NOT_COMPILE\b", text, re.MULTILINE):
        fail(file, "it has no `#ifdef MUST_NOT_COMPILE` part")
    found = re.findall(r"^\s*//\s*expect:\s*(\S.*?)\s*$", text, re.MULTILINE)
    if not found:
        fail(file, "it has no `// expect: regex` line, so any error would do")
    return found


def compile_once(compiler: list[str], file: Path, *options: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [*compiler, *options, str(file)], capture_output=True, text=True, errors="replace"
    )


def main() -> None:
    file, separator, *compiler = sys.argv[1:]
    if separator != "--" or not compiler:
        sys.exit(__doc__)
    file = Path(file)
    expected = expectations(file)

    correct = compile_once(compiler, file)
    if correct.returncode != 0:
        fail(file, "the correct part does not compile either", correct.stderr)

    mistaken = compile_once(compiler, file, "-DMUST_NOT_COMPILE")
    if mistaken.returncode == 0:
        fail(file, "it compiles with the mistake in it")
    if mistaken.returncode < 0:
        fail(file, f"the compiler was ended by signal {-mistaken.returncode}", mistaken.stderr)
    for regex in expected:
        if not re.search(regex, mistaken.stderr):
            fail(file, f"it fails, but nothing matches `{regex}`", mistaken.stderr)


if __name__ == "__main__":
    main()
