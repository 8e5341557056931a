//! `changeover reel`: a lesson, or selected clips, as one video.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use serde_json::json;

use super::answer::{Answer, CliError, FOUND, complain};
use super::lesson::{is_lesson, lesson_from, read_lesson};
use super::page::{Called, names_of};
use super::reading::shown;
use super::selected::Selection;
use super::values::{frame_rate, picture_size, written};
use super::working::{Bar, going_on, told_to_stop};
use crate::lesson::{Clip, Lesson};
use crate::making::{Grounds, MakingError, Source, container, plan_video, video_words};
use crate::reel::{Made, Plan, Wish, render};
use crate::saving::{Replace, allowed, folder};
use crate::session::followed::KeptCourts;
use crate::time::FrameRate;

const EXAMPLES: &str = "\
Examples:
  changeover reel drops.lesson.json --out drops.mp4
  changeover reel drops.lesson.json --out drops.webm --size 640x360 --rate 25
  changeover reel drops.lesson.json --talk --out drops.mp4
  changeover reel final.points.json --pattern \"Drop shot\" --out drops.mkv

The name of --out says what is written: .mp4 (H.264 and AAC), .webm (VP8 and Opus) or .mkv (H.264 and AAC, with chapters). \
With a lesson, all of it is shown; with records, clips are selected as by `changeover clips`. Each clip begins and ends with \
exactly its frames. Pictures of another shape stand between black bars. Slow, fast and standing pictures are silent; all \
footage is made equally loud (EBU R 128, -23 LUFS). Of two clips side by side, the left one is heard.

What was drawn on the ground needs the marks of the court and, where the camera moves, that it was followed (`changeover court`); \
where they are missing, it is left out and reported. Where it was not followed, frames from all parts of the footage tell whether the \
camera stood still.

With --talk, the video is the coach's talk over the lesson: as long as the voice, with everything that was done on the screen, \
each frame from the footage, and the footage's own sound quietly under the voice.

Names are replaced by first names in captions, scores and headings wherever the records name the players.

A file that is there is never replaced. Ctrl C stops it, and nothing is left.

Exit codes: 0 made, 1 it could not be made or was stopped, 2 the command line was not understood.";

/// The arguments of `reel`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES, mut_arg("records", |arg| arg.value_name("LESSON|RECORD|FOLDER")
    .help("A lesson (NAME.lesson.json); or records to take clips from, or folders with records")))]
pub struct Args {
    #[command(flatten)]
    selection: Selection,
    /// The video to make: NAME.mp4, NAME.webm or NAME.mkv.
    #[arg(long, value_name = "FILE", value_parser = written())]
    out: PathBuf,
    /// Size of its pictures in pixels; without it, that of most of the footage, at most 1920x1080.
    #[arg(long, value_name = "WIDTHxHEIGHT", value_parser = picture_size)]
    size: Option<(u32, u32)>,
    /// Frames per second, as 25 or 30000/1001; without it, those of most of the footage, at most 60.
    #[arg(long, value_name = "RATE", value_parser = frame_rate)]
    rate: Option<FrameRate>,
    /// Show the lesson as the coach talked over it, with the voice.
    #[arg(long)]
    talk: bool,
    /// How players are named in its words.
    #[arg(long, value_enum, default_value_t = Called::First)]
    names: Called,
    /// Print what was made as JSON.
    #[arg(long)]
    json: bool,
}

/// Makes the video.
///
/// # Errors
/// [`CliError`] when something cannot be read or written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let container = container(&args.out).map_err(failed)?;
    let Some((lesson, home)) = lesson(args)? else { return Ok(ExitCode::from(FOUND)) };
    let of = Source::new(Arc::new(lesson), home);
    let of = of.named(&names_of(&of, args.names));
    allowed(&args.out, Replace::Nothing, &[&of.home]).map_err(MakingError::from).map_err(failed)?;
    let stop = told_to_stop()?;
    let files = of.files(args.talk, &mut |_| going_on(&stop)).map_err(failed)?;
    if args.talk {
        of.short_voices().map_err(failed)?.iter().for_each(|said| complain(said));
    }
    let wish = Wish { size: args.size, rate: args.rate };
    let plan = plan_video(&of, &files, args.talk, wish).map_err(failed)?;
    let grounds =
        Grounds::of(&of, &KeptCourts::default(), &files, &mut |_| going_on(&stop)).map_err(failed)?;
    grounds.left_out(&of.lesson, args.talk, &files).iter().for_each(|said| complain(said));
    let bar = Bar::new(String::new());
    let ground = |clip: &Clip, at| grounds.camera(clip, at);
    let made = render(&of.lesson, &files, &plan, (&args.out, container), &ground, &mut |done| {
        bar.at(done);
        going_on(&stop)
    });
    drop(bar);
    let made = made.map_err(failed)?;
    tell(args, (&of.lesson, &plan, &made), out)?;
    Ok(ExitCode::SUCCESS)
}

/// The lesson to show, and the file beside which its footage is looked for. `None` when no clip is found.
fn lesson(args: &Args) -> Result<Option<(Lesson, PathBuf)>, CliError> {
    if let [path] = &args.selection.records[..]
        && is_lesson(path)
    {
        if args.selection.is_any() {
            let file = shown(path);
            return Err(CliError::Failed(format!(
                "{file} is a lesson, which is shown whole; name records to select clips with --pattern, --where, --tag or --player"
            )));
        }
        return Ok(Some((read_lesson(path)?, path.clone())));
    }
    if args.talk {
        return Err(CliError::Failed(
            "--talk shows the talk of a lesson; name one lesson (NAME.lesson.json)".into(),
        ));
    }
    args.selection.must_say(
        "nothing says which points to show; give a lesson, or --pattern, --where, --tag or --player",
    )?;
    let selected = args.selection.select()?;
    let home = selected.archive.paths.first().map_or(Path::new("."), |p| folder(p)).to_owned();
    let title = selected.title.clone();
    let parts = lesson_from(selected, &home)?;
    if parts.is_empty() {
        complain(&"no point with footage is found, so no reel is made");
        return Ok(None);
    }
    Ok(Some((Lesson { title, parts, ..Lesson::default() }, home.join("reel"))))
}

/// Says what was made.
fn tell(
    args: &Args,
    (lesson, plan, made): (&Lesson, &Plan, &Made),
    out: &mut dyn Write,
) -> std::io::Result<()> {
    if !args.json {
        return writeln!(out, "{}: {}", shown(&args.out), video_words(plan, made.bytes));
    }
    let lasts = plan.rate.time_of(plan.frames());
    let time = |k| plan.rate.time_of(k);
    let loudness: Vec<_> =
        made.levels.iter().map(|l| json!({ "file": l.file, "lufs": l.loudness })).collect();
    let chapters: Vec<_> =
        plan.marks(lesson).iter().map(|m| json!({ "title": m.title, "from": time(m.starts) })).collect();
    let parts: Vec<_> = plan
        .scenes
        .iter()
        .map(|s| json!({ "part": s.part.map(|n| n + 1), "first_frame": s.starts, "frames": s.frames }))
        .collect();
    let told = json!({
        "file": args.out.to_string_lossy(),
        "width": plan.size.0,
        "height": plan.size.1,
        "rate": plan.rate,
        "frames": plan.frames(),
        "duration": lasts,
        "bytes": made.bytes,
        "parts": parts,
        "chapters": chapters,
        "loudness_before": loudness,
    });
    serde_json::to_writer_pretty(&mut *out, &told)?;
    writeln!(out)
}

fn failed(e: impl std::fmt::Display) -> CliError {
    CliError::Failed(e.to_string())
}
