#!/usr/bin/env python3
"""Changeover against mpv, in one run, on the same file: `benches/against-mpv.py FOOTAGE [--places N] [--rounds N]`.

Both are paused and without sound; mpv is driven through its own control socket and given no window, Changeover's
player is driven by the program in benches/seek.rs. Rounds alternate, so that a busy machine hurts both. Prints
medians and the 95th percentile in milliseconds, and the ratio of the medians (below 1: Changeover is quicker).
The window's start is held against the barest GTK window (benches/window.rs), the summary and the clip list of 300
points against Python reading the same file as JSON. Both need a release build (`cargo build --release`); the windows need a
display and xdotool. What mpv cannot do stands without a ratio. Only the ratios mean anything on another machine.
"""

import argparse
import contextlib
import json
import os
import pathlib
import random
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
RELEASE = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")).resolve() / "release/changeover"
STEPS = 30
FAR = 20


def milliseconds(since):
    return (time.perf_counter() - since) * 1000


class Mpv:
    """One mpv process and its control socket."""

    def __init__(self, footage, *more):
        self.folder = tempfile.TemporaryDirectory()
        path = os.path.join(self.folder.name, "control")
        self.started = time.perf_counter()
        self.process = subprocess.Popen(
            ["mpv", "--no-config", "--ao=null", "--no-audio", "--pause", "--no-terminal", "--hr-seek=yes",
             "--keep-open=yes", f"--input-ipc-server={path}", *more, str(footage)])
        self.socket = socket.socket(socket.AF_UNIX)
        while True:
            try:
                self.socket.connect(path)
                break
            except OSError:
                if self.process.poll() is not None or milliseconds(self.started) > 20_000:
                    raise SystemExit("mpv did not open its control socket")
                time.sleep(0.001)
        self.socket.settimeout(20)
        self.lines = self.socket.makefile("r")
        self.send("observe_property", 1, "time-pos")
        self.wait(lambda e: e.get("event") == "playback-restart")
        self.first_frame = milliseconds(self.started)

    def send(self, *command):
        self.socket.sendall(json.dumps({"command": command}).encode() + b"\n")

    def wait(self, done):
        for line in self.lines:
            event = json.loads(line)
            if done(event):
                return event
        raise SystemExit("mpv ended before it answered")

    def seek(self, seconds):
        begun = time.perf_counter()
        self.send("seek", seconds, "absolute+exact")
        self.wait(lambda e: e.get("event") == "playback-restart")
        return milliseconds(begun)

    def position(self):
        self.send("get_property", "time-pos")
        return self.wait(lambda e: "data" in e and "event" not in e)["data"]

    def step(self, command):
        """Until the place reported is another one: mpv has no event for a step."""
        time.sleep(0.05)  # a hand on a key
        before = self.position()
        begun = time.perf_counter()
        self.send(command)
        self.wait(lambda e: e.get("name") == "time-pos" and e.get("data") not in (None, before))
        return milliseconds(begun)

    def close(self):
        self.process.terminate()
        self.process.wait()
        self.folder.cleanup()


def mpv_round(footage, length, places):
    mpv = Mpv(footage, "--vo=null")
    try:
        found = {"first frame": [mpv.first_frame], "exact seek": [mpv.seek(place) for place in places]}
        mpv.seek(length / 2)
        found["frame forward"] = [mpv.step("frame-step") for _ in range(STEPS)]
        found["frame back, kept"] = [mpv.step("frame-back-step") for _ in range(STEPS)]
        afar = found["frame back, not kept"] = []
        for number in range(1, FAR + 1):
            mpv.seek(length * number / (FAR + 1))
            afar.append(mpv.step("frame-back-step"))
        return found
    finally:
        mpv.close()


def own_round(program, footage, places):
    begun = time.perf_counter()
    process = subprocess.Popen([program, str(footage), str(STEPS), *map(str, places)], stdout=subprocess.PIPE, text=True)
    first = process.stdout.readline()
    found = {"first frame": [milliseconds(begun)]}
    if first.strip() != "first frame":
        raise SystemExit(f"{program} said {first!r} instead of 'first frame'")
    found.update(json.loads(process.stdout.readline()))
    process.wait()
    return found


def own_start(program, footage):
    """From the start of our process to its first frame."""
    begun = time.perf_counter()
    process = subprocess.Popen([program, str(footage), "0"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        if process.stdout.readline().strip() != "first frame":
            raise SystemExit(f"{program} showed no first frame")
        return milliseconds(begun)
    finally:
        process.kill()
        process.wait()


def mpv_start(footage):
    mpv = Mpv(footage, "--vo=null")
    try:
        return mpv.first_frame
    finally:
        mpv.close()


def programs():
    """Builds the programs in benches/ and says where they are."""
    built = subprocess.run(
        ["cargo", "bench", "--locked", "--benches", "--no-run", "--message-format=json"],
        cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
    found = {}
    for line in built.stdout.splitlines():
        message = json.loads(line)
        if message.get("target", {}).get("kind") == ["bench"] and message.get("executable"):
            found[message["target"]["name"]] = message["executable"]
    return found


@contextlib.contextmanager
def display_kept_open():
    """Keeps a connection to the display. A virtual display starts anew when its last program has left, and a program that
    comes meanwhile gets no window: so it was now and then between two looks for the window."""
    keeper = subprocess.Popen(["xdotool", "sleep", "100000"])
    try:
        time.sleep(0.2)
        yield
    finally:
        keeper.terminate()
        keeper.wait()


def until_window(command):
    """From the start of a program until its window is on the screen."""
    with tempfile.TemporaryFile("w+") as said:
        begun = time.perf_counter()
        # xdotool sees windows of X only, and a window that is open already would take over on its session bus.
        surroundings = {**os.environ, "GDK_BACKEND": "x11", "DBUS_SESSION_BUS_ADDRESS": "disabled:"}
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=said, env=surroundings)
        try:
            while milliseconds(begun) < 30_000:
                shown = subprocess.run(["xdotool", "search", "--onlyvisible", "--all", "--pid", str(process.pid), "--name", "."],
                                       stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True).stdout
                if shown.strip():
                    return milliseconds(begun)
                if process.poll() is not None:
                    break
            said.seek(0)
            ended = "did not end" if process.poll() is None else f"ended with {process.returncode}"
            raise SystemExit(f"{command[0]} showed no window in {milliseconds(begun) / 1000:.0f} s and {ended}; it said:\n{said.read()}")
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait()


def long_record(folder):
    """A record of 300 invented points: fifty games held to thirty, in one long set without a tie-break."""
    points, tags = [], (["wide serve", "open court"], ["T serve"], ["body serve", "behind"], ["wide serve", "drop shot"])
    clock = lambda seconds: f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.000"
    for number in range(300):
        server, receiver = ("a", "b") if number // 6 % 2 == 0 else ("b", "a")
        points.append({
            "start": clock(10 + 25 * number), "end": clock(16 + 25 * number + number % 9), "faults": int(number % 3 == 1),
            "winner": receiver if number % 6 in (1, 3) else server,
            "finish": ("winner", "forced-error", "unforced-error")[number % 3], "tags": tags[number % 4]})
    record = pathlib.Path(folder) / "long.points.json"
    # It is missed otherwise; nothing plays it.
    record.with_name("long.mp4").touch()
    record.write_text(json.dumps({
        "format": "changeover-record", "version": 1,
        "match": {"a": {"name": "Holt"}, "b": {"name": "Okafor"}, "first_server": "a", "a_starts": "near",
                  "rules": {"best_of": 3, "set": {"games": 6, "tie_break": None}}},
        "footage": [{"file": "long.mp4", "duration": "02:06:00.000", "rate": "25"}],
        "points": points}))
    return record


def run_time(command):
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return milliseconds(begun)


def middle_and_high(values):
    high = sorted(values)[min(len(values) - 1, int(0.95 * len(values)))]
    return statistics.median(values), high


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("footage", type=pathlib.Path)
    options.add_argument("--places", type=int, default=50, help="random places to seek to (50)")
    options.add_argument("--rounds", type=int, default=3, help="rounds of each program (3)")
    options.add_argument("--starts", type=int, default=10, help="more starts of each program (10)")
    options.add_argument("--pattern", default="Wide serve, open court", help="the pattern for the clip list")
    chosen = options.parse_args()
    if not shutil.which("mpv"):
        raise SystemExit("mpv is not here: scripts/setup --bench installs it")

    length = float(subprocess.run(
        ["ffprobe", "-v", "error", "-show_entries", "format=duration", "-of", "csv=p=0", str(chosen.footage)],
        stdout=subprocess.PIPE, text=True, check=True).stdout)
    dice = random.Random(1)
    places = [round(dice.uniform(0, length - 1), 3) for _ in range(chosen.places)]

    program = programs()
    theirs, ours = {}, {}
    for number in range(chosen.rounds):
        print(f"round {number + 1} of {chosen.rounds}", file=sys.stderr)
        for name, values in own_round(program["seek"], chosen.footage, places).items():
            ours.setdefault(name, []).extend(values)
        for name, values in mpv_round(chosen.footage, length, places).items():
            theirs.setdefault(name, []).extend(values)

    for _ in range(chosen.starts):
        ours.setdefault("first frame", []).append(own_start(program["seek"], chosen.footage))
        theirs.setdefault("first frame", []).append(mpv_start(chosen.footage))

    release = RELEASE
    if not release.exists():
        print(f"left out: the window, the summary, the clip list ({release} is not built)", file=sys.stderr)
    elif not os.environ.get("DISPLAY") or not shutil.which("xdotool"):
        print("left out: the window (it needs a display and xdotool)", file=sys.stderr)
    else:
        with display_kept_open():
            for _ in range(chosen.rounds):
                ours.setdefault("window, against a bare one", []).append(until_window([release, chosen.footage]))
                theirs.setdefault("window, against a bare one", []).append(until_window([program["window"]]))
    if release.exists():
        with tempfile.TemporaryDirectory() as folder:
            record = long_record(folder)
            read = [sys.executable, "-c", "import json, sys; json.load(open(sys.argv[1]))", record]
            for name, command in (("summary", ["summary", record]), ("clip list", ["clips", record, "--pattern", chosen.pattern])):
                name += " of 300 points, against Python's json"
                for _ in range(20):
                    ours.setdefault(name, []).append(run_time([release, *command]))
                    theirs.setdefault(name, []).append(run_time(read))

    print("| | Changeover, ms: median / 95th | mpv, ms: median / 95th | ratio |\n|---|---|---|---|")
    for name in ours:
        middle, high = middle_and_high(ours[name])
        if name not in theirs:
            print(f"| {name} (n {len(ours[name])}) | {middle:.1f} / {high:.1f} | | |")
            continue
        their_middle, their_high = middle_and_high(theirs[name])
        print(f"| {name} (n {len(ours[name])}) | {middle:.1f} / {high:.1f} | {their_middle:.1f} / {their_high:.1f} "
              f"| {middle / their_middle:.2f} |")


if __name__ == "__main__":
    main()
