#!/usr/bin/env python3
"""Prints the licences and notices of all crates that are linked into the program, and of Rust's library.

Usage: notices.py, in the folder of Cargo.toml. The crates are those that cargo itself names (`cargo tree`, `cargo metadata`); the
texts are the files that each crate brings along.
"""

import collections
import json
import pathlib
import re
import subprocess
import sys

FILES = re.compile(r"^(licen[sc]e|copying|notice|copyright|unlicense)", re.IGNORECASE)



def cargo(*args):
    return subprocess.run(["cargo", *args], check=True, capture_output=True, text=True).stdout


def linked():
    """Name and version of each crate in the program, without those that only build or test it."""
    target = next(line[6:] for line in subprocess.run(["rustc", "-vV"], check=True, capture_output=True, text=True).stdout
                  .splitlines() if line.startswith("host: "))
    tree = cargo("tree", "--locked", "--edges", "normal,no-proc-macro", "--target", target, "--prefix", "none",
                 "--format", "{p}")
    found = set()
    for line in tree.splitlines():
        words = line.split()
        if len(words) > 1 and words[0] != "changeover":
            found.add((words[0], words[1].removeprefix("v")))
    return target, found


def main():
    target, wanted = linked()
    packages = json.loads(cargo("metadata", "--locked", "--format-version", "1", "--filter-platform", target))["packages"]
    crates = sorted((p for p in packages if (p["name"], p["version"]) in wanted), key=lambda p: p["name"])
    if len(crates) != len(wanted):
        sys.exit(f"notices: {len(wanted)} crates are linked, but cargo describes only {len(crates)} of them")
    texts = collections.defaultdict(list)
    without = []
    for crate in crates:
        folder = pathlib.Path(crate["manifest_path"]).parent
        files = sorted(f for f in folder.iterdir() if f.is_file() and FILES.match(f.name))
        name = f"{crate['name']} {crate['version']}"
        for file in files:
            texts[file.read_text(encoding="utf-8", errors="replace").strip()].append(name)
        if not files:
            without.append(name)
    lines = ["Changeover contains these crates, and Rust's standard library.", ""]
    lines += [f"{c['name']} {c['version']}: {c['license']}" + (f"; {', '.join(c['authors'])}" if c["authors"] else "")
              for c in crates]
    lines += ["", "Rust's standard library: MIT OR Apache-2.0; The Rust Project Contributors."]
    if without:
        lines += ["", "These crates come without a file of their licence. Its text is below, with other crates of the same licence:",
                  ", ".join(without)]
    for text, names in texts.items():
        lines += ["", "=" * 100, "For " + ", ".join(names) + ":", "", text]
    print("\n".join(lines))
    print(f"notices: {len(crates)} crates, {len(texts)} texts; without a file of their own: {', '.join(without) or 'none'}",
          file=sys.stderr)


main()
