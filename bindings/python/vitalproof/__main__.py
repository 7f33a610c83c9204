"""The program `vitalproof`: the same as the one built without Python."""

import sys

from vitalproof import _core


def main() -> int:
    return _core.run_program(["vitalproof", *sys.argv[1:]])


if __name__ == "__main__":
    sys.exit(main())
