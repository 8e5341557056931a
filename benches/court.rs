//! What the court and the players cost beside decoding, on one core if the program is held to one: `taskset -c 0 cargo bench --bench court
//! --no-default-features --features video -- FOOTAGE`.
//!
//! Times are those of the processor, of all threads of the program, so that other work on the machine hardly counts; in brackets what a
//! clock on the wall says. In each round the footage is decoded; decoded and followed; decoded and searched for players; and all three. Players are looked for in every second frame of all; the window does so near strikes only. Prints the milliseconds a frame (median of the rounds) and the ratios.

use std::error::Error;
use std::ops::ControlFlow;
use std::path::Path;
use std::time::{Duration, Instant};

use rustix::time::{ClockId, clock_gettime};

use changeover::find::{Belief, FilmFollower, Players, Seen, Small};
use changeover::frames::FootageFile;
use changeover::measure::Camera;
use changeover::session::seeing::{colour, grey};
use changeover::time::MatchTime;
use changeover::video::{Frame, each_frame, probe};

type Answer<T> = Result<T, Box<dyn Error>>;

/// At most so many frames, in so many rounds.
const FRAMES: usize = 600;
const ROUNDS: usize = 3;
/// Players are looked for in frames so far apart, with the court without them from so many frames.
const APART: usize = 2;
const SAMPLES: usize = 31;

/// What a clock of the processor says.
fn clock(of: ClockId) -> Duration {
    let at = clock_gettime(of);
    Duration::new(at.tv_sec as u64, at.tv_nsec as u32)
}

/// The time of all threads, and on the wall, of a piece of work.
fn timed<T>(work: impl FnOnce() -> Answer<T>) -> Answer<[Duration; 2]> {
    let (begun, started) = (clock(ClockId::ProcessCPUTime), Instant::now());
    work()?;
    Ok([clock(ClockId::ProcessCPUTime).saturating_sub(begun), started.elapsed()])
}

/// Times of one round.
#[derive(Debug, Default, Clone, Copy)]
struct Round {
    decoding: [Duration; 2],
    following: [Duration; 2],
    players: [Duration; 2],
    both: [Duration; 2],
    /// Of `both`: following and looking for players by themselves, without making the pictures.
    follower: Duration,
    kernel: Duration,
    looked: usize,
}

fn main() -> Answer<()> {
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    let Some(footage) = words.next() else {
        println!("name the footage: cargo bench --bench court -- FOOTAGE");
        return Ok(());
    };
    let media = probe(Path::new(&footage))?;
    let last = media.index.time(media.index.len().min(FRAMES) - 1);
    let frames = media.index.at(last) + 1;
    let cameras = cameras(&media, last)?;
    let mut rounds = Vec::new();
    for _ in 0..ROUNDS {
        rounds.push(round(&media, last, &cameras)?);
    }
    let median = |of: &dyn Fn(&Round) -> Duration| {
        let mut all: Vec<_> = rounds.iter().map(of).collect();
        all.sort();
        all[all.len() / 2].as_secs_f64() * 1e3
    };
    let each = |of: fn(&Round) -> [Duration; 2]| [0, 1].map(|n| median(&|r| of(r)[n]) / frames as f64);
    println!("{frames} frames, {ROUNDS} rounds; milliseconds a frame");
    let decoding = each(|r| r.decoding);
    let tell = |what: &str, [all, wall]: [f64; 2]| {
        let (part, wall_part) = (decoding[0] / all, decoding[1] / wall);
        println!("{what}: {all:.2} ({wall:.2}), speed {part:.2} ({wall_part:.2}) of decoding");
    };
    tell("decoding", decoding);
    tell("decoding and following", each(|r| r.following));
    tell("decoding and players", each(|r| r.players));
    tell("all three", each(|r| r.both));
    println!("following alone: {:.2}", median(&|r| r.follower) / frames as f64);
    let looked = rounds[0].looked.max(1) as f64;
    println!("players alone: {:.2} for each frame looked at ({looked})", median(&|r| r.kernel) / looked);
    Ok(())
}

/// The camera of each frame.
fn cameras(media: &FootageFile, last: MatchTime) -> Answer<Vec<Option<Camera>>> {
    let mut follower = FilmFollower::new(Belief::Sure);
    each_frame(media, (None, Some(last)), &mut |frame, _| {
        if let Some(grey) = grey(&frame) {
            follower.feed(frame.time, Small::of(grey));
        }
        ControlFlow::Continue(())
    })?;
    let camera = |seen: &Seen| match seen {
        Seen::Held { camera, .. } => Some(*camera),
        Seen::No(_) => None,
    };
    Ok(follower.finish().frames().iter().map(|f| camera(&f.seen)).collect())
}

fn round(media: &FootageFile, last: MatchTime, cameras: &[Option<Camera>]) -> Answer<Round> {
    let mut round = Round::default();
    let part = (None, Some(last));
    round.decoding = timed(|| Ok(each_frame(media, part, &mut |_, _| ControlFlow::Continue(()))?))?;
    round.following = timed(|| {
        let mut follower = FilmFollower::new(Belief::Sure);
        each_frame(media, part, &mut |frame, _| {
            follow(&mut follower, &frame, &mut round.follower);
            ControlFlow::Continue(())
        })?;
        Ok(())
    })?;
    let every = (cameras.len() / SAMPLES).max(1);
    let mut samples = Vec::new();
    each_frame(media, part, &mut |frame, _| {
        let camera = cameras.get(frame.index).copied().flatten();
        let camera = camera.filter(|_| frame.index.is_multiple_of(every));
        samples.extend(camera.and_then(|c| Some((c, colour(&frame)?))));
        ControlFlow::Continue(())
    })?;
    let mut players = Players::new(&samples).ok_or("the court is not seen")?;
    let mut looked = (Duration::ZERO, 0);
    round.players = timed(|| {
        Ok(each_frame(media, part, &mut |frame, _| {
            look(&mut players, cameras, &frame, &mut looked);
            ControlFlow::Continue(())
        })?)
    })?;
    (round.kernel, round.looked) = looked;
    round.both = timed(|| {
        let (mut follower, mut spent) = (FilmFollower::new(Belief::Sure), Duration::ZERO);
        Ok(each_frame(media, part, &mut |frame, _| {
            follow(&mut follower, &frame, &mut spent);
            look(&mut players, cameras, &frame, &mut looked);
            ControlFlow::Continue(())
        })?)
    })?;
    Ok(round)
}

/// Follows the court through a frame.
fn follow(follower: &mut FilmFollower, frame: &Frame, spent: &mut Duration) {
    let Some(small) = grey(frame).map(Small::of) else { return };
    let begun = clock(ClockId::ThreadCPUTime);
    follower.feed(frame.time, small);
    *spent += clock(ClockId::ThreadCPUTime).saturating_sub(begun);
}

/// Looks for players in every second frame.
fn look(
    players: &mut Players,
    cameras: &[Option<Camera>],
    frame: &Frame,
    (spent, looked): &mut (Duration, usize),
) {
    let camera = cameras.get(frame.index).copied().flatten();
    let camera = camera.filter(|_| frame.index.is_multiple_of(APART));
    let Some((camera, picture)) = camera.and_then(|c| Some((c, colour(frame)?))) else { return };
    let begun = clock(ClockId::ThreadCPUTime);
    players.feed(frame.time, &camera, &picture);
    *spent += clock(ClockId::ThreadCPUTime).saturating_sub(begun);
    *looked += 1;
}
