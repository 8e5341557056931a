#!/usr/bin/env python3
"""Prints Debian's changelog, made from CHANGELOG.md.

Usage: debian_changelog.py CHANGELOG.md VERSION SECONDS, where SECONDS is the time of the commit. The version must be the newest one
in the file.
"""

import email.utils
import re
import sys
import textwrap


def main():
    path, version, seconds = sys.argv[1:]
    with open(path, encoding="utf-8") as file:
        text = file.read()
    sections = re.findall(r"^## (\d\S*) .*?\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    if not sections or sections[0][0] != version:
        sys.exit(f"{path}: the newest version is {sections[0][0] if sections else 'missing'}, "
                 f"but Cargo.toml has {version}; write its release notes first")
    lines = []
    for item in re.findall(r"^- (.*?)(?=^- |^\S|\n\n|\Z)", sections[0][1], re.MULTILINE | re.DOTALL):
        words = " ".join(item.replace("**", "").replace("`", "").split())
        lines += textwrap.wrap(words, 76, initial_indent="  * ", subsequent_indent="    ")
    print(f"changeover ({version}) unstable; urgency=medium\n")
    print("\n".join(lines))
    print(f"\n -- The Changeover authors <changeover@example.invalid>  {email.utils.formatdate(int(seconds))}")


main()
