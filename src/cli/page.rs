//! `changeover page`: a lesson as a folder that any browser opens.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use clap::ValueEnum;

use super::answer::{Answer, CliError, complain};
use super::lesson::read_lesson;
use super::reading::shown;
use super::values::{bytes, written};
use super::working::{Bar, going_on, told_to_stop};
use crate::counted::Bytes;
use crate::making::{Grounds, MakingError, Source, Watch, make_page, people, plan_page};
use crate::page::{Names, Naming};
use crate::session::followed::KeptCourts;

const EXAMPLES: &str = "\
Examples:
  changeover page drops.lesson.json --out drops
  changeover page drops.lesson.json --out drops --limit 20MB      small enough for mail
  changeover page drops.lesson.json --out drops --size            say how large it will be, and make nothing

Makes the folder DIR with index.html, which any browser opens from the disk, without a network: the clips, their captions and \
drawings, pictures of the court, a box for the player's own notes, and the keys. The clips are small copies; the footage is not \
changed. The coach's notes are left out. Names are replaced by first names wherever the lesson's records name the players; names \
of others in captions stay, so read the page before you share it. If DIR exists already, nothing is made. Ctrl C stops it and \
leaves nothing behind.

What was drawn on the ground needs the marks of the court and, where the camera moves, that it was followed (`changeover court`); \
where they are missing, it is left out and reported. Where it was not followed, frames from all parts of the footage tell whether the \
camera stood still.

Exit codes: 0 made, 1 it could not be made or was stopped, 2 the command line was not understood.";

/// The arguments of `page`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    /// The lesson.
    #[arg(value_name = "LESSON")]
    lesson: PathBuf,
    /// Folder to make; it must not exist yet.
    #[arg(long, value_name = "DIR", value_parser = written())]
    out: PathBuf,
    /// Size of the folder at most, as 20MB or 800KB: the clips are made smaller until they fit.
    #[arg(long, value_name = "SIZE", value_parser = bytes)]
    limit: Option<u64>,
    /// How players are named.
    #[arg(long, value_enum, default_value_t = Called::First)]
    names: Called,
    /// Say how large the folder will be at most, and make nothing.
    #[arg(long)]
    size: bool,
}

/// How players are named.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Called {
    /// By first name
    First,
    /// As Player A and Player B
    Letters,
    /// By their full names
    Full,
}

/// Makes the page.
///
/// # Errors
/// [`CliError`] when the lesson cannot be read or the page cannot be made.
pub fn run(args: &Args, out: &mut dyn Write) -> Answer {
    let failed = |e: MakingError| CliError::Failed(e.to_string());
    let of = opened(&args.lesson)?;
    let stop = told_to_stop()?;
    let grounds = grounds(&of, &mut |_| going_on(&stop)).map_err(failed)?;
    let planned = plan_page(&of, args.out.clone(), args.limit, &grounds, &mut |_| going_on(&stop));
    let planned = planned.map_err(failed)?;
    if args.size {
        writeln!(out, "{}", planned.words())?;
        return Ok(ExitCode::SUCCESS);
    }
    complain(&planned.words());
    let names = names_of(&of, args.names);
    let bar = Bar::new(String::new());
    let made = make_page(&of, &planned, &names, &grounds, &mut |done| {
        bar.at(done);
        going_on(&stop)
    });
    drop(bar);
    let bytes = made.map_err(failed)?;
    let index = args.out.join("index.html");
    writeln!(out, "{}: {}; open it in a browser", shown(&index), Bytes(bytes))?;
    Ok(ExitCode::SUCCESS)
}

/// The cameras of its clips; says what is drawn on the ground and left out.
fn grounds(of: &Source, watch: Watch<'_>) -> Result<Grounds, MakingError> {
    let files = of.files(false, watch)?;
    let grounds = Grounds::of(of, &KeptCourts::default(), &files, watch)?;
    grounds.left_out(&of.lesson, false, &files).iter().for_each(|said| complain(said));
    Ok(grounds)
}

impl Called {
    pub(super) const fn naming(self) -> Naming {
        match self {
            Self::First => Naming::First,
            Self::Letters => Naming::Letters,
            Self::Full => Naming::Full,
        }
    }
}

/// A lesson as it is in its file; says what is to be said of it.
pub(super) fn opened(path: &Path) -> Result<Source, CliError> {
    Ok(Source::new(Arc::new(read_lesson(path)?), path.to_owned()))
}

/// The names of the people of a lesson, as they are shown; says what their records have to say of consent.
pub(super) fn names_of(of: &Source, called: Called) -> Names {
    let (people, said) = people(&of.lesson, of.folder());
    for line in &said {
        complain(line);
    }
    Names::of(&people, called.naming())
}
