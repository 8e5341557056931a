"""Types command lines into a real shell, presses Tab, and prints what the lines became, as JSON.

    complete_lines.py SHELL COMPLETION-FILE [LINE...]

SHELL is bash, zsh or fish. It starts in the current folder, without the user's own settings, and finds `changeover` on the PATH.
"""
import json
import os
import pathlib
import pty
import select
import sys
import tempfile
import threading
import time

SHELL, COMPLETION, LINES = sys.argv[1], os.path.realpath(sys.argv[2]), sys.argv[3:]
WORK = tempfile.TemporaryDirectory()
TOLD = pathlib.Path(WORK.name, "line")

# Ctrl+g writes the line that is being typed into the file TOLD.
START = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], f"""\
source '{COMPLETION}'
bind -x '"\\C-g": printf %s "$READLINE_LINE" >"$TOLD.new" && mv "$TOLD.new" "$TOLD"'
bind 'set bell-style none'
"""),
    # Packages put the file where zsh looks it up by the name of the command, so it is put so here.
    "zsh": (["zsh", "-f", "-i"], f"""\
mkdir '{WORK.name}/functions' && cp '{COMPLETION}' '{WORK.name}/functions/_changeover'
fpath=('{WORK.name}/functions' $fpath)
autoload -Uz compinit && compinit -u -d '{WORK.name}/dump'
setopt no_list_beep
tell() {{ print -rn -- "$BUFFER" >"$TOLD.new" && mv "$TOLD.new" "$TOLD" }}
zle -N tell; bindkey -e; bindkey '^G' tell; bindkey '^U' kill-whole-line
"""),
    "fish": (["fish", "--no-config", "-i"], f"""\
source '{COMPLETION}'
bind \\cg 'commandline >"$TOLD.new"; mv "$TOLD.new" "$TOLD"'
"""),
}


def told(limit=20.0):
    end = time.monotonic() + limit
    while time.monotonic() < end:
        if TOLD.is_file():
            line = TOLD.read_text(encoding="utf-8")
            TOLD.unlink()
            return line.removesuffix("\n") if SHELL == "fish" else line
        time.sleep(0.01)
    sys.exit(f"{SHELL} did not tell its line within {limit:.0f} s; it showed: {bytes(SHOWN)[-2000:]!r}")


SHOWN = bytearray()


def read(terminal):
    while True:
        try:
            SHOWN.extend(os.read(terminal, 65536))
        except OSError:
            return


command, start = START[SHELL]
environment = {k: v for k, v in os.environ.items() if k in ("PATH", "LANG")}
environment |= {"HOME": WORK.name, "TERM": "xterm", "TOLD": str(TOLD), "LC_ALL": "C.UTF-8"}
child, terminal = pty.fork()
if child == 0:
    os.execvpe(command[0], command, environment)
threading.Thread(target=read, args=(terminal,), daemon=True).start()
setting = pathlib.Path(WORK.name, "start")
setting.write_text(start, encoding="utf-8")
os.write(terminal, f"source '{setting}'\n".encode())
time.sleep(1)
became = {}
for line in LINES:
    os.write(terminal, b"\x15" + line.encode() + b"\t\x07")
    became[line] = told()
os.write(terminal, b"\x15exit\n")
os.waitpid(child, 0)
print(json.dumps(became, ensure_ascii=False))
