"""Vendor the bench's browser libraries: pinned modules, imports rewritten to local files.

Run on demand: ``python scripts/vendor_web.py`` (needs npm). Writes
``src/gripwright/bench/web/vendor/`` and its ``versions.json``; a test checks the hashes.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import tarfile
import tempfile
from pathlib import Path

VENDOR = Path(__file__).parents[1] / "src/gripwright/bench/web/vendor"
# local file: (npm package, version, file in the package, import specifier it answers to)
MODULES = {
    "preact.js": ("preact", "10.29.8", "dist/preact.module.js", "preact"),
    "hooks.js": ("preact", "10.29.8", "hooks/dist/hooks.module.js", "preact/hooks"),
    "htm.js": ("htm", "3.1.1", "dist/htm.module.js", "htm"),
    "signals-core.js": (
        "@preact/signals-core", "1.14.5", "dist/signals-core.module.js", "@preact/signals-core",
    ),
    "signals.js": ("@preact/signals", "2.11.4", "dist/signals.module.js", "@preact/signals"),
}  # fmt: skip
LICENCES = {"preact": "MIT", "htm": "Apache-2.0", "@preact/signals-core": "MIT",
            "@preact/signals": "MIT"}  # fmt: skip


def fetch(package: str, version: str, member: str, into: Path) -> str:
    """Return the text of one file of an npm package."""
    out = subprocess.run(
        ["npm", "pack", "--silent", f"{package}@{version}"],
        cwd=into, check=True, capture_output=True, text=True,
    )  # fmt: skip
    with tarfile.open(into / out.stdout.strip().splitlines()[-1]) as archive:
        handle = archive.extractfile(f"package/{member}")
        assert handle is not None
        return handle.read().decode("utf-8")


def rewrite(text: str) -> str:
    """Point bare import specifiers at the vendored files and drop source maps."""
    for local, (_, _, _, specifier) in MODULES.items():
        text = re.sub(rf'from\s*"{re.escape(specifier)}"', f'from"./{local}"', text)
        text = re.sub(rf'import\s*"{re.escape(specifier)}"', f'import"./{local}"', text)
    return re.sub(r"\n?//# sourceMappingURL=.*\n?", "\n", text)


def main() -> None:
    """Write the vendored modules and their versions."""
    VENDOR.mkdir(parents=True, exist_ok=True)
    rows = {}
    with tempfile.TemporaryDirectory() as folder:
        for local, (package, version, member, _) in MODULES.items():
            text = rewrite(fetch(package, version, member, Path(folder)))
            (VENDOR / local).write_text(text, encoding="utf-8")
            digest = hashlib.sha256(text.encode("utf-8")).hexdigest()
            rows[local] = {
                "package": package, "version": version, "licence": LICENCES[package],
                "sha256": digest,
            }  # fmt: skip
    (VENDOR / "versions.json").write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
