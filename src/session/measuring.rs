//! The Measure page without widgets: marks of the court while they are made, positions that are not stored yet, and what it says.

use thiserror::Error;

use super::cameras::{Cameras, NoCamera};
use super::marking::Marking;
use super::positions::{moved, name, shot_at, store, stored_in, touches, without};
use super::words::capital;
use crate::facts::AT_THE_STRIKE;
use crate::measure::{Pixel, Size, reading};
use crate::record::{CourtMark, Edit, FoundBy, Position, Record, Touch};
use crate::tennis::Side;
use crate::time::MatchTime;

const KEYS: &str = "Arrows move the last mark by a pixel, with Shift by a quarter. Backspace takes it back. Return saves. Space plays.";
const GROUND: &str = "Only what touches the ground can be measured: a foot in the air or a ball in flight would be put metres \
                      away. Return saves with the shot that was struck nearest to this frame. Click the same player in another \
                      frame to see how fast they moved.";

const BLIND: &str = "The court is not seen in this frame, so nothing is measured or drawn on the ground.";
const BLIND_HELP: &str = "Go to a frame that shows the court. If the court is seen here, mark it again: it is then followed from this frame.";

/// What is in hand.
#[derive(Debug, Default)]
pub struct Measuring {
    /// The marks that are being made.
    pub marking: Option<Marking>,
    /// The cameras of the record.
    pub cameras: Cameras,
    /// Positions that are not stored yet.
    pub pending: Vec<Position>,
    /// Which of [`touches`] the next click is.
    pub of: usize,
    /// The frame of the marks.
    frame: MatchTime,
    /// What was said of the last thing done.
    note: String,
    /// Whether the marks are those that a search found.
    proposed: bool,
}

/// Why nothing is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NotStored {
    /// The marks make no camera.
    #[error("Mark at least four landmarks that fit a court. Then save.")]
    NoCourt,
    /// Nothing was clicked.
    #[error("Click where feet or the ball touch the ground. Then save.")]
    NoPlace,
    /// The point has no shot.
    #[error("No shot is logged here. Log the shots of the point, then save its positions.")]
    NoShot,
}

/// What the page says.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Told {
    /// What to click next.
    pub title: String,
    /// How it stands.
    pub told: String,
    /// Each mark, and the keys.
    pub details: String,
}

impl Measuring {
    /// Whether a click marks the court: marks are being made, or the court is not known at this frame.
    pub fn is_marking(&self, shown: MatchTime) -> bool {
        self.marking.is_some() || self.cameras.look(shown).is_err_and(|why| why == NoCamera::NotMarked)
    }

    /// Whether nothing can be measured in this frame, although the court is marked in the footage.
    pub fn is_blind(&self, shown: MatchTime) -> bool {
        !self.is_marking(shown) && self.cameras.look(shown).is_err()
    }

    /// Whether nothing waits to be saved.
    pub fn is_idle(&self) -> bool {
        self.marking.is_none() && self.pending.is_empty()
    }

    /// Follows what is known of the cameras.
    pub fn follow(&mut self, cameras: &Cameras) {
        self.cameras = cameras.clone();
    }

    /// Marks are begun anew in a frame.
    pub fn begin(&mut self, size: Size, frame: MatchTime) {
        (self.marking, self.frame) = (Some(Marking::new(size)), frame);
        self.proposed = false;
        self.note.clear();
    }

    /// A click that marks the court; marks of another frame are left.
    pub fn mark(&mut self, at: Pixel, size: Size, frame: MatchTime) {
        if self.marking.is_none() || self.frame != frame {
            self.begin(size, frame);
        }
        self.proposed = false;
        self.note.clear();
        if let Some(marking) = &mut self.marking {
            marking.put(at);
        }
    }

    /// The next landmark is not in the picture.
    pub fn pass(&mut self, size: Size, frame: MatchTime) {
        if self.marking.is_none() {
            self.begin(size, frame);
        }
        if let Some(marking) = &mut self.marking {
            marking.pass();
        }
    }

    /// Takes what a search found, unless marks were made meanwhile.
    pub fn propose(&mut self, size: Size, marks: Option<(Vec<CourtMark>, FoundBy)>, words: &str) {
        if self.marking.as_ref().is_none_or(|m| !m.marks().is_empty()) {
            return;
        }
        if let Some((marks, by)) = marks {
            self.marking = Some(Marking::of(size, marks, by));
            self.proposed = true;
        }
        self.say(words);
    }

    /// Says something until the next thing is done.
    pub fn say(&mut self, words: &str) {
        self.note = words.into();
    }

    /// A click that measures a place. In singles the half tells whose feet they are, where it is known who is at the `near` end.
    pub fn measure(&mut self, at: Pixel, frame: MatchTime, record: &Record, near: Option<Side>) {
        let all = touches(record);
        let mut n = self.of % all.len();
        let new = Position { of: all[n], frame, at: at.into(), by: FoundBy::Hand, measured: None };
        if self.is_blind(frame) {
            return self.say(BLIND);
        }
        let Some(place) = self.cameras.place(&new) else {
            return self.say("The ground is not seen there. Click where feet or the ball touch it.");
        };
        if let (Some(near), [Touch::A, Touch::B, Touch::Ball], 0 | 1) = (near, &all[..], n) {
            n = (if place.spot.y.0 < 0.0 { near } else { near.other() }).index();
        }
        let of = all[n];
        self.pending.retain(|p| (p.of, p.frame) != (of, frame));
        self.pending.push(Position { of, ..new });
        // The next one that was not clicked in this frame.
        let free = |of: &Touch| self.pending.iter().all(|p| (p.of, p.frame) != (*of, frame));
        self.of = all.iter().position(free).unwrap_or_default();
        self.note.clear();
    }

    /// Moves the last mark, or the last position, by so many pixels. Returns whether there is one.
    pub fn nudge(&mut self, dx: f64, dy: f64) -> bool {
        if let Some(marking) = &mut self.marking {
            marking.nudge(dx, dy);
            return true;
        }
        let Some(last) = self.pending.last_mut() else { return false };
        let at = Pixel::from(last.at);
        last.at = Pixel::new(at.x + dx, at.y + dy).into();
        true
    }

    /// Takes back the last mark or position.
    pub fn undo(&mut self) {
        self.proposed = false;
        self.note.clear();
        match &mut self.marking {
            Some(marking) => {
                if !marking.undo() {
                    self.marking = None;
                }
            }
            None => {
                if self.pending.pop().is_some() {
                    self.of = 0;
                }
            }
        }
    }

    /// What is stored in a frame and was not clicked anew.
    pub fn stored<'a>(&self, record: &'a Record, frame: MatchTime) -> impl Iterator<Item = &'a Position> {
        let anew: Vec<_> = self.pending.iter().filter(|p| p.frame == frame).map(|p| p.of).collect();
        stored_in(record, frame).filter(move |p| !anew.contains(&p.of))
    }

    /// The edit that removes what is stored in a frame.
    pub fn remove(&mut self, record: &Record, frame: MatchTime) -> Option<Edit> {
        let edit = without(record, frame)?;
        self.say("What was stored in this frame is removed. Undo brings it back.");
        Some(edit)
    }

    /// The edit that stores the marks, or the positions.
    pub fn save(&mut self, record: &Record, current: Option<usize>) -> Option<Edit> {
        let saved = if self.marking.is_some() {
            self.save_court(record)
        } else {
            self.save_positions(record, current)
        };
        match saved {
            Ok((edit, words)) => {
                self.say(&words);
                Some(edit)
            }
            Err(why) => {
                self.say(&why.to_string());
                None
            }
        }
    }

    fn save_court(&mut self, record: &Record) -> Result<(Edit, String), NotStored> {
        let why = NotStored::NoCourt;
        let film =
            record.footage.iter().filter(|f| f.covers(self.frame)).min_by_key(|f| f.start).ok_or(why)?;
        let at = self.frame.earlier(film.start - MatchTime::ZERO);
        let kept = self.marking.as_ref().and_then(|m| m.kept(&film.file, at)).ok_or(why)?;
        let mut all = record.calibrations.clone();
        all.retain(|c| (&c.file, c.at) != (&kept.file, kept.at));
        all.push(kept);
        self.marking = None;
        Ok((Edit::SetCalibrations(all), "Saved. Now click where feet or the ball touch the ground.".into()))
    }

    fn save_positions(
        &mut self,
        record: &Record,
        current: Option<usize>,
    ) -> Result<(Edit, String), NotStored> {
        let frame = self.pending.first().ok_or(NotStored::NoPlace)?.frame;
        let (point, shot) = shot_at(record, current, frame).ok_or(NotStored::NoShot)?;
        let stored: Vec<_> = self.pending.iter().map(|p| self.cameras.stored(p)).collect();
        let edit = store(record, (point, shot), &stored).ok_or(NotStored::NoShot)?;
        self.pending.clear();
        self.of = 0;
        let far = far(record.points[point].shots[shot].at, frame);
        Ok((edit, format!("Saved with shot {} of point {}{far}", shot + 1, point + 1)))
    }

    /// What the page says at the frame shown.
    pub fn words(&self, record: &Record, shown: MatchTime) -> Told {
        if self.is_marking(shown) {
            self.marking_words()
        } else if let Err(why) = self.cameras.look(shown) {
            let (told, details) = if why == NoCamera::NotHeld {
                (BLIND.to_owned(), BLIND_HELP)
            } else {
                (format!("{}.", capital(&why.to_string())), "")
            };
            Told { title: "Camera not known here".into(), told, details: details.into() }
        } else {
            self.position_words(record, shown)
        }
    }

    fn marking_words(&self) -> Told {
        let empty = Marking::new(Size::new(1, 1));
        let marking = self.marking.as_ref().unwrap_or(&empty);
        let next = marking.next();
        let title = match next {
            // It asks for no mark that the search could not see.
            _ if self.proposed => "Check the lines of the court".into(),
            None => "All landmarks are marked".into(),
            Some(n) => format!("Click the {}", n.landmark().name),
        };
        let told = if self.note.is_empty() { marking.words() } else { self.note.clone() };
        let off =
            |(c, off): (crate::record::Corner, f64)| format!("{}: {off:.1} pixels off", c.landmark().name);
        let lines = marking.residuals().into_iter().map(off).chain([KEYS.to_owned()]);
        Told { title, told, details: lines.collect::<Vec<_>>().join("\n") }
    }

    fn position_words(&self, record: &Record, shown: MatchTime) -> Told {
        let all = touches(record);
        let of = all[self.of % all.len()];
        let title = match of.player() {
            Some(_) => format!("Click the ground between the feet of {}", name(record, of)),
            None => "Click where the ball bounces".into(),
        };
        let one = |p: &Position| {
            let place = self.cameras.place(p)?;
            let moves = moved(&self.cameras, &self.pending, p).map(|m| format!(" Moved {}.", m.words()));
            Some(format!("{}: {}{}", name(record, p.of), reading::words(&place), moves.unwrap_or_default()))
        };
        let mut told: Vec<_> = self.pending.iter().filter_map(one).collect();
        told.extend(Some(self.note.clone()).filter(|n| !n.is_empty()));
        let mut stored = self.stored(record, shown).filter_map(one).peekable();
        if stored.peek().is_some() {
            told.push("Stored in this frame:".into());
            told.extend(stored);
        }
        Told { title, told: told.join("\n"), details: GROUND.into() }
    }
}

/// The end of the words that a position is saved: a full stop, or how far it is from the strike if no fact is told from it.
fn far(strike: Option<MatchTime>, frame: MatchTime) -> String {
    let nanos = |t: u64| t as f64 / 1e9;
    match strike.map(|strike| strike.nanos().abs_diff(frame.nanos())) {
        Some(far) if far > AT_THE_STRIKE => format!(
            ", but {:.1} s from its strike. Where a player stood at the shot is told only by positions within {:.1} s of it.",
            nanos(far),
            nanos(AT_THE_STRIKE)
        ),
        _ => ".".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Camera;
    use crate::record::{Corner, Footage, Point, Shot};
    use crate::tennis::court::Spot;

    const SIZE: Size = Size::new(1280, 720);

    fn camera() -> Camera {
        Camera::looking([0.5, -23.9, 5.0], [0.0, -2.0, 0.0], 60.0, SIZE).unwrap()
    }

    fn see(x: f64, y: f64) -> Pixel {
        camera().see_ground(Spot::new(x, y)).unwrap()
    }

    fn record() -> Record {
        let film = Footage {
            file: "m.mp4".into(),
            fingerprint: None,
            duration: MatchTime::from_secs(60),
            rate: None,
            rotation: 0,
            start: MatchTime::from_secs(10),
        };
        let shots = vec![Shot { at: Some(MatchTime::from_secs(21)), ..Shot::default() }];
        let point = Point { start: Some(MatchTime::from_secs(20)), shots, ..Point::default() };
        Record { footage: vec![film], points: [point].into(), ..Record::default() }
    }

    #[test]
    fn from_the_first_mark_to_a_stored_position() {
        let (mut record, mut m, at) = (record(), Measuring::default(), MatchTime::from_secs(21));
        assert!(m.is_marking(at));
        assert_eq!(m.words(&record, at).title, "Click the near-left singles corner");
        assert!(m.save(&record, None).is_none() && m.words(&record, at).told.starts_with("Click where feet"));
        for corner in [1, 2, 12, 11, 5, 8] {
            let spot = Corner::ALL[corner].landmark().spot;
            m.mark(see(spot.x.0, spot.y.0), SIZE, at);
        }
        assert_eq!(m.words(&record, at).told, "6 marks agree within 0.0 pixels.");
        let edit = m.save(&record, None).unwrap();
        let _ = record.apply(edit).unwrap();
        assert_eq!(record.calibrations[0].at, MatchTime::from_secs(11), "a time of the file");
        m.follow(&Cameras::of(&record));
        assert!(!m.is_marking(at) && !m.is_marking(MatchTime::from_secs(12)));
        m.measure(Pixel::new(5.0, 5.0), at, &record, None);
        assert!(m.words(&record, at).told.starts_with("The ground is not seen there"));
        m.measure(see(1.0, -13.0), at, &record, Some(Side::A));
        let told = m.words(&record, at);
        assert!(
            told.told.starts_with("Player A: 1.11 m (3.7 ft) behind the near baseline; 1.00 m"),
            "{told:?}"
        );
        assert_eq!(told.title, "Click the ground between the feet of Player B");
        m.of = 0;
        m.of = 1;
        m.measure(see(2.0, -13.0), MatchTime::from_millis(21_500), &record, Some(Side::A));
        assert!(m.words(&record, at).told.contains("Moved 2.0 ±"), "{:?}", m.words(&record, at));
        let edit = m.save(&record, None).unwrap();
        let _ = record.apply(edit).unwrap();
        let kept: Vec<_> = record.points[0].shots[0].positions.iter().map(|p| p.of).collect();
        assert_eq!(kept, [Touch::A, Touch::A]);
        let told = m.words(&record, at).told;
        let stored = "Saved with shot 1 of point 1.\nStored in this frame:\nPlayer A: 1.11 m (3.7 ft) behind the near baseline;";
        assert!(told.starts_with(stored) && told.lines().count() == 3, "{told}");
        m.measure(see(1.5, -13.0), at, &record, Some(Side::A));
        assert!(!m.words(&record, at).told.contains("Stored"), "clicked anew");
    }

    #[test]
    fn a_position_far_from_its_strike_is_said_to_tell_no_fact() {
        let at = |ms| Some(MatchTime::from_millis(ms));
        assert_eq!(far(at(1_000), MatchTime::from_millis(1_500)), ".");
        assert_eq!(far(None, MatchTime::ZERO), ".");
        let said = far(at(5_000), MatchTime::from_millis(3_000));
        assert!(said.starts_with(", but 2.0 s from its strike."), "{said}");
    }

    /// A camera that pans: in the second frame it looks elsewhere, in the third the court is not seen.
    #[test]
    fn in_moving_footage_each_frame_has_its_camera_or_nothing_is_measured() {
        use crate::session::followed::tests::{camera, followed};
        let mut record = record();
        let print = format!("sha256:{}", "0a".repeat(32));
        record.footage[0].fingerprint = Some(print.clone());
        let seen = |c: Corner| camera(0.0).see_ground(c.landmark().spot).unwrap();
        let marks = Corner::ALL.map(|landmark| CourtMark { landmark, at: seen(landmark).into() });
        record.calibrations = vec![crate::record::CourtMarks {
            file: "m.mp4".into(),
            at: MatchTime::from_secs(10),
            size: SIZE,
            marks: marks.to_vec(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        }];
        let mut cameras = Cameras::of(&record);
        let turns: Vec<_> = (0..13_u8).map(|n| (n != 12).then(|| camera(f64::from(n) / 100.0))).collect();
        cameras.take(print, Some(std::sync::Arc::new(followed(&turns, &record.calibrations))));
        let mut m = Measuring::default();
        m.follow(&cameras);
        let (at, blind) = (MatchTime::from_secs(21), MatchTime::from_secs(22));
        m.measure(camera(0.11).see_ground(Spot::new(1.0, -13.0)).unwrap(), at, &record, Some(Side::A));
        let told = m.words(&record, at).told;
        assert!(told.starts_with("Player A: 1.11 m (3.7 ft) behind the near baseline; 1.00 m"), "{told}");
        assert!(m.is_blind(blind) && !m.is_blind(at) && !m.is_marking(blind));
        assert_eq!(m.words(&record, blind).title, "Camera not known here");
        m.measure(Pixel::new(640.0, 500.0), blind, &record, Some(Side::A));
        assert_eq!(m.pending.len(), 1, "nothing is measured there");
        let edit = m.save(&record, None).unwrap();
        let _ = record.apply(edit).unwrap();
        let kept = record.points[0].shots[0].positions[0];
        assert!(kept.measured.is_some(), "the place is kept with the record");
        let place = crate::record::Cameras::of(&record).place(&kept).unwrap();
        assert!(place.spot.distance(Spot::new(1.0, -13.0)).0 < 0.01);
        let words = cameras.following_words(at).unwrap();
        assert_eq!(words, "The camera moves. The court is seen in 92 % of the frames.");
    }

    #[test]
    fn everything_can_be_taken_back() {
        let (record, mut m, at) = (record(), Measuring::default(), MatchTime::from_secs(21));
        m.mark(see(0.0, 0.0), SIZE, at);
        assert!(m.nudge(1.0, 0.0));
        m.mark(see(0.0, 0.0), SIZE, MatchTime::from_secs(22));
        assert_eq!(m.marking.as_ref().unwrap().marks().len(), 1, "marks of another frame are left");
        m.undo();
        m.undo();
        assert!(m.marking.is_none() && !m.nudge(1.0, 0.0));
        m.undo();
        m.pass(SIZE, at);
        assert_eq!(m.words(&record, at).title, "Click the near-right singles corner");
        m.propose(SIZE, None, "Not found.");
        assert_eq!(m.words(&record, at).told, "Not found.");
    }

    /// No other sentence of the page may say that something is not known or must be clicked while the court is found.
    #[test]
    fn a_court_that_was_found_is_checked_and_no_mark_is_asked_for() {
        use crate::facts::Tally;
        use crate::session::proposing::stretch;
        let (record, mut m, at) = (record(), Measuring::default(), MatchTime::from_secs(21));
        let players = |record: &Record, cameras: &Cameras| {
            super::super::words::sentence(
                &stretch(record, Tally::of(record).facts(), cameras, 0).unwrap_err().to_string(),
            )
        };
        let once = "Once the court is marked and saved in the footage of this point, players are proposed at its shots.";
        m.follow(&Cameras::of(&record));
        assert_eq!(players(&record, &m.cameras), once);
        m.begin(SIZE, at);
        let seen = Corner::ALL.into_iter().take(6).map(|landmark| {
            let spot = landmark.landmark().spot;
            CourtMark { landmark, at: see(spot.x.0, spot.y.0).into() }
        });
        m.propose(SIZE, Some((seen.collect(), FoundBy::Found)), "Found. Press Return.");
        let told = m.words(&record, at);
        assert_eq!(
            (told.title.as_str(), told.told.as_str()),
            ("Check the lines of the court", "Found. Press Return.")
        );
        assert_eq!(players(&record, &m.cameras), once, "true of marks that are not saved, too");
        m.undo();
        assert!(m.words(&record, at).title.starts_with("Click the "), "from then on by hand");
        m.begin(SIZE, at);
        assert!(m.words(&record, at).title.starts_with("Click the "));
    }
}
