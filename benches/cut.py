#!/usr/bin/env python3
"""Cutting clips, Changeover against ffmpeg, in one run: `benches/cut.py [--clips N] [--rounds N] [--only-times]`.

Makes a film of three minutes with ffmpeg (1280 x 720, 30 frames a second, a key frame each second, sound) and a record with N points
(40) in it, and measures, in turn:

  copied    `changeover cut --key-frames` against `ffmpeg -c copy`, once for each clip
  edges     `changeover cut` against ffmpeg encoding each clip whole (libx264, preset veryfast, as Changeover's edges)

Prints the median of each in seconds and the ratio (below 1: Changeover is quicker). A round takes two to three minutes. Afterwards each file of Changeover is decoded by
ffmpeg, mpv, GStreamer and, where $CHANGEOVER_PYTHON has playwright, headless Chromium; what any of them complains of is printed and makes the exit code 1;
`--only-times` leaves this out. Needs a release build (`cargo build --release`)
and the packages of `scripts/setup --bench`. Only the ratios mean anything on another machine.
"""

import argparse
import json
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")).resolve() / "release/changeover"
MATCH = """{"a": {"name": "Holt"}, "b": {"name": "Marsh"},
 "rules": {"best_of": 3, "set": {"games": 6, "tie_break": {"at": 6, "points": 7}}}, "first_server": "a", "a_starts": "near"}"""
# Seconds that picture and sound may begin or end apart: a packet of AAC is 0.023 s at 44.1 kHz, a picture here 0.033 s.
APART = 0.04
QUIET = ["-v", "error", "-y", "-nostdin"]


def timed(what):
    begun = time.perf_counter()
    what()
    return time.perf_counter() - begun


def film(folder):
    path = folder / "film.mp4"
    subprocess.run(
        ["ffmpeg", *QUIET, "-f", "lavfi", "-i", "testsrc2=s=1280x720:r=30:d=180", "-f", "lavfi", "-i", "sine=440:d=180",
         "-c:v", "libx264", "-preset", "veryfast", "-bf", "2", "-g", "30", "-pix_fmt", "yuv420p", "-c:a", "aac", str(path)],
        check=True)
    return path


def record(folder, clips):
    """A record with so many points; leads are switched off, so that each clip is its point."""
    stamp = lambda s: f"00:{int(s) // 60:02}:{s % 60:06.3f}"
    points = [{"start": stamp(2 + 4.4 * n + 0.37), "end": stamp(2 + 4.4 * n + 4.11), "tags": ["cut"]} for n in range(clips)]
    made = {"format": "changeover-record", "version": 3, "match": json.loads(MATCH),
            "footage": [{"file": "film.mp4", "duration": "00:03:00.000", "start": "00:00:00.000"}],
            "points": points}
    path = folder / "film.points.json"
    path.write_text(json.dumps(made))
    return path


def changeover(path, out, *more):
    return subprocess.run(
        [PROGRAM, "cut", path, "--tag", "cut", "--lead-in", "0", "--lead-out", "0", "--out", out, "--json", *more],
        check=True, capture_output=True, text=True).stdout


def ffmpeg(source, spans, out, codec):
    out.mkdir()
    for n, (begin, end) in enumerate(spans):
        subprocess.run(["ffmpeg", *QUIET, "-ss", str(begin), "-to", str(end), "-i", str(source), *codec,
                        str(out / f"{n}.mp4")], check=True)


def seconds(text):
    hours, minutes, rest = text.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


def complaints(path):
    """What other players say of a file.

    mpv decodes picture and sound in turn: together and as fast as it can, it now and then says that they run apart, of good files too,
    when the machine has other work. Whether they begin and end together, ffprobe reads from the file."""
    mpv = ["mpv", "--no-config", "--vo=null", "--ao=null", "--ao-null-untimed=yes", "--untimed", "--msg-level=all=warn"]
    for command in (["ffmpeg", "-v", "warning", "-i", path, "-f", "null", "-"],
                    [*mpv, "--no-audio", path],
                    [*mpv, "--no-video", path],
                    ["gst-launch-1.0", "-q", "filesrc", f"location={path}", "!", "decodebin", "name=d", "d.", "!", "queue", "!",
                     "video/x-raw", "!", "fakesink", "d.", "!", "queue", "!", "audio/x-raw", "!", "fakesink"]):
        done = subprocess.run([str(c) for c in command], capture_output=True, text=True)
        said = (done.stdout + done.stderr).strip()
        if done.returncode or said:
            yield f"{command[0]}: {path.name}: {said or done.returncode}"
    read = subprocess.run(["ffprobe", "-v", "error", "-show_entries", "stream=start_time,duration", "-of", "csv=p=0", path],
                          check=True, capture_output=True, text=True).stdout
    spans = [tuple(map(float, line.split(",")[:2])) for line in read.splitlines()]
    begins, ends = [s[0] for s in spans], [sum(s) for s in spans]
    if len(spans) != 2 or max(begins) - min(begins) > APART or max(ends) - min(ends) > APART:
        yield f"ffprobe: {path.name}: picture and sound begin or end apart: {spans}"


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clips", type=int, default=40)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--only-times", action="store_true", help="no other player decodes the files")
    wanted = parser.parse_args()
    for tool in ("ffmpeg", "mpv", "gst-launch-1.0"):
        if not shutil.which(tool):
            raise SystemExit(f"{tool} is not installed; scripts/setup --bench installs it")
    if not PROGRAM.exists():
        raise SystemExit(f"{PROGRAM} is not there; run cargo build --release")
    with tempfile.TemporaryDirectory() as folder:
        film(pathlib.Path(folder))
        measure(pathlib.Path(folder), wanted)
        if not wanted.only_times:
            decode(pathlib.Path(folder))


def measure(folder, wanted):
    source = folder / "film.mp4"
    path = record(folder, wanted.clips)
    full = ["-c:v", "libx264", "-preset", "veryfast", "-crf", "18", "-c:a", "copy"]
    took = {name: [] for name in ("copied", "ffmpeg -c copy", "edges", "ffmpeg, all encoded")}
    for n in range(wanted.rounds):
        of = lambda name: folder / f"{name}-{n}"
        took["copied"].append(timed(lambda: changeover(path, of("keys"), "--key-frames")))
        spans = [(seconds(m["from"]), seconds(m["to"])) for m in json.loads(changeover(path, of("again"), "--key-frames"))]
        took["ffmpeg -c copy"].append(timed(lambda: ffmpeg(source, spans, of("copy"), ["-c", "copy"])))
        told = []
        took["edges"].append(timed(lambda: told.append(changeover(path, of("edges")))))
        made = json.loads(told[0])
        spans = [(seconds(m["from"]), seconds(m["to"])) for m in made]
        took["ffmpeg, all encoded"].append(timed(lambda: ffmpeg(source, spans, of("full"), full)))
    frames, encoded = (sum(m[key] for m in made) for key in ("frames", "encoded"))
    print(f"{len(made)} clips, {frames} frames, of which {encoded} were encoded; {wanted.rounds} rounds")
    for ours, theirs in (("copied", "ffmpeg -c copy"), ("edges", "ffmpeg, all encoded")):
        a, b = statistics.median(took[ours]), statistics.median(took[theirs])
        print(f"{ours:8} {a:7.2f} s   {theirs:20} {b:7.2f} s   ratio {a / b:.2f}")


def decode(folder):
    files = [file for kind in ("keys-0", "edges-0") for file in sorted((folder / kind).glob("*.mp4"))]
    said = [line for file in files for line in complaints(file)]
    players = ["ffmpeg", "mpv", "GStreamer"]
    if python := os.environ.get("CHANGEOVER_PYTHON"):
        done = subprocess.run([python, ROOT / "tests/external/check_films.py", *files], capture_output=True, text=True)
        players.append("Chromium")
        said += (done.stdout + done.stderr).splitlines() if done.returncode else []
        print(done.stdout.strip())
    print("\n".join(said) or f"{', '.join(players)} decode every file without a complaint")
    sys.exit(1 if said else 0)


if __name__ == "__main__":
    main()
