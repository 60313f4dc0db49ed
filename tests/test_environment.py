"""One list of packages: pyproject.toml, environment.yml and the constraints agree; no lock file is kept."""

import re
import subprocess
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name
from repository import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ENVIRONMENT = (ROOT / "environment.yml").read_text(encoding="utf-8")
CONSTRAINTS = (ROOT / ".ci" / "constraints.txt").read_text(encoding="utf-8")
LOCK_FILES = {
    "uv.lock",
    "pylock.toml",
    "poetry.lock",
    "pdm.lock",
    "Pipfile.lock",
    "conda-lock.yml",
    "pixi.lock",
}


def bounds(lines):
    """Return {package: bounds}; a package named twice, or without a lower or an upper bound, is refused."""
    found = {}
    for line in lines:
        requirement = Requirement(line)
        name = canonicalize_name(requirement.name)
        operators = {part.operator for part in requirement.specifier}
        if name in found or operators != {">=", "<"}:
            raise ValueError(f"{line!r}: once, with a lower (>=) and an upper (<) bound")
        found[name] = requirement.specifier
    return found


def with_extras(project, extra):
    """Return the lines of the dependencies and of an extra, an extra that it names (`scaling[lab]`) spelled out."""
    found = list(project["dependencies"])
    for line in project["optional-dependencies"][extra]:
        requirement = Requirement(line)
        named = requirement.extras if requirement.name == project["name"] else ()
        found += [inner for name in named for inner in project["optional-dependencies"][name]] or [line]
    return found


def environment_items(text):
    """Return the list items below `dependencies:`, in order, those for pip included."""
    lines = (line.partition(" #")[0].strip() for line in text.partition("\ndependencies:\n")[2].splitlines())
    return [line.removeprefix("- ").strip() for line in lines if line.startswith("- ")]


def environment_packages(text):
    """Return the items that name a package and its bounds: neither Python itself nor pip nor this project."""
    return [item for item in environment_items(text) if item not in ("pip", "pip:", "-e .", "python=3.11")]


def pins(text):
    """Return {package: version} of a constraints file; anything but name==version is refused."""
    found = {}
    for line in (line.strip() for line in text.splitlines()):
        if line and not line.startswith("#"):
            match = re.fullmatch(r"([A-Za-z0-9._-]+)==([0-9][A-Za-z0-9.]*)", line)
            if not match:
                raise ValueError(f"{line!r} is not of the form name==version")
            found[canonicalize_name(match[1])] = match[2]
    return found


DECLARED = bounds(with_extras(PROJECT, "test"))


def test_environment_has_the_names_and_bounds_of_the_project():
    assert bounds(environment_packages(ENVIRONMENT)) == DECLARED


def test_environment_ends_with_this_project():
    assert environment_items(ENVIRONMENT)[-1] == "-e ."


def test_environment_python_is_one_the_project_accepts():
    # One '=': the form from which the usual Binder builder reads the Python version.
    version = next(item for item in environment_items(ENVIRONMENT) if item.startswith("python")).split("=")
    assert version[0] == "python" and len(version) == 2
    assert SpecifierSet(PROJECT["requires-python"]).contains(version[1])


def test_every_direct_dependency_is_pinned_within_its_bounds():
    pinned = pins(CONSTRAINTS)
    for name, allowed in DECLARED.items():
        assert allowed.contains(pinned[name]), f"{name}: {pinned[name]} in the constraints, {allowed} declared"


def extras_installed(text):
    """Return the extras that the install commands of a text name, in order; a plain `-e .` counts as None."""
    return [match[1] for match in re.finditer(r"pip install -e '?\.(?:\[(\w+)\])?", text)]


def test_commands_install_the_extras_they_need():
    read = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
    read["workflow"] = (ROOT / ".github" / "workflows" / "tests.yml").read_text(encoding="utf-8")
    assert {name: extras_installed(text) for name, text in read.items()} == {
        "README.md": ["lab", "test"],
        "DEVELOPERS.md": ["test"],
        "workflow": ["test"],
    }
    assert not {"jupyterlab", "ipykernel"} & set(bounds(PROJECT["dependencies"]))
    assert {"jupyterlab", "ipykernel"} == set(bounds(PROJECT["optional-dependencies"]["lab"]))


def tracked_files():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode:
        pytest.skip("not a git work tree: what is tracked cannot be told")
    return listed.stdout.splitlines()


def lock_files(paths):
    return [path for path in paths if path.rpartition("/")[2] in LOCK_FILES]


def test_no_lock_file_is_tracked():
    # They record addresses; .ci/constraints.txt holds exact versions without any.
    assert lock_files(tracked_files()) == []


# Each reader above can fail.


@pytest.mark.parametrize("line", ["numpy", "numpy>=2", "numpy<3", "numpy==2.4.6"])
def test_a_missing_bound_is_refused(line):
    with pytest.raises(ValueError, match="lower"):
        bounds([line])


def test_a_package_named_twice_is_refused():
    with pytest.raises(ValueError, match="once"):
        bounds(["numpy>=2,<3", "NumPy>=2,<3"])


def test_another_bound_in_the_environment_is_seen():
    changed = ENVIRONMENT.replace("numpy>=2.0,<3", "numpy>=2.0,<4")
    assert changed != ENVIRONMENT
    assert bounds(environment_packages(changed)) != DECLARED


def test_an_extra_named_in_another_is_spelled_out():
    extras = {"lab": ["b>=1,<2"], "test": ["p[lab]", "c>=1,<2"]}
    project = {"name": "p", "dependencies": ["a>=1,<2"], "optional-dependencies": extras}
    assert with_extras(project, "test") == ["a>=1,<2", "b>=1,<2", "c>=1,<2"]


def test_a_command_without_the_extra_is_seen():
    assert extras_installed("pip install -e . -c x && pip install -e '.[lab]'") == [None, "lab"]


@pytest.mark.parametrize("line", ["numpy", "numpy>=2", "numpy @ file:///numpy.whl", "-e ."])
def test_a_constraint_that_is_no_exact_version_is_refused(line):
    with pytest.raises(ValueError, match="name==version"):
        pins(line)


def test_a_lock_file_is_seen():
    assert lock_files(["README.md", "uv.lock", "tests/poetry.lock"]) == ["uv.lock", "tests/poetry.lock"]
