"""Where the project lies, and what several tests look for in its files."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

# The start of an absolute path that exists only on its author's machine.
MACHINE_PATH = re.compile(r"(?<![\w.])/(home|root|tmp|work|Users|mnt|media)/|\bC:\\")


def python_files(*folders):
    """Return every Python file below the given folders of the project, sorted."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))
