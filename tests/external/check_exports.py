"""Reads the exports of Changeover back with other people's libraries.

    check_exports.py FOLDER

FOLDER holds clips.json, clips.csv, clips.vtt, clips.xspf, summary.json, clips.schema.json, summary.schema.json,
all of the same clips. Says what is wrong and ends with 1, or ends with 0.
"""

import csv
import json
import re
import sys
from pathlib import Path
from urllib.parse import unquote, urlsplit

import jsonschema
import webvtt
from lxml import etree

XSPF = "{http://xspf.org/ns/0/}"
# What XSPF 1 allows in a playlist and in a track (each at most once, save link, meta, extension, location,
# identifier).
PLAYLIST = set(
    "title creator annotation info location identifier image date license attribution link meta extension trackList".split()
)
TRACK = set(
    "location identifier title creator annotation info image album trackNum duration link meta extension".split()
)
MANY = {"link", "meta", "extension", "location", "identifier"}
FRAGMENT = re.compile(r"t=([0-9]+(?:\.[0-9]+)?),([0-9]+(?:\.[0-9]+)?)")
FORMULA = "=+-@\t\r\n"

wrong = []


def expect(true, text):
    if not true:
        wrong.append(text)


def seconds(text):
    hours, minutes, secs = text.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(secs)


def unguarded(text):
    bare = text.lstrip("'")
    return text[1:] if text.startswith("'") and bare[:1] in tuple(FORMULA) else text


def structure(element, allowed, where):
    names = [child.tag.removeprefix(XSPF) for child in element]
    for name in names:
        expect(name in allowed, f"xspf: {where} cannot hold <{name}>")
        expect(name in MANY or names.count(name) == 1, f"xspf: {where} has <{name}> more than once")


def check_json(folder):
    for name in ("clips", "summary"):
        schema = json.loads((folder / f"{name}.schema.json").read_text("utf-8"))
        validator = jsonschema.validators.validator_for(schema)
        validator.check_schema(schema)
        # Formats such as uint are annotations; types, patterns and required fields are checked.
        for error in validator(schema).iter_errors(json.loads((folder / f"{name}.json").read_text("utf-8"))):
            wrong.append(f"{name}.json: {error.json_path}: {error.message}")
    summary = json.loads((folder / "summary.json").read_text("utf-8"))
    for row in summary["rows"]:
        tally = row["happened"]
        parts = tally["won"] + tally["lost"] + tally["unknown"]
        expect(len(parts) == len(tally["points"]), f"summary.json: {row['pattern']}: the parts do not add up")
    return json.loads((folder / "clips.json").read_text("utf-8"))["clips"]


def check_csv(folder, clips):
    raw = (folder / "clips.csv").read_bytes()
    with open(folder / "clips.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file, strict=True))
    expect(len(rows) == len(clips), f"csv: {len(rows)} rows of {len(clips)} clips")
    # Outside quotes every line ends with CR LF.
    bare = re.sub(rb'"[^"]*"', b"", raw)
    expect(bare.count(b"\n") == bare.count(b"\r\n") == len(clips) + 1, "csv: a line does not end with CR LF")
    for row, clip in zip(rows, clips):
        expect(all(not value.startswith(tuple(FORMULA)) for value in row.values()), f"csv: a formula in {row}")
        for key in ("file", "label", "about"):
            expect(unguarded(row[key]) == clip[key], f"csv: {key} is {row[key]!r}, not {clip[key]!r}")
        expect(abs(float(row["start_seconds"]) - seconds(clip["file_span"]["start"])) < 1e-9, "csv: start")
        expect(row["end"] == clip["file_span"]["end"], "csv: end")


def check_webvtt(folder, clips):
    cues = list(webvtt.read(folder / "clips.vtt"))
    expect(len(cues) == len(clips), f"webvtt: {len(cues)} cues of {len(clips)} clips")
    for n, (cue, clip) in enumerate(zip(cues, clips), 1):
        expect(cue.identifier == f"clip-{n}", f"webvtt: cue {n} is called {cue.identifier}")
        expect("\n" not in cue.raw_text, f"webvtt: cue {n} has several lines")
        expect(0 <= cue.start_in_seconds - int(seconds(clip["file_span"]["start"])) <= 1, f"webvtt: start of {n}")


def check_xspf(folder, clips):
    root = etree.parse(folder / "clips.xspf").getroot()
    expect(root.tag == f"{XSPF}playlist", f"xspf: the root is {root.tag}")
    expect(dict(root.attrib) == {"version": "1"}, f"xspf: the root has {dict(root.attrib)}")
    structure(root, PLAYLIST, "playlist")
    lists = root.findall(f"{XSPF}trackList")
    expect(len(lists) == 1, f"xspf: {len(lists)} track lists")
    tracks = list(lists[0])
    expect(len(tracks) == len(clips), f"xspf: {len(tracks)} tracks of {len(clips)} clips")
    for n, (track, clip) in enumerate(zip(tracks, clips), 1):
        expect(track.tag == f"{XSPF}track", f"xspf: {track.tag} in the track list")
        structure(track, TRACK, "track")
        expect(track.findtext(f"{XSPF}trackNum") == str(n), f"xspf: number of track {n}")
        start, end = seconds(clip["file_span"]["start"]), seconds(clip["file_span"]["end"])
        expect(int(track.findtext(f"{XSPF}duration")) == int((end - start) * 1000 + 0.5), f"xspf: length of {n}")
        uri = urlsplit(track.findtext(f"{XSPF}location"))
        expect(uri.scheme in ("", "file") and not uri.netloc and not uri.query, f"xspf: location {uri}")
        expect(unquote(uri.path) == clip["file"], f"xspf: path {unquote(uri.path)!r}, not {clip['file']!r}")
        found = FRAGMENT.fullmatch(uri.fragment)
        expect(found is not None, f"xspf: fragment {uri.fragment}")
        if found:
            expect(abs(float(found[1]) - start) < 1e-9 and abs(float(found[2]) - end) < 1e-9, f"xspf: times of {n}")


def main():
    folder = Path(sys.argv[1])
    clips = check_json(folder)
    expect(clips, "there is no clip to check")
    check_csv(folder, clips)
    check_webvtt(folder, clips)
    check_xspf(folder, clips)
    for line in wrong:
        print(line)
    print(f"{len(clips)} clips read back by {jsonschema.__name__}, csv, webvtt-py and lxml: {len(wrong)} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
