//! Whether the metres of a record can be trusted: marks of the court hold only while the camera stands. Footage of which nobody has found
//! out whether it does is looked at, or that is told.

use std::convert::Infallible;
use std::path::Path;

use super::answer::complain;
use crate::record::{CourtMarks, Footage, Record};
use crate::session::cameras::Cameras;
use crate::session::followed::KeptCourts;
use crate::session::standing::{self, FOLLOW, Stands};

/// The cameras of a record, with what is kept of its footage. Marks of a camera that moves are used in their own frame only, and what
/// to do about that is told on standard error.
pub(super) fn cameras(path: &Path, record: &Record) -> Cameras {
    let mut look =
        |file: &Footage, marks: &[CourtMarks]| -> Result<_, Infallible> { Ok(stands(path, file, marks)) };
    let Ok((cameras, told)) = standing::cameras(record, &KeptCourts::default(), &mut look);
    for (file, stands) in told {
        complain_of(&file, stands);
    }
    cameras
}

fn complain_of(file: &Footage, stands: Stands) {
    let Some(why) = stands.words() else { return };
    let name = crate::system::printable(&file.file, 120);
    let so = match stands {
        Stands::Unknown => "; if it does, what is measured or drawn on the ground there is wrong",
        _ => ", so in other frames nothing is measured or drawn on the ground",
    };
    complain(&format!("{name}: {why}{so}; {FOLLOW}"));
}

#[cfg(feature = "video")]
fn stands(path: &Path, file: &Footage, marks: &[CourtMarks]) -> Stands {
    use std::ops::ControlFlow::Continue;

    use crate::record::footage_path;
    use crate::session::seeing::stands;
    let Some(film) = footage_path(path, file).ok().filter(|film| film.exists()) else {
        return Stands::Unknown;
    };
    let looked = crate::video::probe(&film).and_then(|media| stands(&media, marks, &mut |_| Continue(())));
    looked.unwrap_or_else(|why| {
        complain(&why);
        Stands::Unknown
    })
}

#[cfg(not(feature = "video"))]
fn stands(_: &Path, _: &Footage, _: &[CourtMarks]) -> Stands {
    Stands::Unknown
}
