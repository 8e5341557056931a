"""Uses the program in a sandbox as a coach would, through the desktop's own portals: its keys, and the portal's file dialogs.

    in_sandbox.py WORK PICTURE -- COMMAND...

COMMAND starts the program inside the sandbox. WORK holds `films/match.mp4`, and `practice/` and `saved/`, both empty; the program sees
none of them until they are chosen. PICTURE is where a picture of the window goes.
"""
import pathlib
import subprocess
import sys
import time

WORK, PICTURE = pathlib.Path(sys.argv[1]), sys.argv[2]
COMMAND = sys.argv[sys.argv.index("--") + 1:]


def xdotool(*words):
    return subprocess.run(["xdotool", *words], check=False, capture_output=True, text=True).stdout


def wait(what, found, limit=40.0):
    end = time.monotonic() + limit
    while time.monotonic() < end:
        if got := found():
            return got
        time.sleep(0.1)
    subprocess.run(["import", "-window", "root", PICTURE], check=False)
    sys.exit(f"waited {limit:.0f} s for {what}; look at {PICTURE}")


def windows(title):
    return xdotool("search", "--onlyvisible", "--name", title).split()


def key(window, *keys):
    xdotool("windowfocus", "--sync", window)
    xdotool("key", "--clearmodifiers", *keys)


def choose(title, path):
    """Answers the portal's dialog of this title."""
    dialog = wait(f"the dialog '{title}'", lambda: windows(title))[-1]
    time.sleep(0.7)
    xdotool("windowfocus", "--sync", dialog)
    # Among the recent files, a folder that is typed cannot be chosen: so first to the home folder.
    xdotool("key", "alt+Home")
    time.sleep(0.5)
    xdotool("key", "ctrl+l")
    time.sleep(0.7)
    xdotool("key", "ctrl+a")
    xdotool("type", "--delay", "40", str(path))
    # The first Return may only take what the dialog proposes to complete.
    for _ in range(4):
        time.sleep(0.7)
        if not windows(title):
            break
        xdotool("key", "Return")
    wait(f"the end of the dialog '{title}'", lambda: not windows(title))


class Program:
    def __enter__(self):
        self.process = subprocess.Popen(COMMAND)
        self.window = wait("the window", lambda: xdotool("search", "--onlyvisible", "--class", "changeover").split())[-1]
        time.sleep(1.5)
        return self

    def key(self, *keys):
        key(self.window, *keys)

    def __exit__(self, *_):
        self.key("ctrl+q")
        try:
            self.process.wait(30)
        except subprocess.TimeoutExpired:
            self.process.kill()
            sys.exit("the program did not leave at ctrl+q")


def text(path):
    return path.read_text(encoding="utf-8") if path.is_file() else ""


film, record = WORK / "films/match.mp4", WORK / "films/match.points.json"
folder_title = "Choose the folder that holds the footage"
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    choose(folder_title, film.parent)
    time.sleep(3)
    program.key("s")
    wait("the record beside the film", record.is_file)
    program.key("ctrl+s")
    wait("the point in it", lambda: '"start"' in text(record))
print("a film that was chosen alone: its folder was asked for, and the record was saved beside it")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    wait("the record's lock", (WORK / "films/match.points.lock").is_file)
    assert not windows(folder_title), "the folder was asked for again"
    subprocess.run(["import", "-window", "root", PICTURE], check=False)
print("opened again: the folder was not asked for")
with Program() as program:
    program.key("ctrl+n")
    choose("Log without footage: save the record as", WORK / "saved/courtside.points.json")
    choose(folder_title, WORK / "saved")
    time.sleep(2)
    program.key("s")
    wait("the journal beside the record", (WORK / "saved/courtside.points.journal").is_file)
print("a match without footage: its folder was asked for, and every key is saved beside the record at once")
with Program() as program:
    program.key("ctrl+shift+l")
    choose("New lesson: save it as", WORK / "saved/drops.lesson.json")
    choose(folder_title, WORK / "saved")
    wait("the lesson", (WORK / "saved/drops.lesson.json").is_file)
print("a lesson: its folder was asked for, and it was made in it")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", WORK / "saved/drops.lesson.json")
    wait("the lesson's lock", lambda: list((WORK / "saved").glob("drops.lesson*lock")))
    assert not windows(folder_title), "the folder of the lesson was asked for again"
print("a lesson that was chosen alone opened in its folder, which is known by now")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    wait("the record's lock", (WORK / "films/match.points.lock").is_file)
    program.key("ctrl+shift+e")
    dialog = wait("the dialog to export", lambda: windows("^Export$"))[-1]
    time.sleep(1)
    key(dialog, "Tab", "Tab", "Tab", "Return")
    choose("Export to", WORK / "saved/clips.txt")
    wait("the clip list", lambda: text(WORK / "saved/clips.txt"))
print("a clip list was exported to a file that was chosen alone")
with Program() as program:
    program.key("ctrl+shift+n")
    choose("Practice match: choose an empty folder", WORK / "practice")
    wait("the practice match", lambda: list((WORK / "practice").glob("*.mp4")), 120)
    wait("what happened in it", lambda: list((WORK / "practice").glob("*.truth.json")), 600)
print("a practice match was made in a folder that was chosen")
