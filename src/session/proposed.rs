//! Proposed players in hand: what was found at the strikes of each point, which of it waits for the user, and the edit that accepts it.
//!
//! What was found is kept by the footage's fingerprint, together with what it depends on: the times of the strikes and how the court was
//! known. If one of these changes, the players are looked for again. Nothing of it is in the record until somebody accepts it; what
//! is accepted is a position like any other, with a larger error than a click.

use serde::{Deserialize, Serialize};

use super::cameras::{Cameras, NoCamera};
use super::folders;
use super::kept::Kept;
use super::positions::{name, put};
use super::proposing::{NoStretch, Proposal, Stretch, stretch};
use super::words::sentence;
use crate::counted::{Counted, Noun};
use crate::facts::PointFacts;
use crate::measure::{Pixel, Place, Spread};
use crate::record::{CourtMarks, Edit, FoundBy, Point, Position, Record, Shared, Shot, Touch};
use crate::tennis::End;
use crate::tennis::court::Spot;
use crate::time::MatchTime;

const FORM: &str = concat!("changeover-players 2 ", env!("CARGO_PKG_VERSION"));
/// How many files of footage the players are kept of.
const MOST: usize = 200;
/// Of one file so many points are kept.
const POINTS: usize = 2000;

/// What was found at the strikes of one point, and what that depends on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Looked {
    /// The strikes, on the file's own clock.
    strikes: Vec<MatchTime>,
    marks: Vec<CourtMarks>,
    moves: bool,
    found: Vec<Found>,
}

/// One player; its times are on the file's own clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Found {
    strike: usize,
    end: End,
    frame: MatchTime,
    pixel: Pixel,
    spot: Spot,
    spread: [f64; 3],
    confidence: f64,
}

impl Looked {
    /// What was found in a stretch.
    pub fn new(stretch: &Stretch, cameras: &Cameras, proposals: &[Proposal]) -> Self {
        let one = |p: &Proposal| {
            Some(Found {
                strike: stretch.strikes.iter().position(|s| *s == p.strike)?,
                end: p.end,
                frame: in_file(stretch, p.frame),
                pixel: p.pixel,
                spot: p.place.spot,
                spread: p.place.spread.numbers(),
                confidence: p.confidence,
            })
        };
        let found = proposals.iter().filter_map(one).collect();
        Self { found, ..Self::nobody(stretch, cameras) }
    }

    fn nobody(stretch: &Stretch, cameras: &Cameras) -> Self {
        let file = &stretch.footage;
        let marks = cameras.marks_of(file).into_iter().map(|m| CourtMarks { moving: false, ..m });
        Self {
            strikes: stretch.strikes.iter().map(|s| in_file(stretch, s.at)).collect(),
            marks: marks.collect(),
            moves: stretch.strikes.first().is_some_and(|s| cameras.moves_at(s.at)),
            found: Vec::new(),
        }
    }

    /// Whether it was found at these strikes, with the court known in the same way.
    pub fn is_of(&self, stretch: &Stretch, cameras: &Cameras) -> bool {
        let now = Self::nobody(stretch, cameras);
        (&self.strikes, &self.marks, self.moves) == (&now.strikes, &now.marks, now.moves)
    }

    /// The same with the record as it is now: who is at which end may have been corrected.
    fn proposals(&self, stretch: &Stretch) -> Vec<Proposal> {
        let start = stretch.footage.start - MatchTime::ZERO;
        let one = |f: &Found| {
            let strike = *stretch.strikes.get(f.strike)?;
            let side = strike.near.map(|near| if f.end == End::Near { near } else { near.other() });
            let [xx, xy, yy] = f.spread;
            Some(Proposal {
                strike,
                of: side.map(|s| Touch::feet(s, None)),
                end: f.end,
                frame: f.frame.later(start),
                pixel: f.pixel,
                place: Place { spot: f.spot, spread: Spread::new(xx, xy, yy)? },
                confidence: f.confidence,
            })
        };
        self.found.iter().filter_map(one).collect()
    }
}

fn in_file(stretch: &Stretch, at: MatchTime) -> MatchTime {
    at.earlier(stretch.footage.start - MatchTime::ZERO)
}

/// Where it is kept.
#[derive(Debug, Clone)]
pub struct KeptPlayers(Kept);

impl Default for KeptPlayers {
    fn default() -> Self {
        Self::within(folders::cache().join("players"))
    }
}

impl KeptPlayers {
    /// In this folder.
    pub fn within(folder: std::path::PathBuf) -> Self {
        Self(Kept::new(folder, FORM, MOST))
    }

    /// What is kept of the footage with this fingerprint.
    pub fn of(&self, fingerprint: &str) -> Vec<Looked> {
        self.0.of(fingerprint).unwrap_or_default()
    }

    /// Keeps one more.
    pub fn add(&self, fingerprint: &str, looked: &Looked) {
        let mut all = self.of(fingerprint);
        // What was found at these strikes before was found with another court.
        all.retain(|l| l.strikes != looked.strikes);
        let excess = (all.len() + 1).saturating_sub(POINTS);
        all.drain(..excess);
        all.push(looked.clone());
        self.0.keep(fingerprint, all);
    }
}

/// What is known of the players at the strikes of a point.
#[derive(Debug, Clone, PartialEq)]
pub enum Players {
    /// Nobody can be looked for.
    No(NoStretch),
    /// Where the camera was is not known yet: that is still found out.
    Later,
    /// They were not looked for.
    Wanted(Box<Stretch>),
    /// They were looked for: what was found and waits for the user, and at how many strikes of how many somebody was found.
    Known {
        /// Players who are not measured at their strike yet, in the order of the strikes.
        waiting: Vec<Proposal>,
        /// At so many strikes somebody was found.
        at: usize,
        /// So many strikes of the point have a time.
        of: usize,
    },
}

impl Players {
    /// What the page says of it while a frame is shown.
    pub fn words(&self, record: &Record, shown: Option<MatchTime>) -> String {
        let (waiting, at, of) = match self {
            Self::Later | Self::Wanted(_) => return String::new(),
            Self::No(why) => return sentence(&why.to_string()),
            Self::Known { waiting, at, of } => (waiting, *at, *of),
        };
        let who = |p: &Proposal| Some(format!("{} ({})", name(record, p.of?), trust(p.confidence)));
        let here: Vec<_> = waiting.iter().filter(|p| Some(p.frame) == shown).filter_map(who).collect();
        let where_found = format!("at {at} of {}", Counted(of, Noun::Shot));
        match (at, &here[..]) {
            (0, _) => "Nobody was found at the shots of this point.".into(),
            (_, []) if waiting.is_empty() => "Everybody who was proposed in this point is accepted.".into(),
            (_, []) => format!("Players are proposed {where_found}. Nothing is stored before you accept it."),
            (_, here) => format!(
                "Proposed here, not stored: {}. Return accepts them and goes on. Drag a ring to where the feet are: that stores it.",
                here.join(", ")
            ),
        }
    }
}

/// What was found since the record was opened.
#[derive(Debug, Clone, Default)]
pub struct Proposed(Vec<(String, Looked)>);

impl Proposed {
    /// Takes what was found in the file with this fingerprint.
    pub fn take(&mut self, fingerprint: String, looked: Looked) {
        self.0.retain(|(print, l)| (print, &l.strikes) != (&fingerprint, &looked.strikes));
        self.0.push((fingerprint, looked));
    }

    /// What is known of the players of a point, counted from 0.
    pub fn players(
        &self,
        record: &Record,
        facts: &Shared<PointFacts>,
        cameras: &Cameras,
        point: usize,
    ) -> Players {
        let stretch = match stretch(record, facts, cameras, point) {
            Ok(stretch) => stretch,
            Err(NoStretch::NoCourt(_)) if is_read_later(record, cameras, point) => return Players::Later,
            Err(why) => return Players::No(why),
        };
        let print = stretch.footage.fingerprint.as_deref().unwrap_or_default();
        let mut of_file = self.0.iter().filter(|(p, _)| p == print).map(|(_, looked)| looked);
        let Some(looked) = of_file.find(|l| l.is_of(&stretch, cameras)) else {
            return Players::Wanted(Box::new(stretch));
        };
        let all = looked.proposals(&stretch);
        let mut at: Vec<_> = all.iter().map(|p| p.strike.at).collect();
        at.dedup();
        let is_new = |p: &Proposal| {
            let kept = record.points.get(point).and_then(|at| shot(at, p)).map(|s| &s.positions);
            p.of.is_some() && kept.is_some_and(|kept| kept.iter().all(|k| Some(k.of) != p.of))
        };
        let of = record
            .points
            .get(point)
            .map_or(0, |p| p.serves_out.iter().chain(&p.shots).filter(|s| s.at.is_some()).count());
        Players::Known { at: at.len(), of, waiting: all.into_iter().filter(is_new).collect() }
    }
}

fn is_read_later(record: &Record, cameras: &Cameras, point: usize) -> bool {
    let shots = record.points.get(point).into_iter().flat_map(|p| p.serves_out.iter().chain(&p.shots));
    shots.filter_map(|s| s.at).any(|at| cameras.look(at).err() == Some(NoCamera::NotRead))
}

fn shot<'a>(point: &'a Point, of: &Proposal) -> Option<&'a Shot> {
    let (_, shot) = of.strike.shot;
    if of.strike.fault { point.serves_out.get(shot) } else { point.shots.get(shot) }
}

/// The edit that stores proposals of one point. Each is a position that was found; where somebody looked at it in its frame, one that was
/// checked.
pub fn accept(record: &Record, cameras: &Cameras, proposals: &[Proposal], by: FoundBy) -> Option<Edit> {
    let position = |p: &Proposal| {
        let of = p.of?;
        Some(Position { of, frame: p.frame, at: p.pixel.into(), by, measured: None })
    };
    store(record, cameras, proposals.iter().filter_map(|p| Some((p, position(p)?))))
}

/// The edit that stores a proposal where the user has put it.
pub fn correct(record: &Record, cameras: &Cameras, proposal: &Proposal, at: Pixel) -> Option<Edit> {
    let moved = Position {
        of: proposal.of?,
        frame: proposal.frame,
        at: at.into(),
        by: FoundBy::Hand,
        measured: None,
    };
    cameras.place(&moved)?;
    store(record, cameras, std::iter::once((proposal, moved)))
}

fn store<'a>(
    record: &Record,
    cameras: &Cameras,
    new: impl Iterator<Item = (&'a Proposal, Position)>,
) -> Option<Edit> {
    let mut changed: Option<(usize, Point)> = None;
    for (proposal, position) in new {
        let (at, n) = proposal.strike.shot;
        if changed.is_none() {
            changed = Some((at, record.points.get(at)?.clone()));
        }
        let (_, point) = changed.as_mut().filter(|(other, _)| *other == at)?;
        let shots = if proposal.strike.fault { &mut point.serves_out } else { &mut point.shots };
        put(&mut shots.get_mut(n)?.positions, cameras.stored(&position));
    }
    changed.map(|(at, point)| Edit::SetPoint { at, point })
}

/// How far a proposal may be believed, in words. In two films of demo footage 37 of the 38 from here on were right, and 24 of the 26 below:
/// more words would say more than is known.
pub fn trust(confidence: f64) -> &'static str {
    if confidence >= LIKELY { "likely" } else { "check it" }
}

const LIKELY: f64 = 0.65;

#[cfg(test)]
mod tests {
    use super::super::followed::tests::camera;
    use super::super::proposing::Strike;
    use super::*;
    use crate::facts::Tally;
    use crate::measure::Size;
    use crate::record::{Corner, CourtMark, Footage};
    use crate::tennis::Side;
    use crate::tennis::rules::Sides;

    fn secs(n: u64) -> MatchTime {
        MatchTime::from_secs(n)
    }

    /// Footage from 100 s on with a point of a fault and two shots.
    fn record() -> Record {
        let seen = |c: Corner| camera(0.0).see_ground(c.landmark().spot).unwrap();
        let marks = Corner::ALL.map(|landmark| CourtMark { landmark, at: seen(landmark).into() });
        let calibration = CourtMarks {
            file: "a.mp4".into(),
            at: MatchTime::ZERO,
            size: Size::new(1280, 720),
            marks: marks.to_vec(),
            by: FoundBy::Hand,
            centre: None,
            moving: false,
        };
        let footage = Footage {
            file: "a.mp4".into(),
            fingerprint: Some(print()),
            duration: secs(60),
            rate: None,
            rotation: 0,
            start: secs(100),
        };
        let shot = |at| Shot { at: Some(secs(at)), ..Shot::default() };
        let point = Point {
            start: Some(secs(118)),
            serves_out: vec![shot(120)],
            faults: Some(1),
            shots: vec![shot(130), shot(131)],
            ..Point::default()
        };
        let mut record = Record {
            footage: vec![footage],
            calibrations: vec![calibration],
            points: [point].into(),
            ..Record::default()
        };
        record.about.first_server = Side::A;
        record.about.a_starts = End::Near;
        record
    }

    fn print() -> String {
        format!("sha256:{}", "0c".repeat(32))
    }

    fn cameras(record: &Record) -> Cameras {
        let mut cameras = Cameras::of(record);
        cameras.take(print(), None);
        cameras
    }

    fn feet(strike: Strike, end: End, spot: Spot) -> Proposal {
        let side = strike.near.map(|near| if end == End::Near { near } else { near.other() });
        Proposal {
            strike,
            of: side.map(|s| Touch::feet(s, None)),
            end,
            frame: strike.at,
            pixel: camera(0.0).see_ground(spot).unwrap(),
            place: Place { spot, spread: Spread::new(0.04, 0.0, 0.09).unwrap() },
            confidence: 0.7,
        }
    }

    fn found(record: &Record, cameras: &Cameras) -> (Stretch, Vec<Proposal>, Proposed) {
        let stretch = stretch(record, Tally::of(record).facts(), cameras, 0).unwrap();
        let both = |s: &Strike| {
            [feet(*s, End::Near, Spot::new(0.5, -12.5)), feet(*s, End::Far, Spot::new(-2.0, 12.0))]
        };
        let all: Vec<_> = stretch.strikes.iter().flat_map(both).collect();
        let mut proposed = Proposed::default();
        proposed.take(print(), Looked::new(&stretch, cameras, &all));
        (stretch, all, proposed)
    }

    fn known(proposed: &Proposed, record: &Record, cameras: &Cameras) -> Players {
        proposed.players(record, Tally::of(record).facts(), cameras, 0)
    }

    #[test]
    fn what_was_found_waits_until_it_is_accepted() {
        let mut record = record();
        let cameras = cameras(&record);
        assert!(matches!(known(&Proposed::default(), &record, &cameras), Players::Wanted(_)));
        let (_, all, proposed) = found(&record, &cameras);
        let wait = |record: &Record| match known(&proposed, record, &cameras) {
            Players::Known { waiting, at, of } => (waiting, at, of),
            other => panic!("{other:?}"),
        };
        assert_eq!(wait(&record), (all.clone(), 3, 3), "as it was found");
        let words = |at| known(&proposed, &record, &cameras).words(&record, Some(secs(at)));
        assert!(
            words(125).starts_with("Players are proposed at 3 of 3 shots. Nothing is stored"),
            "{}",
            words(125)
        );
        let here = "Proposed here, not stored: Player A (likely), Player B (likely). Return accepts";
        assert!(words(120).starts_with(here), "{}", words(120));
        assert!(record.points[0].shots.iter().all(|s| s.positions.is_empty()), "nothing is stored");

        // The strike of the fault: its two players.
        let (_, back) =
            record.apply(accept(&record, &cameras, &all[..2], FoundBy::Checked).unwrap()).unwrap();
        let kept = &record.points[0].serves_out[0].positions;
        assert_eq!(
            kept.iter().map(|p| (p.of, p.by)).collect::<Vec<_>>(),
            [(Touch::A, FoundBy::Checked), (Touch::B, FoundBy::Checked)]
        );
        assert!(record.points[0].shots[0].positions.is_empty());
        let place = cameras.place(&kept[0]).unwrap();
        assert!(place.spot.distance(all[0].place.spot).0 < 0.01);
        let clicked = cameras.place(&Position { by: FoundBy::Hand, ..kept[0] }).unwrap();
        let wide = |p: &Place| p.spread.deviations().0.0;
        assert!(wide(&place) > 0.12 && wide(&clicked) < 0.06, "{place:?} {clicked:?}");
        assert_eq!(wait(&record).0, all[2..]);
        let _ = record.apply(back).unwrap();
        assert_eq!(wait(&record).0, all, "undone in one step");

        // One that was dragged: alone, and where it was let go.
        let at = camera(0.0).see_ground(Spot::new(1.5, -11.0)).unwrap();
        let _ = record.apply(correct(&record, &cameras, &all[2], at).unwrap()).unwrap();
        let kept = &record.points[0].shots[0].positions;
        assert_eq!((kept.len(), kept[0].by), (1, FoundBy::Hand));
        assert!(cameras.place(&kept[0]).unwrap().spot.distance(Spot::new(1.5, -11.0)).0 < 0.01);
        assert_eq!(
            correct(&record, &cameras, &all[3], Pixel::new(640.0, -4000.0)),
            None,
            "no ground is there"
        );
        let rest = wait(&record).0;
        assert_eq!(rest.len(), 5);
        let _ = record.apply(accept(&record, &cameras, &rest, FoundBy::Found).unwrap()).unwrap();
        assert_eq!(wait(&record).0, []);
        let kept = &record.points[0].shots[0].positions;
        assert_eq!((kept[0].by, kept[1].by), (FoundBy::Hand, FoundBy::Found), "what was corrected stays");
    }

    #[test]
    fn other_strikes_another_court_or_a_moving_camera_are_looked_at_anew() {
        use super::super::followed::tests::followed;
        let record = record();
        let cameras = cameras(&record);
        let (_, all, proposed) = found(&record, &cameras);
        let is_wanted = |r: &Record, c: &Cameras| matches!(known(&proposed, r, c), Players::Wanted(_));
        assert!(!is_wanted(&record, &cameras));
        let mut later = record.clone();
        later.points[0].shots[1].at = Some(secs(132));
        assert!(is_wanted(&later, &cameras));
        let mut marked = record.clone();
        marked.calibrations[0].marks.pop();
        assert!(is_wanted(&marked, &super::tests::cameras(&marked)));
        let mut moves = cameras.clone();
        let turns: Vec<_> = (0..60_u8).map(|n| Some(camera(f64::from(n) / 500.0))).collect();
        moves.take(print(), Some(std::sync::Arc::new(followed(&turns, &record.calibrations))));
        assert!(is_wanted(&record, &moves));
        // Who serves may be corrected: the same feet are the other's.
        let mut other = record.clone();
        other.about.a_starts = End::Far;
        let Players::Known { waiting, .. } = known(&proposed, &other, &cameras) else { panic!() };
        assert_eq!(waiting.iter().map(|p| p.of).collect::<Vec<_>>()[..2], [Some(Touch::B), Some(Touch::A)]);
        assert_eq!(waiting[0].pixel, all[0].pixel);
    }

    #[test]
    fn why_nobody_is_proposed_is_told() {
        let mut record = record();
        let known = |r: &Record, c: &Cameras| super::tests::known(&Proposed::default(), r, c);
        assert_eq!(known(&record, &Cameras::of(&record)), Players::Later, "the cameras are still read");
        let unmarked = Record { calibrations: Vec::new(), ..record.clone() };
        assert_eq!(
            known(&unmarked, &cameras(&unmarked)),
            Players::No(NoStretch::NoCourt(NoCamera::NotMarked))
        );
        let mut untimed = record.clone();
        untimed.points[0].shots.iter_mut().for_each(|s| s.at = None);
        untimed.points[0].serves_out.clear();
        assert_eq!(known(&untimed, &cameras(&untimed)), Players::No(NoStretch::NoStrikes));
        record.about.rules.sides = Sides::Doubles;
        assert_eq!(known(&record, &cameras(&record)), Players::No(NoStretch::NotSingles));
    }

    #[test]
    fn what_was_found_is_kept_by_the_strikes() {
        let folder = tempfile::tempdir().unwrap();
        let kept = KeptPlayers::within(folder.path().join("players"));
        let record = record();
        let cameras = cameras(&record);
        let (stretch, all, _) = found(&record, &cameras);
        assert!(kept.of(&print()).is_empty());
        kept.add(&print(), &Looked::new(&stretch, &cameras, &all[..1]));
        kept.add(&print(), &Looked::new(&stretch, &cameras, &all));
        let again = kept.of(&print());
        assert_eq!(again.len(), 1, "the newer one takes its place");
        assert!(again[0].is_of(&stretch, &cameras));
        assert_eq!(again[0].proposals(&stretch), all);
    }
}
