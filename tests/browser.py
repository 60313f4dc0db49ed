"""A JupyterLab of our own in a Chromium of our own, for the browser tests.

Every server starts with empty folders for data, settings and runtime files, on 127.0.0.1 with a new token, and serves
copies of notebooks without outputs. The browser resolves no other host, and what it asks for is written down.
"""

import ast
import contextlib
import json
import os
import re
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from urllib.parse import urlsplit

import nbformat

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1",
]
HERE = {"localhost", "127.0.0.1"}
SETTINGS = {
    "apputils-extension/notification": {"fetchNews": "false", "checkForUpdates": False},
    "notebook-extension/tracker": {"windowingMode": "none"},  # cells off the screen stay on the page
    "docmanager-extension/plugin": {"autosave": False},
}
START = 60  # seconds for the server, a page or a kernel
RUN = 300  # seconds for a notebook
ANSWER = 20  # seconds for a slider

# In the page: collect what the notebook's kernel raises or writes to its error stream, also while sliders move.
# Lab asks a new kernel for widgets before ipywidgets is imported there: it answers with "No such comm ...".
LISTEN = """() => {
  window.complaints = [];
  window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.iopubMessage.connect((_, message) => {
    const {header, content} = message;
    if (header.msg_type === 'error') window.complaints.push(content.ename + ': ' + content.evalue);
    if (header.msg_type === 'stream' && content.name === 'stderr' && !content.text.startsWith('No such comm'))
      window.complaints.push(content.text);
  });
}"""
# Whether the notebook is in front and its own kernel idle: Lab's signs say idle before there is a kernel.
READY = """name => {
  const context = window.jupyterapp.shell.currentWidget?.context;
  const kernel = context?.path === name && context.sessionContext.session?.kernel;
  return kernel && kernel.connectionStatus === 'connected' && kernel.status === 'idle';
}"""
# Whether all code cells have run, or one has raised.
DONE = """() => window.complaints.length > 0 || [...window.jupyterapp.shell.currentWidget.content.model.cells]
  .filter(cell => cell.type === 'code')
  .every(cell => cell.executionState === 'idle' && cell.executionCount !== null)"""
IDLE = "() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.status === 'idle'"
# In the page: note how long after a key the picture beside a slider is another one.
WATCH = """handle => {
  const picture = handle.closest('.jp-OutputArea').querySelector('img.widget-image');
  if (!picture) return false;
  window.pictures = [];
  let pressed = performance.now();
  handle.addEventListener('keydown', event => { pressed = event.timeStamp; }, true);
  if (window.watcher) window.watcher.disconnect();
  window.watcher = new MutationObserver(() => window.pictures.push(performance.now() - pressed));
  window.watcher.observe(picture, {attributes: true, attributeFilter: ['src']});
  return true;
}"""


def find_chromium():
    """Return the path of Chromium, or None."""
    return shutil.which("chromium")


def needed(cells, wanted):
    """Return the cells in which ``wanted`` is found and, of the code before, those that bind a name they use."""
    kept, names = [], set()
    for cell in reversed(cells):
        if cell.cell_type == "code":
            bound, changed, used = _names(ast.parse(cell.source))
            if not (re.search(wanted, cell.source) or names & (bound | changed)):
                continue
            names = names - bound | used
        kept.append(cell)
    return kept[::-1]


def _names(tree):
    """Return the names that code binds, those of which it sets a part, and those that it uses before it binds them."""
    bound, changed, first, inner = set(), set(), {}, set()
    for node in ast.walk(tree):
        if isinstance(node, ast.comprehension):
            inner |= {part.id for part in ast.walk(node.target) if isinstance(part, ast.Name)}
        elif isinstance(node, ast.FunctionDef | ast.ClassDef):
            bound.add(node.name)
        elif isinstance(node, ast.alias):
            bound.add(node.asname or node.name)
        elif isinstance(node, ast.Subscript | ast.Attribute) and isinstance(node.ctx, ast.Store):
            changed |= {node.value.id} if isinstance(node.value, ast.Name) else set()
        elif isinstance(node, ast.Name):
            place = (node.lineno, node.col_offset, isinstance(node.ctx, ast.Load))
            first[node.id] = min(place, first.get(node.id, place))
            bound |= set() if isinstance(node.ctx, ast.Load) else {node.id}
    used = {name for name, (_, _, is_load) in first.items() if is_load}
    return bound - inner, changed, used - inner


def serve_copies(folder, notebooks, data=None, wanted=None):
    """Copy notebooks without outputs, and the folder with their data, into a folder.

    Of a notebook in whose cells ``wanted``, a regular expression, is found only these and what they need are left.
    """
    folder.mkdir()
    for path in notebooks:
        notebook = nbformat.read(path, as_version=4)
        if wanted and any(re.search(wanted, cell.source) for cell in notebook.cells if cell.cell_type == "code"):
            notebook.cells = needed(notebook.cells, wanted)
        for cell in notebook.cells:
            if cell.cell_type == "code":
                cell.outputs, cell.execution_count = [], None
        nbformat.write(notebook, folder / path.name)
    if data:
        shutil.copytree(data, folder / data.name)
    return folder


@contextlib.contextmanager
def lab(root, scratch, **settings):
    """Run a JupyterLab that serves the folder ``root``; yield (address, token). Its kernels end with it."""
    folders = {name: scratch / name.lower() for name in ("CONFIG", "DATA", "RUNTIME")}
    environment = os.environ | {f"JUPYTER_{name}_DIR": str(folder) for name, folder in folders.items()}
    environment |= {"IPYTHONDIR": str(scratch / "ipython"), "HOME": str(scratch)}
    for name, content in (SETTINGS | settings).items():
        file = folders["CONFIG"] / "lab" / "user-settings" / "@jupyterlab" / f"{name}.jupyterlab-settings"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(content), encoding="utf-8")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    token = secrets.token_hex()
    environment["JUPYTER_TOKEN"] = token
    command = [
        sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root", f"--ServerApp.root_dir={root}",
        "--ServerApp.ip=127.0.0.1", f"--ServerApp.port={port}", "--ServerApp.port_retries=0",
        "--LabApp.news_url=None", "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly", "--LabApp.expose_app_in_browser=True",
    ]  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    with (scratch / "server.log").open("wb") as log:
        server = subprocess.Popen(
            command, cwd=root, env=environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True
        )
        try:
            _await_server(server, address, scratch / "server.log")
            yield address, token
        finally:
            _stop(server, address, token)


def _request(address, token=None, method="GET"):
    headers = {"Authorization": f"token {token}"} if token else {}
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with opener.open(urllib.request.Request(address, method=method, headers=headers), timeout=10) as answer:
        return answer.read()


def _await_server(server, address, log):
    end = time.monotonic() + START
    while time.monotonic() < end:
        if server.poll() is not None:
            raise RuntimeError(f"JupyterLab ended at once: {log.read_text(errors='replace')[-2000:]}")
        with contextlib.suppress(OSError):
            _request(f"{address}/api")
            return
        time.sleep(0.1)
    raise TimeoutError(f"JupyterLab did not answer in {START} s")


def _stop(server, address, token):
    """Ask the server to end its kernels and itself; then end what is left of its process group."""
    with contextlib.suppress(OSError):
        _request(f"{address}/api/shutdown", token, "POST")
    try:
        server.wait(20)
    except subprocess.TimeoutExpired:
        os.killpg(server.pid, signal.SIGKILL)
        server.wait(10)


class Page:
    """A browser page at a Lab; ``outside`` lists addresses asked for elsewhere, ``errors`` what its console said."""

    def __init__(self, browser, address, token, **options):
        self.context = browser.new_context(viewport={"width": 1280, "height": 1500}, **options)
        self.page = self.context.new_page()
        self.outside, self.errors = [], []
        self.page.on("request", lambda request: self._note(request.url))
        self.page.on("websocket", lambda socket: self._note(socket.url))
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.goto(f"{address}/lab?token={token}", timeout=START * 1000)
        self.page.wait_for_function("window.jupyterapp !== undefined", timeout=START * 1000)
        self.page.evaluate("window.jupyterapp.restored.then(() => true)")

    def _note(self, url):
        parts = urlsplit(url)
        if parts.scheme not in ("data", "blob", "about") and parts.hostname not in HERE:
            self.outside.append(url)

    def open(self, name):
        """Open a notebook and wait until its kernel is idle."""
        self.page.evaluate(
            "path => window.jupyterapp.commands.execute('docmanager:open', {path}).then(() => true)", name
        )
        self.page.wait_for_function(READY, arg=name, timeout=START * 1000)
        self.page.evaluate(LISTEN)

    def run_all(self):
        """Run all cells from the menu and wait for the last, or for the first error."""
        self.page.get_by_role("menuitem", name="Run", exact=True).click()
        self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        self.page.wait_for_function(DONE, timeout=RUN * 1000)

    def complaints(self):
        """Return what the kernel raised or wrote to its error stream, widgets that broke, and errors of the page."""
        self.page.wait_for_function(IDLE, timeout=RUN * 1000)
        broken = self.page.locator(".jupyter-widgets-error-widget").count()
        return [*self.page.evaluate("window.complaints"), *["a widget does not show"] * broken, *self.errors]

    def sliders(self):
        """Return (name, handle) of all sliders on the page."""
        boxes = self.page.locator(".jp-NotebookPanel:not(.lm-mod-hidden) .widget-slider").all()
        return [(box.locator(".widget-label").inner_text(), box.locator(".noUi-handle")) for box in boxes]

    def watch(self, handle):
        """Look out for new pictures beside a slider; return whether it has one."""
        handle.scroll_into_view_if_needed()
        handle.focus()
        return handle.evaluate(WATCH)

    def pictures(self, at_least):
        """Wait for so many new pictures since ``watch``; return the times since the last key, in ms."""
        self.page.wait_for_function("least => window.pictures.length >= least", arg=at_least, timeout=ANSWER * 1000)
        return self.page.evaluate("window.pictures")

    def press(self, handle, times=1):
        """Press an arrow key on a watched slider, each time when the picture is there; return the times in ms."""
        key, taken = "ArrowLeft" if self._is_high(handle) else "ArrowRight", []
        for _ in range(times):
            before = self.page.evaluate("window.pictures.length")
            self.page.keyboard.press(key)
            taken.append(self.pictures(before + 1)[before])
        return taken

    def drag(self, handle, share=0.25):
        """Drag a watched slider by a share of its track, more than half a step of four, and wait for a new picture."""
        before = self.page.evaluate("window.pictures.length")
        distance = share * handle.evaluate("handle => handle.closest('.noUi-base').getBoundingClientRect().width")
        box = handle.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + (-distance if self._is_high(handle) else distance), y, steps=3)
        self.page.mouse.up()
        self.pictures(before + 1)

    def _is_high(self, handle):
        low, high, now = (float(handle.get_attribute(f"aria-value{end}")) for end in ("min", "max", "now"))
        return now > (low + high) / 2

    def shut(self):
        """End the notebook's kernel and close it unsaved."""
        self.page.evaluate(
            "async () => { const panel = window.jupyterapp.shell.currentWidget;"
            " await panel.sessionContext.shutdown(); panel.dispose(); }"
        )
