"""The wheel: built offline from a copy of the project, installed into an empty folder, used from there alone."""

import json
import shutil
import subprocess
import sys
import tomllib
import zipfile

import pytest
from repository import ROOT, python_files

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PIP = [sys.executable, "-m", "pip", "--isolated", "--disable-pip-version-check", "--no-input"]
OFFLINE = ["--no-index", "--no-deps"]
NOT_COPIED = shutil.ignore_patterns(".*", "__pycache__", "*.egg-info", "build", "dist")
USE = """\
import json, sys
sys.path.insert(0, sys.argv[1])
import scaling
from scaling import Brief, choose
choice = choose(Brief(rotor_diameter="20 mm", gap_floor="30 um", supply_frequency="50 Hz", cooling="still air"))
print(json.dumps([scaling.__file__, scaling.__version__, choice.best.kind]))
"""


def run(*command, **options):
    """Return what a command prints; a command that fails shows what it said."""
    done = subprocess.run(command, capture_output=True, text=True, **options)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    # The copy keeps what a build writes out of the project, and what earlier builds left there out of the wheel.
    folder = tmp_path_factory.mktemp("wheel")
    shutil.copytree(ROOT, folder / "source", ignore=NOT_COPIED)
    run(*PIP, "wheel", *OFFLINE, "--no-build-isolation", "--wheel-dir", folder, folder / "source")
    (built,) = folder.glob("*.whl")
    return built


def contents(wheel):
    """Return the names in a wheel, those of its metadata apart."""
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    metadata = {name for name in names if name.partition("/")[0].endswith(".dist-info")}
    return names - metadata, metadata


def test_the_wheel_is_named_by_the_version_for_any_machine(wheel):
    assert wheel.name == f"scaling-{PROJECT['version']}-py3-none-any.whl"


def test_the_wheel_holds_the_package_and_nothing_else(wheel):
    ours, metadata = contents(wheel)
    beside = {"scaling/py.typed", "scaling/decision/bands.json"}
    assert ours == {path.relative_to(ROOT).as_posix() for path in python_files("scaling")} | beside
    assert any(name.endswith("/LICENSE") for name in metadata)


def test_the_installed_wheel_chooses_a_machine(wheel, tmp_path):
    run(*PIP, "install", *OFFLINE, "--target", tmp_path / "site", wheel)
    printed = run(sys.executable, "-I", "-c", USE, tmp_path / "site", cwd=tmp_path)
    file, version, kind = json.loads(printed)
    assert file == str(tmp_path / "site" / "scaling" / "__init__.py")
    assert (tmp_path / "site" / "scaling" / "py.typed").is_file()
    assert (version, kind) == (PROJECT["version"], "induction")
