#!/usr/bin/env python3
"""The next clip of a show, Changeover against mpv, in one run: `benches/show.py [FILM] [--steps N] [--release]`.

Makes a lesson of N + 1 clips (200 steps) at random places of one film and steps through it in the real window, from the key to the
first frame of the next clip. mpv then seeks to the same places of the same film, exactly, paused and without sound. Without FILM, ffmpeg
makes three minutes of 1280 x 720, 30 frames a second, key frames 60 apart. Prints median and 95th percentile in milliseconds; the goal
is one refresh, 16.7 ms at the 95th percentile. Needs a display (`xvfb-run`), mpv and ffmpeg: `scripts/setup --bench`.
"""

import argparse
import importlib.util
import json
import os
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
PLACE = importlib.util.spec_from_file_location("against_mpv", ROOT / "benches/against-mpv.py")
against = importlib.util.module_from_spec(PLACE)
PLACE.loader.exec_module(against)


def film(path):
    subprocess.run(
        ["ffmpeg", "-v", "error", "-y", "-nostdin", "-f", "lavfi", "-i", "testsrc2=s=1280x720:r=30:d=180,noise=alls=4:allf=t",
         "-f", "lavfi", "-i", "sine=440:d=180", "-c:v", "libx264", "-preset", "ultrafast", "-bf", "2", "-g", "60", "-pix_fmt", "yuv420p",
         "-c:a", "aac", str(path)], check=True)


def tests(release):
    """The program of the window's tests."""
    command = ["cargo", "test", "--locked", "--lib", "--no-run", "--message-format=json", *(["--release"] if release else [])]
    built = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
    made = [json.loads(line) for line in built.stdout.splitlines()]
    return [m["executable"] for m in made if m.get("executable") and m["target"]["kind"] == ["lib"]][-1]


def run(program, test, **given):
    env = {**os.environ, "GDK_BACKEND": "x11", **given}
    # Threads of the tests' own are not needed; the window has to be alone on the display.
    run = subprocess.run([program, "--ignored", "--exact", "--nocapture", f"gui::show::show_bench::{test}"],
                         env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    return run.stdout


def own(program, path, places):
    said = run(program, "next_clip_of_a_show", SHOW_FILM=str(path), SHOW_PLACES=",".join(str(p) for p in places))
    line = [x for x in said.splitlines() if x.startswith("show: ")]
    if not line:
        raise SystemExit(said[-2000:])
    return json.loads(line[0][6:])


def alone(program, path):
    """How long GTK takes to draw a picture of the film where nothing else is done."""
    said = run(program, "a_picture_alone", SHOW_FILM=str(path))
    return [x for x in said.splitlines() if x.startswith("a picture in ")]


def mpv(path, places):
    player = against.Mpv(path, "--vo=null")
    try:
        player.seek(places[0] / 1000)
        return [player.seek(p / 1000) for p in places[1:]]
    finally:
        player.close()


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("film", type=pathlib.Path, nargs="?")
    options.add_argument("--steps", type=int, default=200)
    options.add_argument("--release", action="store_true", help="measure a release build")
    chosen = options.parse_args()
    if not shutil.which("mpv"):
        raise SystemExit("mpv is not here: scripts/setup --bench installs it")
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "film.mp4"
        if chosen.film:
            path = path.with_suffix(chosen.film.suffix)
            path.symlink_to(chosen.film.resolve())
        else:
            film(path)
        length = float(subprocess.run(
            ["ffprobe", "-v", "error", "-show_entries", "format=duration", "-of", "csv=p=0", str(path)],
            stdout=subprocess.PIPE, text=True, check=True).stdout)
        dice = random.Random(1)
        places = [round(dice.uniform(0, length - 5) * 1000) for _ in range(chosen.steps + 1)]
        program = tests(chosen.release)
        drawing = alone(program, path)
        ours, theirs = own(program, path, places), mpv(path, places)
    middle, high = against.middle_and_high(theirs)
    build = "release" if chosen.release else "development"
    print(f"{chosen.steps} steps, {build} build, load average {os.getloadavg()[0]:.1f}")
    print("\n".join(drawing))
    print(f"mpv, exact seek: {middle:.1f} / {high:.1f} ms")
    for name, words in (("handed", "key to frame handed to the window"), ("drawn", "key to window drawn"), ("ready", "until the next keys are ready")):
        own_middle, own_high = against.middle_and_high(ours[name])
        print(f"{words}: {own_middle:.1f} / {own_high:.1f} ms, {own_middle / middle:.2f} / {own_high / high:.2f} of mpv's")


if __name__ == "__main__":
    main()
