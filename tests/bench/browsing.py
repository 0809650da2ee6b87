"""A browser and a server for `make bench`: pages as a reader's browser gets them, compressed as hosts do."""

from __future__ import annotations

import gzip
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

from tests.conftest import BROWSER_FLAGS, PATIENCE

COMPRESSED = {".html", ".css", ".js", ".json", ".svg", ".xml"}


class _Handler(SimpleHTTPRequestHandler):
    """Serves a folder, compressed, and says nothing."""

    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        path = Path(self.translate_path(self.path))
        if not path.is_file():
            self.send_error(404)
            return
        body, compress = path.read_bytes(), path.suffix in COMPRESSED
        body = gzip.compress(body, mtime=0) if compress else body
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        if compress:
            self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        return


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The address of a folder on a server of this machine."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Handler, directory=str(folder)))
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@contextmanager
def chromium() -> Iterator[Any | None]:
    """Chromium without a window; None where it is not installed."""
    program, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if not (program and driver):
        yield None
        return
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    with tempfile.TemporaryDirectory() as profile:
        options = webdriver.ChromeOptions()
        options.binary_location = program
        for flag in (*BROWSER_FLAGS, f"--user-data-dir={profile}"):
            options.add_argument(flag)
        session = webdriver.Chrome(options=options, service=Service(driver))
        answering: Any = session.command_executor
        answering.client_config.timeout = PATIENCE
        try:
            session.set_script_timeout(PATIENCE)
            yield session
        finally:
            session.quit()
