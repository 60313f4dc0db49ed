"""The version is typed once, in pyproject.toml; the package, its list of changes and README agree with it."""

import re
import tomllib

from repository import ROOT

import scaling

VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


def changes(text):
    """Return the versions that the section on changes lists, in order."""
    return re.findall(r"^- (\S.*?): ", text.partition("\n## Changes\n")[2], re.MULTILINE)


def test_the_package_has_the_version_of_the_project():
    assert scaling.__version__ == VERSION, "install again: the installed metadata are of another version"


def test_the_newest_entry_of_the_changes_is_this_version():
    assert changes((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))[0] == VERSION


def test_readme_and_package_type_no_version_of_their_own():
    for name in ("README.md", "scaling/__init__.py"):
        assert VERSION not in (ROOT / name).read_text(encoding="utf-8"), name


def test_an_entry_in_preparation_is_seen():
    assert changes("\n## Changes\n\n- 0.3.0 (in preparation): more.\n- 0.2.0: less.\n") == [
        "0.3.0 (in preparation)",
        "0.2.0",
    ]
