//! Whether the marks of a record may be used in other frames than their own: only while the camera stands. Footage in which nobody has
//! followed the court is looked at.

use super::cameras::Cameras;
use super::followed::KeptCourts;
use crate::record::{CourtMarks, Footage, Record};

/// What to do about a camera that moves, or of which nobody knows.
pub const FOLLOW: &str =
    "run `changeover court` on it first, or open it in the window, which follows the court from the marks";

/// What is known of the camera of a file whose court was not followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// It stands still, as some frames tell.
    Yes,
    /// In some frames the court is not where the marks have it.
    No,
    /// Nobody can tell.
    Unknown,
}

impl Stands {
    /// What is wrong with the marks then, if anything is.
    pub const fn words(self) -> Option<&'static str> {
        match self {
            Self::Yes => None,
            Self::No => Some("the camera moves, or the court is not where it was marked"),
            Self::Unknown => Some("nobody has found out whether the camera moves"),
        }
    }
}

/// Looks at a file with its marks.
pub type Look<'a, E> = dyn FnMut(&Footage, &[CourtMarks]) -> Result<Stands, E> + 'a;

/// The cameras of a record, with what is kept of its footage. `look` looks at a file that is marked and was not followed. Marks of a
/// camera that moves are used in their own frame only. Also gives what is known of each file that is marked and was not followed.
///
/// # Errors
/// What `look` fails with.
pub fn cameras<E>(
    record: &Record,
    kept: &KeptCourts,
    look: &mut Look<'_, E>,
) -> Result<(Cameras, Vec<(Footage, Stands)>), E> {
    let (mut known, mut told) = (record.clone(), Vec::new());
    for file in &record.footage {
        let is_followed = file.fingerprint.as_ref().is_some_and(|p| kept.of(p).is_some());
        let marks: Vec<_> = record.calibrations.iter().filter(|c| c.file == file.file).cloned().collect();
        if is_followed || marks.is_empty() {
            continue;
        }
        let stands = if marks.iter().all(|m| m.moving) { Stands::No } else { look(file, &marks)? };
        if stands == Stands::No {
            let of_file = known.calibrations.iter_mut().filter(|c| c.file == file.file);
            of_file.for_each(|c| c.moving = true);
        }
        told.push((file.clone(), stands));
    }
    Ok((Cameras::read(&known, kept), told))
}
