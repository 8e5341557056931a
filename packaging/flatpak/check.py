#!/usr/bin/env python3
"""Checks the Flatpak manifest as far as that is possible without Flatpak. Needs python3-yaml.

    check.py [--program FILE] [--sources]

Always: the form, the rights (no network, no folder of the user, no bus names), and that each file which it installs is there.
--program FILE   runs the commands that install, with FILE as the built program, and looks at what would be exported
--sources        collects the crates with vendor.sh, and has cargo read them all in a folder of their own without any network
"""

import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import yaml

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
ID = "org.changeover.Changeover"
# Flatpak's documentation, "Sandbox permissions": what opens a window, draws it, and is heard. Nothing else is allowed here.
ALLOWED = {"--socket=wayland", "--socket=fallback-x11", "--share=ipc", "--device=dri", "--socket=pulseaudio"}


def fail(why):
    sys.exit(f"flatpak: {why}")


def installed(commands, program):
    """Runs the commands that install into a folder, and returns the files that came of them."""
    with tempfile.TemporaryDirectory() as folder:
        build, dest = pathlib.Path(folder, "build"), pathlib.Path(folder, "app")
        (build / "target/release").mkdir(parents=True)
        shutil.copy(program, build / "target/release/changeover")
        for name in ("packaging", "LICENSE"):
            (build / name).symlink_to(ROOT / name)
        for command in commands:
            if not command.startswith("cargo "):
                subprocess.run(["sh", "-ec", command], cwd=build, check=True, env={**os.environ, "FLATPAK_DEST": str(dest)})
        return {str(file.relative_to(dest)) for file in dest.rglob("*") if file.is_file()}


def check_sources():
    """The crates that vendor.sh collects are all that Cargo.lock names, and cargo needs no network for them."""
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder, "changeover")
        copy.mkdir()
        files = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True).stdout
        for name in filter(None, files.decode().split("\0")):
            if (ROOT / name).is_file() and not name.startswith(("docs/", "tests/corpus/")):
                (copy / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(ROOT / name, copy / name)
        subprocess.run(["sh", "packaging/flatpak/vendor.sh"], cwd=copy, check=True, stderr=subprocess.DEVNULL)
        (copy / ".cargo").mkdir()
        shutil.copy(copy / "packaging/flatpak/vendor.toml", copy / ".cargo/config.toml")
        empty = pathlib.Path(folder, "cargo-home")
        empty.mkdir()
        read = ["cargo", "metadata", "--locked", "--offline", "--format-version", "1"]
        if shutil.which("bwrap"):
            read = ["bwrap", "--dev-bind", "/", "/", "--unshare-net", *read]
        got = subprocess.run(read, cwd=copy, env={**os.environ, "CARGO_HOME": str(empty)}, capture_output=True, text=True, check=False)
        if got.returncode:
            fail(f"cargo does not find all crates without a network:\n{got.stderr}")
        crates = sum(1 for _ in (copy / "packaging/flatpak/vendor").iterdir())
        print(f"flatpak: cargo reads all crates without a network and with nothing kept from before: {crates}")


def main():
    words = sys.argv[1:]
    manifest = yaml.safe_load((HERE / f"{ID}.yml").read_text())
    for wanted in ("id", "runtime", "runtime-version", "sdk", "command", "finish-args", "modules"):
        if not manifest.get(wanted):
            fail(f"the manifest has no {wanted}")
    if manifest["id"] != ID:
        fail(f"the manifest's id is {manifest['id']}, that of the desktop file {ID}")
    if more := [right for right in manifest["finish-args"] if right not in ALLOWED]:
        fail(f"the manifest asks for {more}; allowed: {sorted(ALLOWED)}")
    module = manifest["modules"][0]
    if "--offline" not in module["build-commands"][1] or "network" in str(manifest.get("build-options")):
        fail("the build could use a network")
    for source in module["sources"]:
        if not isinstance(source, dict) or source.get("type") != "dir":
            fail(f"the source {source} is not in this folder")
    for command in module["build-commands"]:
        for word in command.split():
            if (word.startswith("packaging/") or word == "LICENSE") and not word.startswith("packaging/flatpak/vendor"):
                if not (ROOT / word).is_file():
                    fail(f"the manifest installs {word}, which is not there")
    if "--program" in words:
        commands = [c for c in module["build-commands"] if "vendor.toml" not in c]
        found = installed(commands, words[words.index("--program") + 1])
        exported = [f for f in found if f.startswith(("share/applications/", "share/icons/", "share/mime/packages/", "share/metainfo/"))]
        # Flatpak exports only files whose names begin with the id.
        if wrong := [f for f in exported if not pathlib.Path(f).name.startswith(ID)]:
            fail(f"Flatpak would not export {wrong}")
        if "bin/changeover" not in found or len(exported) < 7:
            fail(f"too little is installed: {sorted(found)}")
        print(f"flatpak: {len(found)} files would be installed, {len(exported)} of them exported")
    if "--sources" in words:
        check_sources()
    print("flatpak: the manifest's form is right; rights:", *manifest["finish-args"])


main()
