"""Run the notebooks from a fresh kernel, top to bottom, and store their outputs: the only way to write them.

The picture of a cell tagged "readme" is stored beside the data too, for the README to show.

    python tests/refresh_notebooks.py                                   all of them
    python tests/refresh_notebooks.py 03_push_a_sheet_with_a_moving_field ...   only these

A notebook in which a cell raises, or writes to the error stream, is left as it was, and the script says which
cell. What is stored depends on the code and the package versions alone: a second run changes no byte, unless
a cell prints a memory address.
"""

import base64
import subprocess
import sys
from pathlib import Path

import nbformat
from jupyter_client.manager import AsyncKernelManager
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, DeadKernelError
from nbval.kernel import CURRENT_ENV_KERNEL_NAME, NbvalKernelspecManager
from traitlets import default

NOTEBOOKS = Path(__file__).resolve().parent.parent / "notebooks"
WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
KEPT_OF_A_CELL = ("tags", "jupyter")
KEPT_OF_JUPYTER = ("source_hidden", "outputs_hidden")
METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python", "file_extension": ".py", "pygments_lexer": "ipython3"},
}


class ThisPython(AsyncKernelManager):
    """Starts the Python that runs this script, as nbval does, whatever kernels the machine has by name."""

    @default("kernel_spec_manager")
    def _own_environment(self):
        return NbvalKernelspecManager()


def clean(notebook):
    """Return the notebook, changed in place, without what differs between runs, people or machines."""
    notebook.metadata = nbformat.from_dict(METADATA)
    for cell in notebook.cells:
        kept = {key: cell.metadata[key] for key in KEPT_OF_A_CELL if key in cell.metadata}
        folding = {key: kept.pop("jupyter")[key] for key in KEPT_OF_JUPYTER if key in kept.get("jupyter", {})}
        cell.metadata = nbformat.from_dict(kept | ({"jupyter": folding} if folding else {}))
        if cell.cell_type != "code":
            continue
        for output in cell.outputs:
            output.get("data", {}).pop(WIDGET_VIEW, None)
        cell.outputs = [output for output in cell.outputs if output.get("data", True)]
    return notebook


def complaints(notebook):
    """Return a line for each cell that raised or wrote to the error stream."""
    lines = []
    for number, cell in enumerate(notebook.cells):
        for output in cell.get("outputs", []):
            if output.output_type == "error":
                lines.append(f"cell {number} raised {output.ename}: {output.evalue}")
            elif output.get("name") == "stderr":
                lines.append(f"cell {number} wrote to the error stream: {output.text.strip()}")
    return lines


def execute(notebook, folder):
    """Run all cells of the notebook, in place, and return complaints: an empty list if all went well."""
    client = NotebookClient(
        notebook,
        timeout=120,
        startup_timeout=120,
        record_timing=False,
        coalesce_streams=True,
        kernel_name=CURRENT_ENV_KERNEL_NAME,
        kernel_manager_class=ThisPython,
        resources={"metadata": {"path": str(folder)}},
    )
    try:
        client.execute(stderr=subprocess.DEVNULL)  # the kernel's own log, not what cells write
    except CellExecutionError:
        pass  # the error stands in the cell's outputs
    except (TimeoutError, DeadKernelError) as error:
        return [*complaints(notebook), f"{type(error).__name__}: {error}"]
    return complaints(notebook)


def readme_picture(path, notebook):
    """Return (file, bytes) of the picture that the README shows, or None: the one in the cell tagged "readme"."""
    for cell in notebook.cells:
        if "readme" in cell.metadata.get("tags", []):
            picture = base64.b64decode(cell.outputs[0].data["image/png"])
            return path.parent / "data" / f"{path.stem}.png", picture
    return None


def refresh(path):
    """Run one notebook and store it; return complaints, and then the file is as it was."""
    before = path.read_text(encoding="utf-8")
    notebook = nbformat.reads(before, as_version=4)
    found = execute(notebook, path.parent)
    if found:
        return found
    after = nbformat.writes(clean(notebook)) + "\n"
    if after != before:
        path.write_text(after, encoding="utf-8", newline="\n")
    if shown := readme_picture(path, notebook):
        shown[0].write_bytes(shown[1])
    print(f"{path.name}: {'unchanged' if after == before else 'written'}", flush=True)
    return []


def main(names):
    """Refresh the named notebooks, or all; return 1 if one was refused."""
    paths = [NOTEBOOKS / f"{Path(name).stem}.ipynb" for name in names] or sorted(NOTEBOOKS.glob("[0-9]*.ipynb"))
    missing = [path.name for path in paths if not path.is_file()]
    if missing:
        print(f"no such notebook: {', '.join(missing)}", file=sys.stderr)
        return 1
    refused = 0
    for path in paths:
        for line in (found := refresh(path)):
            print(f"{path.name}: not written, {line}", file=sys.stderr, flush=True)
        refused |= bool(found)
    return int(refused)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
