"""Works in the window for a long time by real keys, and holds what it needs against what it needed after the first minute.

    soak.py PROGRAM FOLDER [--minutes N] [--seed N]

FOLDER holds demo footage with its record. Needs a display and a session bus of its own. First the window fills what it keeps at
most; then the minutes begin. Each round does every kind of work in another order: playing at several speeds, steps and jumps, a
point logged by the pad, undo and redo, Study and back. After each minute the footage stands on the first point of the Log page, so
that the same is counted each time: resident memory and the window's own part of it (without files mapped), threads, open files.
"""
import argparse
import os
import pathlib
import random
import subprocess
import sys
import time

import pyatspi

LIMIT = 0.05
# X's numbers of the places.
KEY = {"space": 65, "Equal": 21, "Minus": 20, "BracketRight": 35, "BracketLeft": 34, "Backslash": 51, "S": 39, "J": 44, "K": 45,
       "U": 30, "O": 32, "Digit2": 11, "D": 40, "Q": 24}


def xdotool(*words):
    return subprocess.run(["xdotool", *words], check=False, capture_output=True, text=True).stdout


def press(*keys, pause=0.05):
    for key in keys:
        mods, _, name = key.rpartition("+")
        code = str(KEY.get(name, name))
        xdotool("key", f"{mods}+{code}" if mods else code)
        time.sleep(pause)


def play(dice):
    for _ in range(dice.randrange(3)):
        press(dice.choice(["BracketRight", "BracketLeft"]))
    press("space")
    time.sleep(dice.uniform(1.0, 4.0))
    press("space", "Backslash")


def step(dice):
    press(*[dice.choice(["Equal", "Minus"]) for _ in range(dice.randrange(5, 30))])


def walk(dice):
    places = ["Left", "Right", "shift+Left", "shift+Right", "Home", "End", "alt+Left", "alt+Right"]
    press(*[dice.choice(places) for _ in range(dice.randrange(3, 10))], pause=0.15)


def log(dice):
    """A point at the end of the footage, made and unmade, so that the record stays as long as it was."""
    press("End", "alt+Right", pause=0.3)
    keys = ["S", "J", "U", "K", "shift+O", "D", "Digit2"]
    press(*keys, pause=0.08)
    turns = dice.randrange(1, 4)
    for n in range(turns):
        press(*["ctrl+z"] * len(keys), pause=0.06)
        if n + 1 < turns:
            press(*["ctrl+shift+z"] * len(keys), pause=0.06)


def study(dice):
    press("ctrl+2", pause=0.5)
    press(*[dice.choice(["Down", "Up", "Tab"]) for _ in range(dice.randrange(2, 8))], pause=0.3)
    press("Escape", "ctrl+1", pause=0.5)


WORK = [play, step, walk, log, study]


def warm(dice):
    """Fills what the window keeps at most: frames around the one shown and ahead of it, on both sides of each jump."""
    for place in ("Home", "End", "shift+Left"):
        press(place, pause=0.5)
        press(*["Minus"] * 60, *["Equal"] * 60, pause=0.03)
    press("Home", pause=0.5)
    # Time enough at each point to decode all that the next keys lead to.
    press(*["Right"] * 12, pause=0.9)
    for work in WORK:
        work(dice)


def wait(what, found, limit=60.0):
    end = time.monotonic() + limit
    while time.monotonic() < end:
        if got := found():
            return got
        time.sleep(0.1)
    sys.exit(f"soak: waited {limit:.0f} s for {what}")


def rest():
    """Back to the first point of the Log page, and quiet."""
    press("Escape", "ctrl+1", "Home", pause=0.5)
    time.sleep(4)


def counted(process):
    if process.poll() is not None:
        sys.exit(f"soak: the window is gone, with exit code {process.returncode}")
    about = pathlib.Path(f"/proc/{process.pid}")
    status = dict(line.split(":", 1) for line in (about / "status").read_text().splitlines() if ":" in line)
    mib = {name: int(status[name].split()[0]) / 1024 for name in ("VmRSS", "RssAnon")}
    return {"memory": mib["VmRSS"], "own": mib["RssAnon"], "threads": int(status["Threads"]),
            "files": len(os.listdir(about / "fd"))}


def row(minute, rounds, now):
    print(f"{minute:>6} {rounds:>7} {now['memory']:>11.1f} {now['own']:>9.1f} {now['threads']:>8} {now['files']:>6}",
          flush=True)


def soak(process, minutes, dice):
    print(f"{'minute':>6} {'rounds':>7} {'memory/MiB':>11} {'own/MiB':>9} {'threads':>8} {'files':>6}", flush=True)
    rounds, first = 0, None
    warm(dice)
    # On a busy machine this takes longer than a minute, and the window is still behind: the first minute is one of work.
    rest()
    began = time.monotonic()
    for minute in range(1, minutes + 1):
        while time.monotonic() - began < 60 * minute - 6:
            for work in dice.sample(WORK, len(WORK)):
                work(dice)
            rounds += 1
        rest()
        now = counted(process)
        row(minute, rounds, now)
        first = first or now
    return first, now


def main():
    args = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    args.add_argument("program")
    args.add_argument("folder", type=pathlib.Path)
    args.add_argument("--minutes", type=int, default=30)
    args.add_argument("--seed", type=int, default=1)
    args = args.parse_args()
    if args.minutes < 2:
        sys.exit("soak: --minutes must be at least 2: the first minute is what the others are held against")
    settings = args.folder / "changeover" / "settings.toml"
    settings.parent.mkdir(parents=True, exist_ok=True)
    # The question about the reaction time would take the keys.
    settings.write_text("reaction-offered = true\n")
    footage = next(args.folder.glob("*.mp4"))
    record = footage.with_suffix(".points.json")
    before = record.read_bytes()
    process = subprocess.Popen([args.program, str(footage)])
    try:
        window = wait("the window", lambda: xdotool("search", "--onlyvisible", "--class", "changeover").split())[-1]
        xdotool("windowfocus", "--sync", window)
        xdotool("mousemove", "1439", "899")
        # A screen reader is listening, as it is on the desks of some.
        wait("the window on the accessibility bus", lambda: any(
            a and "changeover" in (a.name or "").lower() for a in pyatspi.Registry.getDesktop(0)))
        time.sleep(3)
        first, last = soak(process, args.minutes, random.Random(args.seed))
        press("ctrl+q")
        code = process.wait(timeout=30)
    finally:
        process.kill()
    failed = code != 0
    for name in ("memory", "own", "threads", "files"):
        change = last[name] / first[name] - 1
        within = abs(change) <= LIMIT
        failed |= not within
        print(f"{name}: {change:+.1%} since the first minute{'' if within else ', more than 5 %'}")
    same = record.read_bytes() == before
    print(f"exit code {code}; the record is {'as it was' if same else 'NOT as it was'}")
    sys.exit(1 if failed or not same else 0)


if __name__ == "__main__":
    main()
