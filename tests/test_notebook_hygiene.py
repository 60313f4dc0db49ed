"""Form of the stored notebooks: what nbval does not see, and what a reader without a kernel needs.

Each check takes a notebook's path and content and yields what is wrong; the list of defects at the end shows
that each of them can fail.
"""

import base64
import copy
import json
import re
import warnings

import nbformat
import pytest
from refresh_notebooks import WIDGET_VIEW, clean
from repository import MACHINE_PATH, ROOT

NOTEBOOKS = sorted(path for path in (ROOT / "notebooks").glob("*.ipynb") if not path.name.startswith("_"))
DOCUMENTS = ("README.md", "DEVELOPERS.md")
KNOWN_TAGS = {"solution", "exercise", "figure", "hide-input", "readme"}
LARGEST_FILE = 300_000  # bytes
LARGEST_PICTURE = 60_000  # bytes
FRONT_MATTER = 1  # the number of the last cell that only announces
MOST_LINES = 15  # code lines in a cell
IN_WORDS = "**In words"
WEB_LOAD = re.compile(
    r"<(img|script|iframe|audio|video|source|embed|object|link)\b[^>]*[\"'=]\s*(https?:)?//"
    r"|\burl\(\s*[\"']?(https?:)?//|!\[[^\]]*\]\(\s*<?https?:|@import",
    re.IGNORECASE,
)
GUESS = re.compile(r"\*\*Predict\.\*\*.*?(?=\n\n|\Z)", re.DOTALL)
NOT_PROSE = re.compile(r"^```.*?^```|`[^`\n]*`|\$\$.*?\$\$|\$[^$\n]*\$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\[[^\]]*\]\(\s*<?([^)\s>]+)|\b(?:src|href)=[\"']([^\"']+)")


def cells(notebook, kind):
    return [(number, cell) for number, cell in enumerate(notebook.cells) if cell.cell_type == kind]


def outputs(notebook):
    return [(number, output) for number, cell in cells(notebook, "code") for output in cell.outputs]


def texts(output):
    """Return every text of an output: streams, and all forms of its data but pictures."""
    data = output.get("data", {})
    return [
        output.get("text", ""),
        *(str(data[kind]) for kind in data if not re.match(r"image/(png|jpeg)", kind)),
    ]


def code_lines(cell):
    return [line for line in map(str.strip, cell.source.splitlines()) if line and not line.startswith("#")]


def broken_links(text, folder):
    """Yield the relative link targets that are no file."""
    for match in LINK.finditer(NOT_PROSE.sub("", text)):
        target = (match[1] or match[2]).partition("#")[0]
        if target and not re.match(r"[a-z]+:", target) and not (folder / target).exists():
            yield target


def named_number_verb_phrase(path, notebook):
    if not re.fullmatch(r"[0-9]{2}(_[a-z0-9]+){2,}\.ipynb", path.name):
        yield "name is not of the form NN_verb_phrase.ipynb"


def of_format_4_5(path, notebook):
    if (notebook.nbformat, notebook.nbformat_minor) != (4, 5):
        yield f"format {notebook.nbformat}.{notebook.nbformat_minor}"
    with warnings.catch_warnings(action="error"):
        try:
            nbformat.validate(copy.deepcopy(notebook))
        except (nbformat.ValidationError, UserWarning, FutureWarning) as error:
            yield str(error).partition("\n")[0]


def run_in_order_without_gaps(path, notebook):
    counts = [cell.execution_count for _, cell in cells(notebook, "code")]
    if counts != list(range(1, len(counts) + 1)):
        yield f"execution counts {counts}"


def as_the_refresh_script_writes(path, notebook):
    # Covers widget state, widget views, timings, kernel names, editors' marks on cells.
    if clean(copy.deepcopy(notebook)) != notebook:
        yield "not written by tests/refresh_notebooks.py"


def free_of_errors(path, notebook):
    for number, output in outputs(notebook):
        if output.output_type == "error":
            yield f"cell {number}: {output.ename}"


def free_of_error_stream(path, notebook):
    for number, output in outputs(notebook):
        if output.get("name") == "stderr":
            yield f"cell {number}: {output.text}"


def free_of_widget_state(path, notebook):
    if "widgets" in notebook.metadata:
        yield "widget state in the metadata"
    for number, output in outputs(notebook):
        if WIDGET_VIEW in output.get("data", {}):
            yield f"cell {number}: widget view"


def free_of_trailing_semicolons(path, notebook):
    # Under nbval they do not silence an output: assign to _ instead.
    for number, cell in cells(notebook, "code"):
        if any(line.endswith(";") for line in code_lines(cell)):
            yield f"cell {number}"


def free_of_empty_cells(path, notebook):
    for number, cell in enumerate(notebook.cells):
        if not cell.source.strip():
            yield f"cell {number}"


def free_of_machine_paths(path, notebook):
    for number, output in outputs(notebook):
        if found := next(filter(None, map(MACHINE_PATH.search, texts(output))), None):
            yield f"output of cell {number}: {found[0]}"
    for number, cell in enumerate(notebook.cells):
        if found := MACHINE_PATH.search(cell.source):
            yield f"cell {number}: {found[0]}"


def free_of_loads_from_the_web(path, notebook):
    shown = [(number, text) for number, output in outputs(notebook) for text in texts(output)]
    shown += [(number, cell.source) for number, cell in cells(notebook, "markdown")]
    for number, text in shown:
        if found := WEB_LOAD.search(text):
            yield f"cell {number}: {found[0]}"


def tagged_with_known_tags(path, notebook):
    for number, cell in enumerate(notebook.cells):
        if unknown := set(cell.metadata.get("tags", [])) - KNOWN_TAGS:
            yield f"cell {number}: {sorted(unknown)}"


def compared_everywhere(path, notebook):
    # Comments by which nbval would skip a cell or its comparison.
    for number, cell in cells(notebook, "code"):
        if found := re.search(r"\b(NBVAL|PYTEST_VALIDATE)_\w+", cell.source):
            yield f"cell {number}: {found[0]}"


def small(path, notebook):
    if (size := path.stat().st_size) >= LARGEST_FILE:
        yield f"{size} bytes"


def drawn_in_small_pictures(path, notebook):
    for number, output in outputs(notebook):
        size = len(base64.b64decode(output.get("data", {}).get("image/png", "")))
        if size >= LARGEST_PICTURE:
            yield f"cell {number}: picture of {size} bytes"


def cut_into_short_cells(path, notebook):
    for number, cell in cells(notebook, "code"):
        if (length := len(code_lines(cell))) > MOST_LINES:
            yield f"cell {number}: {length} code lines"


def told_in_words(path, notebook):
    for number in sorted({number for number, output in outputs(notebook) if "image/png" in output.get("data", {})}):
        after = notebook.cells[number + 1] if number + 1 < len(notebook.cells) else None
        if after is None or after.cell_type != "markdown" or not after.source.startswith(IN_WORDS):
            yield f"cell {number}: no '{IN_WORDS}' right after the picture"


def linked_to_files_that_exist(path, notebook):
    for number, cell in cells(notebook, "markdown"):
        yield from (f"cell {number}: {target}" for target in broken_links(cell.source, path.parent))


def true_to_its_outputs(path, notebook):
    # A number with a decimal point in prose, guesses aside, stands in a cell before it or right after.
    seen = ""
    for number, cell in enumerate(notebook.cells):
        if cell.cell_type == "code":
            seen += cell.source + "".join(json.dumps(output, ensure_ascii=False) for output in cell.outputs)
            continue
        following = next((c for c in notebook.cells[number + 1 :] if c.cell_type == "code"), None)
        around = seen + (following.source + json.dumps(following.outputs, ensure_ascii=False) if following else "")
        for found in re.findall(r"(?<![\w.])\d+\.\d+(?![\w.]*\d)", GUESS.sub("", NOT_PROSE.sub("", cell.source))):
            if found not in around and number > FRONT_MATTER:
                yield f"cell {number}: {found} stands in no output"


CHECKS = (
    true_to_its_outputs,
    named_number_verb_phrase,
    of_format_4_5,
    run_in_order_without_gaps,
    as_the_refresh_script_writes,
    free_of_errors,
    free_of_error_stream,
    free_of_widget_state,
    free_of_trailing_semicolons,
    free_of_empty_cells,
    free_of_machine_paths,
    free_of_loads_from_the_web,
    tagged_with_known_tags,
    compared_everywhere,
    small,
    drawn_in_small_pictures,
    cut_into_short_cells,
    told_in_words,
    linked_to_files_that_exist,
)


def problems(path, checks=CHECKS):
    """Return all that the checks find in the notebook stored at the path."""
    notebook = nbformat.v4.reads(path.read_text(encoding="utf-8"))  # as stored: no check, no repair
    return [f"{check.__name__}: {problem}" for check in checks for problem in check(path, notebook)]


def test_there_are_notebooks():
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_notebook_is(path):
    assert problems(path) == []


@pytest.mark.parametrize("name", DOCUMENTS)
def test_links_of_document_resolve(name):
    assert list(broken_links((ROOT / name).read_text(encoding="utf-8"), ROOT)) == []


# Each check above can fail: a small sound notebook, and one defect at a time.


def sound_notebook():
    picture = nbformat.v4.new_output(
        "display_data", {"image/png": base64.b64encode(b"drawn").decode(), "text/plain": "torque over size"}
    )
    printed = nbformat.v4.new_output("stream", name="stdout", text="3.500 N·m, 3 m/s, and/or\n")
    code = [
        nbformat.v4.new_code_cell("show(figure)", execution_count=1, outputs=[picture]),
        nbformat.v4.new_code_cell("print(torque)", execution_count=2, outputs=[printed]),
    ]
    words = nbformat.v4.new_markdown_cell("**In words:** [it](other.md#part) grows, as [said](https://example.org).")
    notebook = nbformat.v4.new_notebook(cells=[code[0], words, code[1]])
    code[1].metadata["tags"] = ["solution"]
    code[1].metadata["jupyter"] = {"source_hidden": True}
    picture.metadata["alt"] = "a rising line"
    return clean(notebook)


def store(notebook, folder, name="03_push_a_sheet.ipynb"):
    (folder / "other.md").write_text("a file to link to")
    (folder / name).write_text(nbformat.v4.writes(notebook), encoding="utf-8")
    return folder / name


def printing(text):
    return lambda notebook: notebook.cells[2].outputs[0].update(text=text)


def saying(text):
    return lambda notebook: notebook.cells[1].update(source=f"{IN_WORDS}:** {text}")


def coding(text):
    return lambda notebook: notebook.cells[2].update(source=text)


def drawing(**data):
    return lambda notebook: notebook.cells[0].outputs[0].data.update({k.replace("_", "/"): v for k, v in data.items()})


def adding(output):
    return lambda notebook: notebook.cells[2].outputs.append(output)


DEFECTS = [
    (true_to_its_outputs, lambda notebook: notebook.cells.append(nbformat.v4.new_markdown_cell("It is 3.600 N·m."))),
    (of_format_4_5, lambda notebook: notebook.update(nbformat_minor=4)),
    (of_format_4_5, lambda notebook: notebook.cells[0].update(id=notebook.cells[1].id)),
    (run_in_order_without_gaps, lambda notebook: notebook.cells[2].update(execution_count=3)),
    (run_in_order_without_gaps, lambda notebook: notebook.cells[0].update(execution_count=None)),
    (as_the_refresh_script_writes, lambda notebook: notebook.metadata.language_info.update(version="3.11.2")),
    (as_the_refresh_script_writes, lambda notebook: notebook.cells[0].metadata.update(collapsed=True)),
    (free_of_errors, adding(nbformat.v4.new_output("error", ename="ValueError", evalue="", traceback=[]))),
    (free_of_error_stream, adding(nbformat.v4.new_output("stream", name="stderr", text="a warning"))),
    (free_of_widget_state, lambda notebook: notebook.metadata.update(widgets={})),
    (free_of_widget_state, adding(nbformat.v4.new_output("display_data", {WIDGET_VIEW: {"model_id": "1"}}))),
    (free_of_trailing_semicolons, coding("draw();  \n# seen")),
    (free_of_empty_cells, lambda notebook: notebook.cells[1].update(source=" \n")),
    (free_of_machine_paths, printing("read /" + "home/ada/drives.csv")),
    (free_of_machine_paths, printing("read C:" + "\\Users\\ada")),
    (free_of_machine_paths, drawing(text_html="<b>/" + "tmp/x</b>")),
    (free_of_machine_paths, coding("open('/" + "root/x')")),
    (free_of_loads_from_the_web, drawing(text_html='<img alt="" src="https://example.org/a.png">')),
    (free_of_loads_from_the_web, drawing(text_html="<script src=//example.org/a.js></script>")),
    (free_of_loads_from_the_web, saying("![a](http://example.org/a.png)")),
    (tagged_with_known_tags, lambda notebook: notebook.cells[0].metadata.update(tags=["nbval-skip"])),
    (compared_everywhere, coding("# NBVAL_IGNORE_OUTPUT\nprint(torque)")),
    (small, saying("word " * LARGEST_FILE)),
    (drawn_in_small_pictures, drawing(image_png=base64.b64encode(bytes(LARGEST_PICTURE)).decode())),
    (cut_into_short_cells, coding("x = 1\n" * (MOST_LINES + 1))),
    (told_in_words, lambda notebook: notebook.cells[1].update(source="It grows.")),
    (told_in_words, lambda notebook: notebook.cells.insert(1, nbformat.v4.new_markdown_cell("Look."))),
    (told_in_words, lambda notebook: notebook.update(cells=notebook.cells[:1])),
    (linked_to_files_that_exist, saying("[there](missing.ipynb)")),
    (linked_to_files_that_exist, saying('<img src="missing.png">')),
]


def test_sound_notebook_has_no_problem(tmp_path):
    assert problems(store(sound_notebook(), tmp_path)) == []


@pytest.mark.parametrize(("check", "spoil"), DEFECTS)
def test_defect_is_seen(check, spoil, tmp_path):
    notebook = sound_notebook()
    spoil(notebook)
    assert problems(store(notebook, tmp_path), [check])


@pytest.mark.parametrize("name", ["push_a_sheet.ipynb", "3_push.ipynb", "03_push.ipynb", "03-push-a-sheet.ipynb"])
def test_wrong_name_is_seen(name, tmp_path):
    assert problems(store(sound_notebook(), tmp_path, name), [named_number_verb_phrase])


def test_every_check_has_a_defect():
    assert {check for check, _ in DEFECTS} | {named_number_verb_phrase} == set(CHECKS)


def test_cleaning_keeps_tags_folding_and_alternative_text():
    cleaned = clean(sound_notebook())
    assert cleaned.cells[2].metadata == {"tags": ["solution"], "jupyter": {"source_hidden": True}}
    assert cleaned.cells[0].outputs[0].metadata == {"alt": "a rising line"}


def test_cleaning_drops_only_the_widget_view_of_an_output():
    notebook = sound_notebook()
    notebook.cells[0].outputs[0].data[WIDGET_VIEW] = {"model_id": "1"}
    notebook.cells[2].outputs.append(nbformat.v4.new_output("display_data", {WIDGET_VIEW: {"model_id": "2"}}))
    clean(notebook)
    assert len(notebook.cells[2].outputs) == 1
    assert set(notebook.cells[0].outputs[0].data) == {"image/png", "text/plain"}


def test_readme_shows_the_picture_of_the_notebook():
    from refresh_notebooks import readme_picture

    shown = [found for path in NOTEBOOKS if (found := readme_picture(path, nbformat.read(path, as_version=4)))]
    assert len(shown) == 1, "one cell of one notebook is tagged readme"
    file, picture = shown[0]
    assert file.read_bytes() == picture, "run tests/refresh_notebooks.py"
    assert file.relative_to(ROOT).as_posix() in (ROOT / "README.md").read_text(encoding="utf-8")
