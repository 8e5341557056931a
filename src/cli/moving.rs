//! Whether the metres of a record can be trusted: marks of the court hold only while the camera stands. Footage of which nobody has found
//! out whether it does is looked at, or that is told.

use std::path::Path;

use super::answer::complain;
use crate::record::{CourtMarks, Footage, Record};
use crate::session::cameras::Cameras;
use crate::session::followed::KeptCourts;

/// What is known of the camera of a file whose court was not followed.
#[derive(Debug, PartialEq, Eq)]
enum Stands {
    /// It stands still, as some frames tell.
    #[cfg_attr(not(feature = "video"), expect(dead_code, reason = "frames are seen by the video room"))]
    Yes,
    /// In some frames the court is not where the marks have it.
    No,
    /// Nobody can tell.
    Unknown,
}

/// The cameras of a record, with what is kept of its footage. Marks of a camera that moves are used in their own frame only, and what
/// to do about that is told on standard error.
pub(super) fn cameras(path: &Path, record: &Record) -> Cameras {
    let kept = KeptCourts::default();
    let mut known = record.clone();
    for file in &record.footage {
        let is_followed = file.fingerprint.as_ref().is_some_and(|p| kept.of(p).is_some());
        let marks: Vec<_> = record.calibrations.iter().filter(|c| c.file == file.file).cloned().collect();
        if is_followed || marks.is_empty() {
            continue;
        }
        let stands = if marks.iter().all(|m| m.moving) { Stands::No } else { stands(path, file, &marks) };
        complain_of(file, &stands);
        if stands == Stands::No {
            let of_file = known.calibrations.iter_mut().filter(|c| c.file == file.file);
            of_file.for_each(|c| c.moving = true);
        }
    }
    Cameras::read(&known, &kept)
}

fn complain_of(file: &Footage, stands: &Stands) {
    let name = crate::system::printable(&file.file, 120);
    let first = "run `changeover court` on it first, or open it in the window, which follows the court from the marks";
    match stands {
        Stands::Yes => {}
        Stands::No => complain(&format!(
            "{name}: the camera moves, or the court is not where it was marked, so in other frames nothing is measured or drawn on the ground; {first}"
        )),
        Stands::Unknown => complain(&format!(
            "{name}: nobody has found out whether the camera moves; if it does, what is measured or drawn on the ground there is wrong; {first}"
        )),
    }
}

#[cfg(feature = "video")]
fn stands(path: &Path, file: &Footage, marks: &[CourtMarks]) -> Stands {
    use crate::record::footage_path;
    use crate::session::seeing::is_still;
    let [_] = marks else { return Stands::Unknown };
    let Ok(media) = footage_path(path, file).map(|film| crate::video::probe(&film)) else {
        return Stands::Unknown;
    };
    let still = media.and_then(|m| is_still(&m, marks, &mut |_| std::ops::ControlFlow::Continue(())));
    match still {
        Ok(true) => Stands::Yes,
        Ok(false) => Stands::No,
        Err(_) => Stands::Unknown,
    }
}

#[cfg(not(feature = "video"))]
fn stands(_: &Path, _: &Footage, _: &[CourtMarks]) -> Stands {
    Stands::Unknown
}
