//! `changeover picture`: a picture of the court from above.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::ValueEnum;

use super::answer::{Answer, CliError};
use super::reading::shown;
use super::summary::{read, whose_of};
use super::values::{whole, written};
use crate::drawing::{CourtPlan, Units};
use crate::measure::Size;
use crate::paint::{self, Canvas, PaintError, Vector, vector};
use crate::record::{Record, printable};
use crate::saving::{Replace, save};
use crate::summary::plans::{self, Wish, court_plan};

/// The page, in pixels; in PDF in half points.
const PAGE: Size = Size::new(1000, 1500);

/// The arguments of `picture`.
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  changeover picture final.points.json --out landings.svg
  changeover picture final.points.json --shows serves --for Holt --out serves.pdf
  changeover picture *.points.json --shows density --shot 2 --dark --out returns.png

The court from above. Whoever strikes is below, unless --both-ends is given. A landing that was measured is a dot; one that was keyed is \
counted in its cell. Shots that lack what the picture shows are counted under the court.

Exit codes: 0 written, 1 a record cannot be read or the picture cannot be written, 2 the command line was not understood.")]
pub struct Args {
    /// The records.
    #[arg(required = true, value_name = "RECORD")]
    records: Vec<PathBuf>,
    /// The picture; its name ends in .svg, .pdf or .png. A file that exists already is never replaced.
    #[arg(long, value_name = "FILE", value_parser = written())]
    out: PathBuf,
    /// What it shows.
    #[arg(long, value_enum, default_value = "landings")]
    shows: Shows,
    /// Only shots of this player: a, b or a name.
    #[arg(long = "for", value_name = "PLAYER")]
    player: Option<String>,
    /// Only this shot of each point: 1 is the serve in play, 2 the return.
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u16>(1..=2_000), allow_negative_numbers = true)]
    shot: Option<u16>,
    /// Show both ends as the camera sees them.
    #[arg(long)]
    both_ends: bool,
    /// The scale in feet, not in metres.
    #[arg(long)]
    feet: bool,
    /// Light lines on a dark page.
    #[arg(long)]
    dark: bool,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Shows {
    /// Where shots landed.
    Landings,
    /// Where serves in play went.
    Serves,
    /// Where both players stood at each strike.
    Positions,
    /// From where it was struck to where it landed.
    Arrows,
    /// From one strike of a player to the next.
    Movement,
    /// How densely the landings lie.
    Density,
}

impl From<Shows> for plans::Shows {
    fn from(shows: Shows) -> Self {
        Self::WORDS[shows as usize].1
    }
}

/// In which form a picture is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Vector(Vector),
    Png,
}

fn form(path: &Path) -> Result<Form, CliError> {
    let end = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match end.as_deref() {
        Some("svg") => Ok(Form::Vector(Vector::Svg)),
        Some("pdf") => Ok(Form::Vector(Vector::Pdf)),
        Some("png") => Ok(Form::Png),
        _ => Err(CliError::Failed(format!(
            "{}: the name of a picture must end in .svg, .pdf or .png",
            shown(path)
        ))),
    }
}

fn bytes(plan: &CourtPlan, form: Form, dark: bool) -> Result<Vec<u8>, PaintError> {
    match form {
        Form::Vector(Vector::Pdf) => vector(Vector::Pdf, Size::new(PAGE.width / 2, PAGE.height / 2), |cr| {
            cr.scale(0.5, 0.5);
            paint::court(cr, plan, PAGE, dark).map(drop)
        }),
        Form::Vector(form) => vector(form, PAGE, |cr| paint::court(cr, plan, PAGE, dark).map(drop)),
        Form::Png => {
            let mut canvas = Canvas::opaque(PAGE)?;
            canvas.paint(|cr| paint::court(cr, plan, PAGE, dark).map(drop))?;
            canvas.png()
        }
    }
}

/// Writes the picture, and says what is in it.
///
/// # Errors
/// [`CliError`] when a record cannot be read, or the picture cannot be written.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let form = form(&args.out)?;
    let reads: Vec<&Path> = args.records.iter().map(PathBuf::as_path).collect();
    if args.out.symlink_metadata().is_ok() {
        let name = printable(&args.out.to_string_lossy(), 400);
        return Err(CliError::Failed(format!("{name} is there already; choose another name")));
    }
    let loaded = read(&args.records)?;
    let records: Vec<&Record> = loaded.iter().collect();
    let wish = Wish {
        shows: args.shows.into(),
        shot: args.shot.map(usize::from),
        folded: !args.both_ends,
        units: if args.feet { Units::Feet } else { Units::Metres },
    };
    let plan = court_plan(&records, &whose_of(args.player.as_deref(), &records)?, &wish);
    let made = bytes(&plan, form, args.dark).map_err(|e| CliError::Failed(e.to_string()))?;
    save(&args.out, &made, Replace::Nothing, &reads)?;
    writeln!(out, "{}: {}", shown(&args.out), plan.notes.join("; "))?;
    Ok(ExitCode::SUCCESS)
}
