//! A film of the demo, and what is found in it.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::time::{Duration, Instant};

use changeover::demo::truth::Strike as Struck;
use changeover::demo::{CameraWork, Demo, Truth, logged, make_unless_stopped};
use changeover::facts::{PointFacts, facts};
use changeover::find::{Belief, find_court};
use changeover::frames::FootageFile;
use changeover::measure::Pixel;
use changeover::record::footage::fingerprint;
use changeover::record::{Corner, CourtMark, CourtMarks, Footage, FoundBy, Record, Shared, Shot};
use changeover::session::cameras::Cameras;
use changeover::session::proposed::accept;
use changeover::session::proposing::{Proposal, Strike, stretches};
use changeover::session::seeing::{followed, grey, players};
use changeover::tennis::court::LANDMARKS;
use changeover::time::{FrameRate, MatchTime};
use changeover::video::{each_frame, each_planes, probe};

const FILM: &str = "holt-okafor.mp4";

pub struct Wish {
    /// The match it is made from.
    pub number: u64,
    pub work: CameraWork,
    pub wide: u32,
    pub games: Option<u32>,
    pub points: Option<u32>,
    pub stored: Stored,
}

/// How the pictures are stored.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Stored {
    Upright,
    /// Turned: a player has to turn them by a right angle.
    Turned,
    /// With pixels that are wider than high.
    Squeezed,
}

pub struct Film {
    pub truth: Truth,
    pub moves: bool,
    media: FootageFile,
    _kept: Option<tempfile::TempDir>,
}

/// What was found in a film.
pub struct Found {
    /// With all proposals accepted.
    pub record: Record,
    pub cameras: Cameras,
    pub proposals: Vec<Proposal>,
    /// The part of the frames in which the court is held.
    pub held: f64,
}

/// Stores the pictures at three quarters of their width.
fn squeeze(film: &Path, wide: u32) {
    let squeezed = film.with_file_name("squeezed.mp4");
    let out = Command::new("ffmpeg")
        .args(["-v", "error", "-nostdin", "-i"])
        .arg(film)
        .args(["-vf", &format!("scale={}:ih,setsar=4/3", wide * 3 / 4), "-crf", "18", "-an"])
        .arg(&squeezed)
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    std::fs::rename(squeezed, film).unwrap();
}

impl Film {
    pub fn of(wish: &Wish) -> Self {
        let temporary = tempfile::tempdir().unwrap();
        let kept = std::env::var_os("CHAIN_FILMS").map(PathBuf::from);
        let Wish { number, work, wide, games, points, .. } = wish;
        let name = format!("{work:?}-{wide}-{games:?}-{points:?}-{number}");
        let folder = kept.as_ref().map_or(temporary.path().to_owned(), |k| k.join(name));
        let demo = Demo {
            number: wish.number,
            games: wish.games,
            points: wish.points,
            brisk: true,
            width: wish.wide,
            height: wish.wide * 9 / 16,
            rate: FrameRate::new(30, 1).ok(),
            camera: wish.work,
            rotation: if wish.stored == Stored::Turned { 90 } else { 0 },
            ..Demo::default()
        };
        if !folder.join("holt-okafor.truth.json").exists() {
            std::fs::create_dir_all(&folder).unwrap();
            make_unless_stopped(&demo, &folder, &mut |_, _| ControlFlow::Continue(())).unwrap();
        }
        if wish.stored == Stored::Squeezed {
            squeeze(&folder.join(FILM), wish.wide);
        }
        let truth = std::fs::read_to_string(folder.join("holt-okafor.truth.json")).unwrap();
        Self {
            truth: serde_json::from_str(&truth).unwrap(),
            moves: wish.work != CameraWork::Tripod,
            media: probe(&folder.join(FILM)).unwrap(),
            _kept: kept.is_none().then_some(temporary),
        }
    }

    /// The strike at which a player was proposed.
    pub fn struck(&self, strike: &Strike) -> &Struck {
        let (point, k) = strike.shot;
        self.truth.points[point].strikes.iter().filter(|s| s.shot.is_none() == strike.fault).nth(k).unwrap()
    }

    /// The true camera of each frame, by the time from which it is shown.
    pub fn cameras(&self) -> Vec<(MatchTime, serde_json::Value)> {
        let truth =
            std::fs::read_to_string(self.media.path.with_file_name("holt-okafor.cameras.jsonl")).unwrap();
        let frames = truth.lines().map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap());
        frames.enumerate().map(|(n, frame)| (self.media.index.time(n), frame)).collect()
    }

    /// How far the court that is marked by itself is off, in pixels, at its worst landmark; the camera stands.
    pub fn court_off(&self) -> f64 {
        let marks = self.court();
        let truth =
            std::fs::read_to_string(self.media.path.with_file_name("holt-okafor.cameras.jsonl")).unwrap();
        let truth: serde_json::Value = serde_json::from_str(truth.lines().next().unwrap()).unwrap();
        let off = |m: &CourtMark| {
            let n = LANDMARKS.iter().position(|l| l.spot == m.landmark.landmark().spot).unwrap();
            let at = &truth["landmarks"][n];
            Pixel::from(m.at).distance(Pixel::new(at[0].as_f64().unwrap(), at[1].as_f64().unwrap()))
        };
        marks.marks.iter().map(off).fold(0.0, f64::max)
    }

    /// The first court of which the search is sure, as the window marks it.
    fn court(&self) -> CourtMarks {
        let mut court = None;
        let mut count = 0;
        let looked = each_frame(&self.media, (None, None), &mut |frame, _| {
            count += 1;
            let picture = grey(&frame).filter(|_| count % 8 == 1);
            let found = picture.and_then(|p| Some((find_court(&p).ok()?, p.size())));
            court = found.filter(|(c, _)| c.belief == Belief::Sure).map(|(c, size)| (frame.time, c, size));
            if court.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert!(court.is_some(), "no court is found: {looked:?}");
        let (at, court, size) = court.unwrap();
        let camera = court.calibration.camera();
        let mark = |landmark: Corner| {
            let at = camera.see_ground(landmark.landmark().spot).filter(|p| size.holds(*p, 0.0))?;
            Some(CourtMark { landmark, at: at.into() })
        };
        let marks = Corner::ALL.into_iter().filter_map(mark).collect();
        CourtMarks { file: FILM.into(), at, size, marks, by: FoundBy::Found, centre: None, moving: false }
    }

    /// The record as a coach logs it, without any position.
    fn logged(&self, court: CourtMarks) -> Record {
        let footage = Footage {
            file: FILM.into(),
            fingerprint: fingerprint(&self.media.path).ok(),
            duration: self.truth.files[0].end,
            rate: None,
            rotation: 0,
            start: MatchTime::ZERO,
        };
        let record = logged(&self.truth, false);
        Record { footage: vec![footage], calibrations: vec![court], ..record }
    }

    /// The court and the players found by themselves, and everything accepted.
    pub fn searched(&self) -> Found {
        let mut go_on = |_: f64| ControlFlow::Continue(());
        let mut record = self.logged(self.court());
        let follow = followed(&self.media, &record.calibrations, &mut go_on).unwrap();
        let held = follow.held();
        let mut cameras = Cameras::of(&record);
        cameras.take(record.footage[0].fingerprint.clone().unwrap(), Some(Arc::new(follow)));
        if let Some((edit, _)) = cameras.settled(&record) {
            let _ = record.apply(edit).unwrap();
            cameras.follow(&record);
        }
        let known: Shared<PointFacts> = facts(&record);
        let all = stretches(&record, &known, &cameras);
        let found = players(&self.media, &cameras, &all, &mut go_on).unwrap();
        let mut proposals = Vec::new();
        for found in found {
            let edit = accept(&record, &cameras, &found, FoundBy::Found);
            if let Some(edit) = edit {
                let _ = record.apply(edit).unwrap();
            }
            proposals.extend(found);
        }
        Found { record, cameras, proposals, held }
    }

    /// How long it takes to look for the players once more.
    pub fn looking(&self, found: &Found) -> Duration {
        let begun = Instant::now();
        let all = stretches(&found.record, &facts(&found.record), &found.cameras);
        players(&self.media, &found.cameras, &all, &mut |_| ControlFlow::Continue(())).unwrap();
        begun.elapsed()
    }

    /// How long it takes to decode the whole film and no more.
    pub fn decoding(&self) -> Duration {
        let begun = Instant::now();
        each_planes(&self.media, (None, None), &mut |_, _| ControlFlow::Continue(())).unwrap();
        begun.elapsed()
    }
}

/// Every strike of the footage, with the shot that was logged of it.
pub fn strikes(record: &Record) -> impl Iterator<Item = (Strike, &Shot)> {
    record.points.iter().enumerate().flat_map(|(n, point)| {
        let faults = point.serves_out.iter().enumerate().map(|(k, s)| (k, s, true));
        let shots = faults.chain(point.shots.iter().enumerate().map(|(k, s)| (k, s, false)));
        shots.map(move |(k, s, fault)| (Strike { shot: (n, k), fault, at: s.at.unwrap(), near: None }, s))
    })
}
