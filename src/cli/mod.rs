//! The command line: one file per verb, on the same core as the window.
//!
//! Exit codes, the same for all verbs: 0 all is well, 1 something was found or failed, 2 the command line was not
//! understood. Answers go to standard output, complaints to standard error as `changeover: …`.
//!
//! A new verb is one file with `Args` (clap) and `run(&Args, &mut dyn Write) -> Result<ExitCode, CliError>`, one
//! variant of `Verb` and one line in `dispatch`.

mod answer;
mod archive;
#[cfg(feature = "video")]
pub mod attach;
pub mod check;
mod check_lesson;
pub mod clips;
mod completed;
mod completions;
#[cfg(feature = "video")]
pub mod court;
#[cfg(feature = "video")]
mod court_film;
#[cfg(feature = "video")]
pub mod cut;
#[cfg(feature = "video")]
pub mod cuts;
#[cfg(feature = "video")]
pub mod demo_footage;
#[cfg(feature = "video")]
pub mod draw;
pub mod erase;
pub mod explain;
pub mod export;
#[cfg(feature = "video")]
pub mod footage;
mod formats;
pub mod import;
pub mod keys;
pub mod lesson;
pub mod library;
mod man_pages;
mod moving;
pub mod numbers;
mod output;
#[cfg(feature = "video")]
pub mod page;
#[cfg(feature = "paint")]
pub mod picture;
pub mod positions;
#[cfg(feature = "video")]
mod proposed;
mod reading;
#[cfg(feature = "video")]
pub mod reel;
mod reports;
pub mod rules;
pub mod schema;
pub mod score;
mod searched;
mod selected;
#[cfg(all(feature = "paint", feature = "video"))]
pub mod sheet;
#[cfg(feature = "video")]
pub mod strikes;
pub mod study;
pub mod summary;
mod values;
mod version;
#[cfg(feature = "video")]
mod working;

use std::ffi::OsString;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use answer::{complain, failed};
use clap::{CommandFactory, Parser, Subcommand};

use crate::near::nearest;

pub use answer::{Answer, CliError, FOUND};

const EXAMPLES: &str = "\
Examples:
  changeover final.mp4               open footage in the window
  changeover final-1.mp4 final-2.mp4 open a match that was filmed in two files
  changeover final.points.json       open a record in the window
  changeover drops.lesson.json       open a lesson in the window
  changeover check *.points.json     report what looks wrong with records

Exit codes: 0 all is well, 1 something was found or failed, 2 the command line was not understood.";

/// Plays tennis footage, stamps points at exact frames from the keyboard, keeps score, and turns every number into
/// clips.
#[derive(Debug, Parser)]
#[command(name = "changeover", version = version::text(), after_help = EXAMPLES, args_conflicts_with_subcommands = true)]
struct Cli {
    /// A record or a lesson to open in the window, or footage: one file, or all those of one match.
    files: Vec<PathBuf>,
    /// A key card for the window, in place of the built-in one (see `changeover keys`).
    #[arg(long, value_name = "CARD")]
    keys: Option<PathBuf>,
    /// A file of your own patterns for the window, in place of the one in your settings folder.
    #[arg(long, value_name = "FILE")]
    patterns: Option<PathBuf>,
    /// Size of the window's text, in per cent of the system's text size.
    #[arg(long, value_name = "PERCENT", value_parser = values::whole::<u16>(50..=300), allow_negative_numbers = true)]
    text_size: Option<u16>,
    #[command(subcommand)]
    verb: Option<Verb>,
}

/// The verbs, in the order of the help.
#[derive(Debug, Subcommand)]
enum Verb {
    /// Report what looks wrong with records.
    Check(check::Args),
    /// Attach footage to a record that was logged without it.
    #[cfg(feature = "video")]
    Attach(attach::Args),
    /// Print what each key does, or the key card itself.
    Keys(keys::Args),
    /// Count how often each pattern happened, and how often it won the point.
    Summary(summary::Args),
    /// Print the match in numbers: serves, breaks, winners, errors, both players side by side.
    Numbers(numbers::Args),
    /// Print the places that were measured: players and bounces, in metres with their error.
    Positions(positions::Args),
    /// Answer questions over many records: rates with intervals, compared, with what to keep in mind.
    Study(study::Args),
    /// Draw the court from above: landings, serves, positions, arrows, movement, density.
    #[cfg(feature = "paint")]
    Picture(picture::Args),
    /// Explain why a point shows a pattern or not, or why the record cannot say.
    Explain(explain::Args),
    /// List the records in folders: players, date, score, what is logged, what is missing.
    Library(library::Args),
    /// List clips of a pattern or of a search, also as a playlist or chapters.
    Clips(clips::Args),
    /// Make a video file of each clip, and encode only what must be encoded.
    #[cfg(feature = "video")]
    Cut(cut::Args),
    /// Make a lesson from clips of a pattern or of a search, or show one.
    Lesson(lesson::Args),
    /// Make one video of a lesson, or of selected clips.
    #[cfg(feature = "video")]
    Reel(reel::Args),
    /// Report what footage files hold and whether they can be played.
    #[cfg(feature = "video")]
    Footage(footage::Args),
    /// Find the court in footage and follow it while the camera moves.
    #[cfg(feature = "video")]
    Court(court::Args),
    /// List where footage was cut.
    #[cfg(feature = "video")]
    Cuts(cuts::Args),
    /// List the moments when a racket is heard to strike the ball.
    #[cfg(feature = "video")]
    Strikes(strikes::Args),
    /// Write the frames that were drawn on, with the drawings, as PNG.
    #[cfg(feature = "video")]
    Draw(draw::Args),
    /// Make a folder of a lesson that any browser opens: clips, captions, drawings.
    #[cfg(feature = "video")]
    Page(page::Args),
    /// Print three findings on one page, with pictures and clip times, as PDF.
    #[cfg(all(feature = "paint", feature = "video"))]
    Sheet(sheet::Args),
    /// Print the score of records, counted from their points.
    Score(score::Args),
    /// Make records from points charted elsewhere, as CSV.
    Import(import::Args),
    /// Write the points of records as CSV.
    Export(export::Args),
    /// List the built-in rules, print some, or check a rules file.
    Rules(rules::Args),
    /// Make footage of an invented match, with a list of what happened in every point.
    #[cfg(feature = "video")]
    DemoFootage(demo_footage::Args),
    /// Delete a person from a record or a lesson, for good.
    Erase(erase::Args),
    /// Print the JSON Schema of a file that this program writes.
    Schema(schema::Args),
    /// Write the manual pages.
    ManPages(man_pages::Args),
    /// Print the file that makes a shell complete this program.
    Completions(completions::Args),
}

fn dispatch(verb: &Verb, out: &mut dyn Write) -> Answer {
    match verb {
        #[cfg(feature = "video")]
        Verb::Attach(args) => attach::run(args, out),
        Verb::Check(args) => check::run(args, out),
        Verb::Keys(args) => keys::run(args, out),
        Verb::Summary(args) => summary::run(args, out),
        Verb::Numbers(args) => numbers::run(args, out),
        Verb::Positions(args) => positions::run(args, out),
        Verb::Study(args) => study::run(args, out),
        #[cfg(feature = "paint")]
        Verb::Picture(args) => picture::run(args, out),
        Verb::Explain(args) => explain::run(args, out),
        Verb::Library(args) => library::run(args, out),
        Verb::Clips(args) => clips::run(args, out),
        #[cfg(feature = "video")]
        Verb::Cut(args) => cut::run(args, out),
        Verb::Lesson(args) => lesson::run(args, out),
        #[cfg(feature = "video")]
        Verb::Reel(args) => reel::run(args, out),
        #[cfg(feature = "video")]
        Verb::Page(args) => page::run(args, out),
        #[cfg(all(feature = "paint", feature = "video"))]
        Verb::Sheet(args) => sheet::run(args, out),
        Verb::Score(args) => score::run(args, out),
        Verb::Import(args) => import::run(args, out),
        Verb::Export(args) => export::run(args, out),
        Verb::Rules(args) => rules::run(args, out),
        #[cfg(feature = "video")]
        Verb::Footage(args) => footage::run(args, out),
        #[cfg(feature = "video")]
        Verb::Court(args) => court::run(args, out),
        #[cfg(feature = "video")]
        Verb::Cuts(args) => cuts::run(args, out),
        #[cfg(feature = "video")]
        Verb::Draw(args) => draw::run(args, out),
        #[cfg(feature = "video")]
        Verb::Strikes(args) => strikes::run(args, out),
        #[cfg(feature = "video")]
        Verb::DemoFootage(args) => demo_footage::run(args, out),
        Verb::Erase(args) => erase::run(args, out),
        Verb::Schema(args) => schema::run(args, out),
        Verb::ManPages(args) => man_pages::run(args, command(), out),
        Verb::Completions(args) => completions::run(args, out),
    }
}

/// The command line as it is defined.
fn command() -> clap::Command {
    Cli::command()
}

/// Runs the program with the process's own arguments and says how it ended.
pub fn run() -> ExitCode {
    completions::answer_shell(command);
    run_with(std::env::args_os())
}

fn run_with(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    let cli = Cli::try_parse_from(&args);
    if !matches!(&cli, Ok(cli) if cli.verb.is_some())
        && let Some((found, verb)) = args.get(1).and_then(mistyped)
    {
        complain(&format!("there is no verb and no file \"{found}\"; did you mean \"changeover {verb}\"?"));
        return ExitCode::from(2);
    }
    let cli = match cli {
        Ok(cli) => cli,
        Err(e) => {
            tell_usage(&e);
            return ExitCode::from(u8::try_from(e.exit_code()).unwrap_or(2));
        }
    };
    let Some(verb) = cli.verb else { return window(cli) };
    let mut out = BufWriter::new(io::stdout().lock());
    let answer = dispatch(&verb, &mut out).and_then(|code| {
        out.flush()?;
        Ok(code)
    });
    // What a closed pipe did not take shall not be tried again when the buffer goes.
    let _ = out.into_parts();
    answer.unwrap_or_else(|e| failed(&e))
}

/// A first word that is no file but nearly a verb: as it stands, and the verb.
fn mistyped(first: &OsString) -> Option<(String, String)> {
    let word = first.to_str().filter(|w| w.chars().all(|c| c.is_alphabetic() || c == '-'))?;
    if Path::new(word).symlink_metadata().is_ok() {
        return None;
    }
    let cli = command();
    let verbs: Vec<&str> = cli.get_subcommands().map(clap::Command::get_name).collect();
    let near = nearest(word, verbs.iter().copied()).filter(|near| *near != word)?;
    Some((word.into(), near.into()))
}

/// Help and version go to standard output; what was not understood is a complaint like any other.
fn tell_usage(e: &clap::Error) {
    if e.use_stderr() {
        let text = e.render().to_string();
        // A value that starts with a minus cannot be given as that tip says.
        let tip = |line: &str| line.trim_start().starts_with("tip: to pass '-");
        let kept: Vec<&str> = text.lines().filter(|line| !tip(line)).collect();
        let text = kept.join("\n").replace("\n\n\n", "\n\n");
        complain(&text.strip_prefix("error: ").unwrap_or(&text).trim_end());
    } else {
        // Help for a closed pipe is no failure.
        let _ = e.print();
    }
}

#[cfg(feature = "gui")]
fn window(cli: Cli) -> ExitCode {
    let Cli { files, keys, patterns, text_size, .. } = cli;
    crate::gui::run(crate::gui::Start { files, keys, patterns, text_size })
}

#[cfg(not(feature = "gui"))]
fn window(_: Cli) -> ExitCode {
    complain(&"this build has no window; see changeover --help for what it can do");
    ExitCode::from(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_sound() {
        command().debug_assert();
    }

    /// House rule: every verb's help ends with an example.
    #[test]
    fn every_verb_shows_an_example() {
        for verb in command().get_subcommands().filter(|v| v.get_name() != "help") {
            let help = verb.get_after_help().map(ToString::to_string).unwrap_or_default();
            assert!(help.contains(&format!("changeover {}", verb.get_name())), "{}", verb.get_name());
        }
    }
}
