#!/bin/bash
# Runs inside the bare Debian of scripts/package-test, on a virtual display, as an ordinary user: opens a film by the desktop file,
# plays, logs a point, leaves. Prints the milliseconds from the launch to the first frame.
#
#   as_a_coach.sh FILM DISPLAY-FILE
#
# DISPLAY-FILE is where Xvfb keeps the picture of its screen (option -fbdir).

set -euo pipefail
film="$1" screen="$2"
record="${film%.*}.points.json"
desktop=/usr/share/applications/org.changeover.Changeover.desktop

fail() {
  printf 'as_a_coach: %s\n' "$*" >&2
  exit 1
}

# The colour of one place of the screen, as blue, green, red.
header=$(od -An -tu1 -j 0 -N 4 "$screen" | awk '{ print (($1 * 256 + $2) * 256 + $3) * 256 + $4 }')
colours=$(od -An -tu1 -j 76 -N 4 "$screen" | awk '{ print (($1 * 256 + $2) * 256 + $3) * 256 + $4 }')
row=$(od -An -tu1 -j 48 -N 4 "$screen" | awk '{ print (($1 * 256 + $2) * 256 + $3) * 256 + $4 }')
pixel() { od -An -tu1 -j $((header + colours * 12 + $2 * row + $1 * 4)) -N 3 "$screen"; }
# A frame shows the court: neither black nor grey nor the paper of the window.
shows_a_frame() {
  local b g r
  read -r b g r < <(pixel 420 330)
  [ $((r > g ? r - g : g - r)) -gt 12 ] || [ $((g > b ? g - b : b - g)) -gt 24 ]
}

from=$(date +%s%N)
gio launch "$desktop" "$film"
for _ in $(seq 3000); do
  if shows_a_frame; then break; fi
  sleep 0.01
done
shows_a_frame || fail "no frame was shown within 30 seconds"
printf 'first frame: %d ms\n' $((($(date +%s%N) - from) / 1000000))

window=$(timeout 20 xdotool search --sync --onlyvisible --class changeover | tail -n 1)
xdotool windowfocus --sync "$window"
[ ! -e "$record" ] || fail "watching wrote $record"
xdotool key space
sleep 2
xdotool key s
sleep 2
xdotool key a
sleep 1
[ -e "$record" ] || fail "the point was not written to $record"
xdotool key ctrl+q
for _ in $(seq 200); do
  if ! pgrep -x changeover >/dev/null; then break; fi
  sleep 0.1
done
if pgrep -x changeover >/dev/null; then fail "the window did not close"; fi
changeover score "$record"
start=$(sed -n 's/.*"start": "\(.*\)".*/\1/p' "$record" | tail -n 1)
end=$(sed -n 's/.*"end": "\(.*\)".*/\1/p' "$record" | tail -n 1)
[ -n "$start" ] && [ "$start" != "$end" ] || fail "the film did not play between the two keys: $start to $end"
printf 'a point was logged from %s to %s\n' "$start" "$end"
