#!/usr/bin/env python3
"""Prints the licences and notices of all crates that are linked into the program, and of Rust's library.

Usage: notices.py, in the folder of Cargo.toml. The crates are those that cargo itself names (`cargo tree`, `cargo metadata`); the
texts are the files that each crate brings along. What Rust's library contains, and its notices, come with the toolchain
(`COPYRIGHT-library.html` and `licenses/`).
"""

import collections
import html.parser
import json
import pathlib
import re
import subprocess
import sys

FILES = re.compile(r"^(licen[sc]e|copying|notice|copyright|unlicense)", re.IGNORECASE)
BREAKS = {"p", "li", "h1", "h2", "h3", "div", "ul", "details", "summary"}


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


class Library(html.parser.HTMLParser):
    """Reads the notices of Rust's library: its words in lines, and whole texts (`<pre>`) with the crate that each is of."""

    def __init__(self):
        super().__init__()
        self.crate, self.words, self.text, self.skipped, self.texts = "its own files", [], None, 0, []

    def handle_starttag(self, tag, _attrs):
        if tag == "pre":
            self.text = ""
        elif tag in ("title", "ul"):
            self.skipped += 1
        elif tag in BREAKS:
            self.words.append("\n")

    def handle_endtag(self, tag):
        if tag == "pre":
            self.texts.append((self.crate, self.text.strip()))
            self.text = None
        elif tag in ("title", "ul"):
            self.skipped -= 1
        elif tag in BREAKS:
            self.words.append("\n")

    def handle_data(self, data):
        if self.text is not None:
            self.text += data
        elif not self.skipped:
            if self.lasttag == "h3" and data.strip():
                self.crate = data.replace("📦", "").strip()
            self.words.append(" ".join(data.split()) + " " if data.strip() else "")

    def lines(self):
        lines = (line.strip() for line in "".join(self.words).splitlines())
        return [line for line in lines if line and line not in ("Notices:", "Table of Contents")]


def library():
    """What the toolchain says of its library: lines, and whole texts by whose they are."""
    root = subprocess.run(["rustc", "--print", "sysroot"], check=True, capture_output=True, text=True).stdout.strip()
    folder = pathlib.Path(root, "share/doc/rust")
    page = folder / "COPYRIGHT-library.html"
    if not page.is_file():
        sys.exit(f"notices: this Rust has no {page.name}, so the notices of its library are missing; "
                 "install Rust with rustup, whose toolchains bring it along")
    reader = Library()
    reader.feed(page.read_text(encoding="utf-8"))
    lines, texts = reader.lines(), reader.texts
    own = " ".join(line for line in lines if line.startswith("License:"))
    for file in sorted(folder.glob("licenses/*.txt")):
        if re.search(rf"(?<![\w.-]){re.escape(file.stem)}(?![\w.-])", own):
            texts.append((f"files under {file.stem}", file.read_text(encoding="utf-8").strip()))
    for wanted in ("files under MIT", "files under Apache-2.0"):
        if not any(whose == wanted for whose, _ in texts):
            sys.exit(f"notices: the toolchain brings no text for {wanted}; look at {folder}")
    if len({whose for whose, _ in texts}) < 10:
        sys.exit(f"notices: {page.name} is not understood any more: it names only {len(texts)} texts")
    return lines, texts


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
    about_library, of_library = library()
    for whose, text in of_library:
        texts[text].append(f"Rust's library ({whose})")
    if without:
        lines += ["", "These crates come without a file of their licence. Its text is below, with other crates of the same licence:",
                  ", ".join(without)]
    lines += ["", "=" * 100, "Rust's standard library, as its toolchain describes it. The texts that it names are below.", ""]
    lines += about_library
    for text, names in texts.items():
        names = list(dict.fromkeys(names))
        lines += ["", "=" * 100, "For " + ", ".join(names) + ":", "", text]
    print("\n".join(lines))
    print(f"notices: {len(crates)} crates, {len({w for w, _ in of_library})} owners within Rust's library, {len(texts)} texts; without a file of their own: {', '.join(without) or 'none'}",
          file=sys.stderr)


main()
