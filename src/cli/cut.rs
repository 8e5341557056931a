//! `changeover cut`: a video file of each clip.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Serialize;

use super::answer::{Answer, CliError, FOUND, complain};
use super::reading::shown;
use super::selected::{Selected, Selection};
use super::values::written;
use super::working::{Bar, going_on, told_to_stop};
use crate::clips::Clip;
use crate::counted::{Bytes, Counted, Noun};
use crate::making::{self, Film, Made, MakingError, Trimmers, Watch, check_room, ends, opened};
use crate::record::consent::{overdue, refusals, today};
use crate::record::{Record, printable};
use crate::saving::NewFolder;
use crate::session::play_list::Item;
use crate::time::MatchTime;

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
    #[arg(long, value_name = "DIR", value_parser = written())]
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
struct Told<'a> {
    file: &'a str,
    footage: &'a str,
    from: MatchTime,
    to: MatchTime,
    frames: usize,
    bytes: u64,
    /// How many of its frames were encoded; the others were copied.
    encoded: usize,
    /// Why nothing was copied.
    #[serde(skip_serializing_if = "Option::is_none")]
    because: Option<&'static str>,
    label: &'a str,
    about: &'a str,
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
    let folder = NewFolder::begin(&args.out).map_err(|e| no_folder(&args.out, e))?;
    let stop = told_to_stop()?;
    let (mut clips, mut films, mut missing) = footage(&selected);
    if clips.is_empty() {
        return Err(failed(MakingError::NoFootage));
    }
    let trimmers = whole(&mut clips, &mut films, &mut missing, &mut |_| going_on(&stop))?;
    say_consent(&selected, &clips);
    check_room(&trimmers, &films, &args.out).map_err(failed)?;
    let bar = Bar::new(String::new());
    let made = making::cut(&films, &trimmers, (&folder, args.key_frames), &mut |done| {
        bar.at(done);
        going_on(&stop)
    });
    drop(bar);
    let made = made.map_err(failed)?;
    folder.finish().map_err(|e| no_folder(&args.out, e))?;
    tell(args, &clips, &made, out)?;
    let is_whole = missing == 0 && selected.archive.whole;
    Ok(if is_whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

/// The clips whose footage is there, what is made of each, and how much footage is not there.
fn footage(selected: &Selected) -> (Vec<&Clip>, Vec<Film>, usize) {
    let (mut clips, mut films, mut missing) = (Vec::new(), Vec::new(), BTreeSet::new());
    for clip in &selected.list.clips {
        let of = selected.archive.records.get(clip.record).zip(selected.archive.paths.get(clip.record));
        let item = of.and_then(|(record, path)| Item::of(clip, record, path));
        // What is away was told when the clips were selected.
        let Some(item) = item.filter(|item| item.footage.is_file()) else {
            missing.insert((clip.record, clip.file.as_str()));
            continue;
        };
        clips.push(clip);
        films.push(Film { footage: item.footage, span: item.span, title: selected.title.clone() });
    }
    (clips, films, missing.len())
}

/// Opens the footage of the clips. Leaves out those of which nothing can be read, says so, and counts them as missing.
fn whole(
    clips: &mut Vec<&Clip>,
    films: &mut Vec<Film>,
    missing: &mut usize,
    watch: Watch<'_>,
) -> Result<Trimmers, CliError> {
    let (trimmers, unreadable) = opened(films, watch).map_err(failed)?;
    for why in unreadable.values() {
        complain(&format!("{why}; its clips are left out"));
    }
    *missing += unreadable.len();
    let mut is_read =
        films.iter().map(|film| trimmers.contains_key(&film.footage)).collect::<Vec<_>>().into_iter();
    clips.retain(|_| is_read.next().unwrap_or_default());
    films.retain(|film| trimmers.contains_key(&film.footage));
    for end in ends(&trimmers, films).iter().rev() {
        complain(&end.words);
        *missing += 1;
        if end.gone {
            films.remove(end.clip);
            clips.remove(end.clip);
        }
    }
    if clips.is_empty() {
        return Err(failed(MakingError::NothingThere));
    }
    Ok(trimmers)
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

/// Says what was made.
fn tell(args: &Args, clips: &[&Clip], made: &[Made], out: &mut dyn Write) -> std::io::Result<()> {
    if args.json {
        let all: Vec<Told<'_>> = clips.iter().zip(made).map(|(clip, made)| told(clip, made)).collect();
        serde_json::to_writer_pretty(&mut *out, &all)?;
        return writeln!(out);
    }
    for one in made {
        let length = (one.made.to - one.made.from).as_secs_f64();
        writeln!(out, "{}: {length:.1} s, {}", printable(&one.file, 200), one.way())?;
    }
    let bytes = Bytes(made.iter().map(|m| m.made.bytes).sum());
    writeln!(out, "{}: {}, {bytes}", shown(&args.out), Counted(made.len(), Noun::Clip))
}

fn told<'a>(clip: &'a Clip, made: &'a Made) -> Told<'a> {
    let of = made.made;
    Told {
        file: &made.file,
        footage: &clip.file,
        from: of.from,
        to: of.to,
        frames: of.frames,
        bytes: of.bytes,
        encoded: made.encoded(),
        because: made.because(),
        label: &clip.label,
        about: &clip.about,
    }
}

fn no_folder(path: &Path, e: std::io::Error) -> CliError {
    failed(MakingError::of_folder(path, e))
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
