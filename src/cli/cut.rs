//! `changeover cut`: a video file of each clip.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{ErrorKind, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;

use serde::Serialize;

use super::answer::{Answer, CliError, FOUND, complain};
use super::reading::shown;
use super::selected::{Selected, Selection};
use super::working::{Bar, going_on, told_to_stop};
use crate::clips::Clip;
use crate::counted::{Counted, Noun};
use crate::record::consent::{overdue, refusals, today};
use crate::record::footage::footage_path;
use crate::record::{Record, printable};
use crate::saving::{NewFolder, free_space};
use crate::system::writing;
use crate::time::MatchTime;
use crate::video::{Trimmed, Trimmer, VideoError, Way, probe_watched};

const EXAMPLES: &str = "\
Examples:
  changeover cut final.points.json --pattern \"Drop shot\" --out drops
  changeover cut matches/ --where \"Holt drop shot behind break point clay\" --out drops
  changeover cut final.points.json --pattern \"Drop shot\" --key-frames --out drops

Makes the folder DIR with one MP4 file for each clip, selected as by `changeover clips`. Each has exactly the frames of its clip, and \
its sound. Pictures from the first key frame within a clip on are copied as they are, and the sound too; only the pictures \
before it, and a few at the end, are encoded anew. This needs an MP4 or MOV file with H.264; a clip of other footage is encoded whole. \
Each line says how a file was made.

--key-frames copies everything: each clip then begins at a key frame before its start and ends at one after its end, so that it may \
reach into the points before and after it.

File names hold the number of the clip, its time in the footage, and what was asked for, but no name of a player. If DIR exists \
already, nothing is made. Ctrl C stops it and leaves nothing behind.

Exit codes: 0 made, 1 some clips have no footage (the others were made), nothing was found, or it could not be made or was \
stopped, 2 the command line was not understood.";

/// The arguments of `cut`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    #[command(flatten)]
    selection: Selection,
    /// Folder to make; it must not exist yet.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Begin and end at key frames around each clip, so that nothing is encoded.
    #[arg(long)]
    key_frames: bool,
    /// Print what was made as JSON.
    #[arg(long)]
    json: bool,
}

/// A file that was made.
#[derive(Debug, Serialize)]
struct Made {
    file: String,
    footage: String,
    from: MatchTime,
    to: MatchTime,
    frames: usize,
    bytes: u64,
    /// How many of its frames were encoded; the others were copied.
    encoded: usize,
    /// Why nothing was copied.
    #[serde(skip_serializing_if = "Option::is_none")]
    because: Option<&'static str>,
    label: String,
    about: String,
}

/// Makes the files.
///
/// # Errors
/// [`CliError`] when a record cannot be read, footage cannot be decoded, or the folder cannot be made.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let asks = args.selection.is_any();
    asks.then_some(()).ok_or_else(|| {
        failed("nothing says which clips to cut; give --pattern, --where, --tag or --player")
    })?;
    let selected = args.selection.select()?;
    if selected.list.clips.is_empty() {
        complain(&"no point with footage is found, so nothing is made");
        return Ok(ExitCode::from(FOUND));
    }
    let folder = NewFolder::begin(&args.out).map_err(|e| no_folder(&args.out, &e))?;
    let stop = told_to_stop()?;
    let (trimmers, missing) = opened(&selected, &stop)?;
    let clips: Vec<&Clip> = selected.list.clips.iter().filter(|c| trimmers.contains_key(&key(c))).collect();
    if clips.is_empty() {
        return Err(failed("no footage of these clips is there, so nothing is made"));
    }
    say_consent(&selected, &clips);
    check_room(args, &trimmers, &clips)?;
    let bar = Bar::new(String::new());
    let made = make(args, (&selected.title, &clips), &trimmers, folder.path(), &mut |done| {
        bar.at(done);
        going_on(&stop)
    });
    drop(bar);
    let made = made.map_err(|e| of_video(e.renamed(|path| folder.named(path))))?;
    folder.finish().map_err(|e| no_folder(&args.out, &e))?;
    tell(args, &made, out)?;
    let whole = missing == 0 && selected.archive.whole;
    Ok(if whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The footage that is there: the record's number, the file's name in it, and what cuts it.
type Films<'a> = BTreeMap<(usize, &'a str), Trimmer>;

/// Which footage a clip is of: the record's number, and the file's name in it.
fn key(clip: &Clip) -> (usize, &str) {
    (clip.record, clip.file.as_str())
}

/// The footage of the clips, opened; and how much of it is not there.
fn opened<'a>(selected: &'a Selected, stop: &AtomicBool) -> Result<(Films<'a>, usize), CliError> {
    let (mut all, mut missing) = (BTreeMap::new(), 0);
    for (n, name) in selected.list.clips.iter().map(key).collect::<BTreeSet<_>>() {
        let record = selected.archive.records.get(n).zip(selected.archive.paths.get(n));
        let file = record.and_then(|(r, path)| Some((r.footage.iter().find(|f| f.file == name)?, path)));
        let path = file.and_then(|(f, path)| footage_path(path, f).ok());
        // What is away was told when the clips were selected.
        let Some(path) = path.filter(|p| p.is_file()) else {
            missing += 1;
            continue;
        };
        let media = probe_watched(&path, &mut |_| going_on(stop)).map_err(of_video)?;
        all.insert((n, name), Trimmer::open(media).map_err(of_video)?);
    }
    Ok((all, missing))
}

/// Says what the records of the clips have to say of consent.
fn say_consent(selected: &Selected, clips: &[&Clip]) {
    let numbers: BTreeSet<usize> = clips.iter().map(|c| c.record).collect();
    let records = numbers.iter().filter_map(|n| selected.archive.records.get(*n));
    let said = |r: &Record| refusals(r).into_iter().chain(overdue(r, today())).collect::<Vec<_>>();
    for line in records.flat_map(said).collect::<BTreeSet<_>>() {
        complain(&line);
    }
}

/// Whether the disk has room for as many bytes as the footage has in these spans, and half as many again.
fn check_room(args: &Args, trimmers: &Films<'_>, clips: &[&Clip]) -> Result<(), CliError> {
    let bytes = |clip: &&Clip| {
        let rate = trimmers.get(&key(clip)).map_or(0.0, Trimmer::bytes_a_second);
        ((clip.file_span.end() - clip.file_span.start()).as_secs_f64() + 1.0) * rate * 1.5
    };
    let needs = clips.iter().map(bytes).sum::<f64>() as u64 + 1_000_000;
    match free_space(&args.out).filter(|free| *free < needs) {
        Some(free) => {
            let mb = |bytes: u64| bytes.div_ceil(1_000_000);
            Err(failed(format!(
                "{}: the disk has {} MB free, and the clips need about {} MB; make room, or select fewer clips",
                shown(&args.out),
                free / 1_000_000,
                mb(needs)
            )))
        }
        None => Ok(()),
    }
}

fn make(
    args: &Args,
    (title, clips): (&str, &[&Clip]),
    trimmers: &Films<'_>,
    folder: &Path,
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Made>, VideoError> {
    let mut all = Vec::new();
    for (n, clip) in clips.iter().enumerate() {
        let Some(trimmer) = trimmers.get(&key(clip)) else { continue };
        let asked = (clip.file_span.start(), clip.file_span.end());
        let wide = args.key_frames.then(|| trimmer.widened(asked.0, asked.1)).flatten();
        let span = wide.unwrap_or(asked);
        let file = name(n + 1, span.0, title);
        let mut told = |done: f64| watch((n as f64 + done) / clips.len() as f64);
        let made = trimmer.trim(span, &folder.join(&file), &mut told)?;
        all.push(Made::of(file, clip, made));
    }
    Ok(all)
}

/// The name of a clip's file, as `003 0-04-16 Drop shot.mp4`: no more than any file system takes.
fn name(number: usize, from: MatchTime, title: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let words: String = title.chars().map(plain).collect();
    let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(40).collect();
    let name = format!("{number:03} {} {}", from.short().replace(':', "-"), words.trim());
    format!("{}.mp4", name.trim())
}

impl Made {
    fn of(file: String, clip: &Clip, made: Trimmed) -> Self {
        let (encoded, because) = match made.way {
            Way::Copied => (0, None),
            Way::Edges(frames) => (frames, None),
            Way::Encoded(why) => (made.frames, Some(why.words())),
        };
        Self {
            file,
            footage: clip.file.clone(),
            from: made.from,
            to: made.to,
            frames: made.frames,
            bytes: made.bytes,
            encoded,
            because,
            label: clip.label.clone(),
            about: clip.about.clone(),
        }
    }

    /// How it was made, in words.
    fn way(&self) -> String {
        match (self.because, self.encoded) {
            (Some(why), _) => format!("encoded, because {why}"),
            (None, 0) => "copied".into(),
            (None, n) if n == self.frames => "pictures encoded: no key frame is within it".into(),
            (None, n) => {
                format!("copied, but for {n} of its {} frames, which were encoded", self.frames)
            }
        }
    }
}

/// Says what was made.
fn tell(args: &Args, made: &[Made], out: &mut dyn Write) -> std::io::Result<()> {
    if args.json {
        serde_json::to_writer_pretty(&mut *out, made)?;
        return writeln!(out);
    }
    for one in made {
        let length = (one.to - one.from).as_secs_f64();
        writeln!(out, "{}: {length:.1} s, {}", printable(&one.file, 200), one.way())?;
    }
    let mb = made.iter().map(|m| m.bytes).sum::<u64>() as f64 / 1e6;
    writeln!(out, "{}: {}, {mb:.1} MB", shown(&args.out), Counted(made.len(), Noun::Clip))
}

fn of_video(e: VideoError) -> CliError {
    match e {
        VideoError::Stopped { .. } => failed("stopped; nothing was made"),
        e => failed(e),
    }
}

fn no_folder(path: &Path, e: &std::io::Error) -> CliError {
    if e.kind() == ErrorKind::AlreadyExists {
        return failed(format!(
            "{} is there already; give the name of a folder that does not exist yet",
            shown(path)
        ));
    }
    failed(format!("cannot make {}: {}", shown(path), writing(e)))
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_are_short_and_plain() {
        let at = MatchTime::from_secs(256);
        assert_eq!(name(3, at, "Drop shot"), "003 0-04-16 Drop shot.mp4");
        assert_eq!(name(1200, at, "../..\u{202e}\n\"<x>\" /etc"), "1200 0-04-16 x etc.mp4");
        assert_eq!(name(1, at, "··"), "001 0-04-16.mp4");
        assert!(name(1, at, &"ш".repeat(10_000)).len() < 120);
    }
}
