"""Reads timelines, edit decision lists and chapters of Changeover back with other people's libraries.

    check_timecodes.py FOLDER

FOLDER holds, for each rate, NAME.json, NAME.otio, NAME.edl, NAME.xml and NAME.vtt of the same clips, and rates.json with the exact
rate, the frame of the start timecode and whether it is drop-frame. Says what is wrong and ends with 1, or ends with 0.
"""

import json
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import opentimelineio as otio
import webvtt
from lxml import etree

wrong = []


def expect(true, text):
    if not true:
        wrong.append(text)


def nanos(text):
    hours, minutes, seconds = text.split(":")
    whole, _, part = seconds.partition(".")
    return ((int(hours) * 60 + int(minutes)) * 60 + int(whole)) * 10**9 + int(part.ljust(9, "0"))


def frame(rate, at):
    """The frame whose moment, rounded to a nanosecond, is nearest to this one, the later of two."""
    near = int(Fraction(at, 10**9) * rate)
    moment = lambda n: (Fraction(n) / rate * 10**9 + Fraction(1, 2)).__floor__()
    return min((n for n in range(near + 2, near - 3, -1) if n >= 0), key=lambda n: abs(moment(n) - at))


def ranges(clips):
    return [(round(c.source_range.start_time.value), round(c.source_range.duration.value)) for c in clips]


def in_matroska(folder, name):
    """The chapters as mkvtoolnix reads them out of a Matroska file into which it has put them; nothing if it is not installed."""
    if not shutil.which("mkvmerge"):
        return None
    film = folder / f"{name}.mkv"
    sound = ["-f", "lavfi", "-i", "anullsrc=r=8000:cl=mono", "-t", "1", "-c:a", "flac", str(folder / f"{name}.mka")]
    subprocess.run(["ffmpeg", "-v", "error", "-y", *sound], check=True)
    made = ["mkvmerge", "-q", "-o", str(film), "--chapters", str(folder / f"{name}.xml"), str(folder / f"{name}.mka")]
    if subprocess.run(made).returncode:
        return "refused by mkvmerge"
    out = subprocess.run(["mkvextract", str(film), "chapters", "-"], check=True, capture_output=True).stdout
    read = etree.fromstring(out).findall(".//ChapterAtom")
    return [(nanos(c.findtext("ChapterTimeStart")), nanos(c.findtext("ChapterTimeEnd"))) for c in read]


def check(folder, name, about):
    rate, first = Fraction(about["rate"]), about["first"]
    clips = json.loads((folder / f"{name}.json").read_text("utf-8"))["clips"]
    expect(len(clips) > 5, f"{name}: too few clips to say anything")
    spans = [(nanos(c["file_span"]["start"]), nanos(c["file_span"]["end"])) for c in clips]
    wanted = [(first + frame(rate, a), frame(rate, b) - frame(rate, a)) for a, b in spans]
    timeline = otio.adapters.read_from_file(str(folder / f"{name}.otio"))
    read = list(timeline.find_clips())
    expect(ranges(read) == wanted, f"{name}: otio has {ranges(read)}, not {wanted}")
    for clip, ours in zip(read, clips):
        expect(abs(clip.source_range.start_time.rate - float(rate)) < 1e-9, f"{name}: otio has another rate")
        expect(clip.metadata["changeover"]["rate"] == about["rate"], f"{name}: the exact rate is not in the metadata")
        expect(clip.name == ours["label"], f"{name}: otio has the label {clip.name!r}")
        expect(clip.media_reference.target_url == "m.mp4", f"{name}: otio names {clip.media_reference.target_url}")
        media, shown = clip.media_reference.available_range, clip.source_range
        inside = media.start_time <= shown.start_time and shown.end_time_exclusive() <= media.end_time_exclusive()
        expect(inside, f"{name}: a clip is outside its media")
        expect(len(clip.markers) == 1, f"{name}: a clip has no marker")
    listed = otio.adapters.read_from_file(str(folder / f"{name}.edl"), rate=float(rate), ignore_timecode_mismatch=False)
    read = list((listed[0] if isinstance(listed, otio.schema.SerializableCollection) else listed).find_clips())
    expect(ranges(read) == wanted, f"{name}: edl has {ranges(read)}, not {wanted}")
    chapters = etree.parse(str(folder / f"{name}.xml")).findall(".//ChapterAtom")
    times = [(nanos(c.findtext("ChapterTimeStart")), nanos(c.findtext("ChapterTimeEnd"))) for c in chapters]
    expect(times == spans, f"{name}: chapters are at {times}")
    matroska = in_matroska(folder, name)
    expect(matroska in (None, times), f"{name}: in a Matroska file the chapters are at {matroska}")
    expect(len(webvtt.read(str(folder / f"{name}.vtt"))) == len(clips), f"{name}: webvtt has another number of cues")


folder = Path(sys.argv[1])
rates = json.loads((folder / "rates.json").read_text("utf-8"))
for name, about in rates.items():
    check(folder, name, about)
for text in wrong:
    print(text)
by = "mkvtoolnix" if shutil.which("mkvmerge") else "lxml alone: mkvtoolnix is not installed"
print(f"{len(rates)} rates, chapters read by {by}, {len(wrong)} wrong")
sys.exit(1 if wrong else 0)
