//! Playing pipelines that wait at the frames from which playing is likely to start, so that it starts there at once.

use std::time::{Duration, Instant};

use super::error::VideoError;
use super::play::Play;
use crate::frames::FootageFile;

/// How many there are, and how many bytes their pictures may take together.
const MOST: usize = 3;
const BYTES: usize = 288 << 20;

/// What a pipeline that waits holds for each pixel of a picture, in bytes: 16 decoded pictures (at most, by H.264, annex A.3)
/// and 6 between its threads of 3/2 bytes a pixel, and 3 of 4 bytes for the screen.
const BYTES_A_PIXEL: usize = 45;

/// How long the places must have been the same: a coach who steps or holds a key down is not there yet.
const REST: Duration = Duration::from_millis(120);

/// The pipelines that wait.
#[derive(Debug)]
pub(super) struct Spares {
    plays: Vec<Play>,
    room: usize,
    places: Vec<usize>,
    since: Instant,
}

impl Spares {
    /// None yet, and as many at most as there is room for.
    pub(super) fn new(media: &FootageFile) -> Self {
        let pixels = media.width as usize * media.height as usize;
        Self {
            plays: Vec::new(),
            room: (BYTES / (BYTES_A_PIXEL * pixels).max(1)).min(MOST),
            places: Vec::new(),
            since: Instant::now(),
        }
    }

    /// The one that waits at a frame, or is on its way there.
    pub(super) fn take(&mut self, index: usize, speed: f64) -> Option<Play> {
        let found = self.plays.iter().position(|play| play.is_at(index, speed))?;
        Some(self.plays.swap_remove(found))
    }

    /// Keeps one for another use.
    pub(super) fn give(&mut self, play: Play) {
        if self.plays.len() < self.room {
            self.plays.push(play);
        }
    }

    /// There are none, and there will be none: they do not work, or what they should play is not known any more.
    pub(super) fn clear(&mut self, for_good: bool) {
        self.plays.clear();
        if for_good {
            self.room = 0;
        }
    }

    /// Goes on bringing them to these places, the likeliest first, one at a time. `own` is the pipeline in use where it does
    /// not play, and the place where it should wait. Says whether there is nothing more to do; never waits.
    ///
    /// # Errors
    /// What is wrong with one of them, or with a new one.
    pub(super) fn tend(
        &mut self,
        own: Option<(&Play, usize)>,
        places: &[usize],
        speed: f64,
        open: impl FnOnce() -> Result<Play, VideoError>,
    ) -> Result<bool, VideoError> {
        let wanted: Vec<usize> = own.map(|(_, at)| at).into_iter().chain(places.iter().copied()).collect();
        if wanted != self.places {
            (self.places, self.since) = (wanted, Instant::now());
        }
        if self.since.elapsed() < REST {
            return Ok(false);
        }
        for play in self.plays.iter().chain(own.map(|(play, _)| play)) {
            if !play.is_settled()? {
                return Ok(false);
            }
        }
        if let Some((play, at)) = own.filter(|(play, at)| !play.is_at(*at, speed)) {
            play.make_ready(at, speed)?;
            return Ok(false);
        }
        let served = |at: usize| own.is_some_and(|(_, here)| here == at);
        let places: Vec<usize> = places.iter().copied().filter(|at| !served(*at)).take(self.room).collect();
        let Some(next) = places.iter().find(|at| !self.plays.iter().any(|p| p.is_at(**at, speed))) else {
            return Ok(true);
        };
        let idle = |p: &&Play| !places.iter().any(|at| p.is_at(*at, speed));
        match self.plays.iter().find(idle) {
            Some(play) => play.make_ready(*next, speed)?,
            None => self.plays.push(open()?),
        }
        Ok(false)
    }
}
