//! `changeover lesson`: makes a lesson from clips, or shows one.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::answer::{Answer, CliError, FOUND, complain};
use super::reading::shown;
use super::selected::{Selected, Selection};
use super::values::written;
use crate::counted::{Counted, Noun};
use crate::export::Format;
use crate::export::timecode::Label;
use crate::lesson::talk::Talk;
use crate::lesson::{Clip, Found, Lesson, Met, Origin, Part, create, find, load, parts_of, to_text};
use crate::record::footage::{OTHER, is_other};
use crate::record::printable;
use crate::saving::{Replace, folder, save};
use crate::session::lesson_list::{self, Wanted};
use crate::system::reading;

const EXAMPLES: &str = "\
Examples:
  changeover lesson final.points.json --pattern \"Drop shot, all conditions met\" --out drops.lesson.json
  changeover lesson matches/ --where \"Holt return deep second serve\" --title \"Returns\" --out returns.lesson.json
  changeover lesson drops.lesson.json
  changeover lesson drops.lesson.json --json
  changeover lesson drops.lesson.json --format edl --out drops.edl

With records, the clips are selected as by `changeover clips`, and --out names the lesson that is made; without it the lesson is \
printed. With a lesson, its parts are listed; footage that is not where the lesson says is named on standard error. With --format its clips \
are written as `changeover clips` writes them: their spans and words; all times are counted from the first moment of their file. A lesson \
that is there already is never replaced. Footage names are relative to the lesson's folder.

Exit codes: 0 made or shown, 1 a file cannot be read or written, or no clip is found, 2 the command line was not understood.";

/// The arguments of `lesson`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES, mut_arg("records", |arg| arg.value_name("RECORD|FOLDER|LESSON")
    .help("The records to take clips from, or folders with records; or one lesson (NAME.lesson.json) to show")))]
pub struct Args {
    #[command(flatten)]
    selection: Selection,
    /// What the lesson is called; without it, what the clips show.
    #[arg(long, value_name = "TITLE")]
    title: Option<String>,
    /// Whom the lesson is for, as a name or a pseudonym.
    #[arg(long, value_name = "NAME")]
    to: Option<String>,
    /// Write the new lesson to this file: NAME.lesson.json; with --format, the clips of the lesson.
    #[arg(long, value_name = "FILE", value_parser = written())]
    out: Option<PathBuf>,
    /// How to write the clips of a lesson.
    #[arg(long, value_enum, conflicts_with = "json")]
    format: Option<Format>,
    /// The timecode of the first frame of the footage, for otio and edl: HH:MM:SS:FF, or HH:MM:SS;FF for drop-frame.
    #[arg(long, value_name = "TIMECODE", requires = "format")]
    start_timecode: Option<Label>,
    /// Only clips of this media file, as the lesson names it.
    #[arg(long, value_name = "FOOTAGE", requires = "format")]
    file: Option<String>,
    /// Print the lesson as JSON; `changeover schema lesson` describes it.
    #[arg(long)]
    json: bool,
}

/// Makes a lesson, or shows one.
///
/// # Errors
/// [`CliError`] when a file cannot be read or written, or nothing says which points are wanted.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    match &args.selection.records[..] {
        [one] if is_lesson(one) => show(args, one, out),
        _ => make(args, out),
    }
}

/// Whether a file is a lesson, by its name.
pub(super) fn is_lesson(path: &Path) -> bool {
    path.to_string_lossy().to_lowercase().ends_with(".lesson.json")
}

fn show(args: &Args, path: &Path, out: &mut dyn Write) -> Answer {
    let is_out = args.out.is_some() && args.format.is_none();
    if args.selection.is_any() || is_out || args.title.is_some() || args.to.is_some() {
        let file = shown(path);
        return Err(CliError::Failed(format!(
            "{file} is a lesson, which is only shown; name records to make a lesson with --pattern, --where, --tag, --out and --title"
        )));
    }
    let (lesson, notices) = load(path)?;
    for notice in notices {
        complain(&format!("{}: {notice}", shown(path)));
    }
    tell_astray(path, &lesson);
    tell_silent(path, &lesson);
    match args.format {
        Some(format) => {
            let (file, to) = (args.file.as_deref(), args.out.as_deref());
            let wanted = Wanted { format, start_timecode: args.start_timecode, file, out: to };
            write_list(&wanted, (path, &lesson), out)?;
        }
        None if args.json => out.write_all(&to_text(path, &lesson)?)?,
        None => list(&lesson, out)?,
    }
    Ok(ExitCode::SUCCESS)
}

/// Writes the clips of the lesson at `path`, and says what a list of clips does not hold.
fn write_list(
    wanted: &Wanted<'_>,
    (path, lesson): (&Path, &Lesson),
    out: &mut dyn Write,
) -> Result<(), CliError> {
    let text = lesson_list::text(wanted, (path, lesson)).map_err(|e| CliError::Failed(e.to_string()))?;
    let left_out = lesson_list::left_out(lesson);
    if !left_out.is_empty() {
        let left_out = left_out.join(", ");
        complain(&format!("a list of clips has only their spans and words, so this is left out: {left_out}"));
    }
    match wanted.out {
        Some(to) => Ok(save(to, &text, Replace::Nothing, &[path])?),
        None => Ok(out.write_all(text.as_bytes())?),
    }
}

fn make(args: &Args, out: &mut dyn Write) -> Answer {
    if args.format.is_some() {
        return Err(CliError::Failed(
            "--format writes the clips of one lesson (NAME.lesson.json); for clips of records use `changeover clips`".into(),
        ));
    }
    args.selection
        .must_say("nothing says which points the lesson shows; give --pattern, --where, --tag or --player")?;
    if let Some(path) = args.out.as_deref().filter(|path| !is_lesson(path)) {
        let wanted = printable(&path.with_extension("lesson.json").to_string_lossy(), 400);
        return Err(CliError::Failed(format!(
            "{}: the name of a lesson ends with .lesson.json; write --out {wanted}",
            shown(path)
        )));
    }
    let selected = args.selection.select()?;
    let whole = selected.archive.whole;
    let lesson = lesson_of(args, selected)?;
    let n = lesson.parts.len();
    if n == 0 {
        complain(&"no point with footage is found, so no lesson is made");
        return Ok(ExitCode::from(FOUND));
    }
    let clips = format!("{n} clip{}", if n == 1 { "" } else { "s" });
    match &args.out {
        Some(path) => {
            create(path, &lesson)?;
            if !args.json {
                writeln!(out, "{}: a lesson with {clips}", shown(path))?;
            }
        }
        None if !args.json => list(&lesson, out)?,
        None => {}
    }
    if args.json {
        out.write_all(&to_text(args.out.as_deref().unwrap_or(Path::new("lesson")), &lesson)?)?;
    }
    Ok(if whole { ExitCode::SUCCESS } else { ExitCode::from(FOUND) })
}

fn lesson_of(args: &Args, selected: Selected) -> Result<Lesson, CliError> {
    let title = args.title.clone().unwrap_or_else(|| selected.title.clone());
    let parts = lesson_from(selected, args.out.as_deref().map_or(Path::new("."), folder))?;
    Ok(Lesson { title, player: args.to.clone().unwrap_or_default(), parts, ..Lesson::default() })
}

/// A lesson as it is in its file; says what is to be said of it and of its footage.
///
/// # Errors
/// [`CliError`] when it cannot be read.
#[cfg(feature = "video")]
pub(super) fn read_lesson(path: &Path) -> Result<Lesson, CliError> {
    let (lesson, notices) = load(path)?;
    for notice in notices.iter().chain(&crate::lesson::others(path, &lesson)) {
        complain(&format!("{}: {notice}", shown(path)));
    }
    Ok(lesson)
}

/// The selected clips as parts of a lesson in the folder `home`. Says which points have no clip.
///
/// # Errors
/// [`CliError`] when a folder cannot be found.
pub(super) fn lesson_from(selected: Selected, home: &Path) -> Result<Vec<Part>, CliError> {
    let Selected { archive, list, pattern, .. } = selected;
    let real = |path: &Path| {
        let why = |e| CliError::Failed(format!("cannot find {}: {}", shown(path), reading(&e)));
        path.canonicalize().map_err(why)
    };
    for one in &list.unreachable {
        let record = archive.paths.get(one.point.record).map_or_else(String::new, |p| shown(p));
        complain(&format!("{record}: point {} has no clip: {}", one.point.point + 1, one.why.words()));
    }
    let paths = archive.paths.iter().map(|p| real(p)).collect::<Result<Vec<_>, _>>()?;
    let home = real(home)?;
    let origins: Vec<Origin<'_>> =
        archive.records.iter().zip(&paths).map(|(record, path)| Origin { record, path }).collect();
    Ok(parts_of(&list, &origins, pattern.as_ref(), &home))
}

/// Says which footage is not where the lesson says.
fn tell_astray(path: &Path, lesson: &Lesson) {
    let mut told = std::collections::BTreeSet::new();
    for footage in lesson.footage().filter(|f| told.insert(f.file.clone())) {
        let file = printable(&footage.file, 120);
        let why = match find(path, footage) {
            Found::Here(at) if is_other(&at, footage.fingerprint.as_deref()) => OTHER.to_owned(),
            Found::Here(_) => continue,
            Found::Renamed(now) => {
                let now = printable(&now.file_name().unwrap_or_default().to_string_lossy(), 200);
                format!("is now named \"{now}\", which has the same content and is used instead")
            }
            Found::Astray(why) => why.to_string(),
        };
        complain(&format!("{}: footage \"{file}\" {why}", shown(path)));
    }
}

/// Says which voice files of the talk are not there.
fn tell_silent(path: &Path, lesson: &Lesson) {
    for voice in lesson.talk.iter().flat_map(|talk| talk.voices()) {
        if let Found::Astray(why) = find(path, voice) {
            let file = printable(&voice.file, 120);
            complain(&format!("{}: the voice \"{file}\" {why}", shown(path)));
        }
    }
}

/// The parts, one a line.
fn list(lesson: &Lesson, out: &mut dyn Write) -> std::io::Result<()> {
    let one = |text: &str| printable(text, 300);
    if !lesson.title.is_empty() {
        writeln!(out, "{}", one(&lesson.title))?;
    }
    for (n, part) in lesson.parts.iter().enumerate() {
        let n = n + 1;
        match part {
            Part::Chapter(chapter) => writeln!(out, "{n:>4}  # {}", one(&chapter.title))?,
            Part::Clip(clip) => {
                writeln!(out, "{n:>4}  {}  {}", span(clip), one(&clip.caption))?;
                tell_conditions(clip, out)?;
            }
            Part::Pair(pair) => {
                writeln!(out, "{n:>4}  side by side  {}", one(&pair.caption))?;
                writeln!(out, "      {}", span(&pair.left))?;
                writeln!(out, "      {}", span(&pair.right))?;
            }
            Part::Still(still) => writeln!(out, "{n:>4}  still {}  {}", still.lasts, one(&still.caption))?,
        }
    }
    lesson.talk.as_deref().map_or(Ok(()), |talk| writeln!(out, "{}", said(talk)))
}

/// What the talk is like.
fn said(talk: &Talk) -> String {
    let takes = Counted(talk.takes.len(), Noun::Take);
    let cuts = match talk.pieces.len() {
        n if n > talk.takes.len() => format!(", {}", Counted(n, Noun::Piece)),
        _ => String::new(),
    };
    let filters = match (talk.gain, talk.gate) {
        (true, true) => ", evenly loud, less noise",
        (true, false) => ", evenly loud",
        (false, true) => ", less noise",
        (false, false) => "",
    };
    format!("Talk: {}, {takes}{cuts}{filters}", talk.length().short())
}

fn span(clip: &Clip) -> String {
    format!("{}–{}  {}", clip.from, clip.to, printable(&clip.footage.file, 120))
}

fn tell_conditions(clip: &Clip, out: &mut dyn Write) -> std::io::Result<()> {
    clip.conditions.iter().try_for_each(|c| {
        let met = match c.met {
            Met::Met => "met",
            Met::Missed => "missed",
            Met::Unknown => "unknown",
        };
        writeln!(out, "      {met:<7}  {}", printable(&c.words, 300))
    })
}
