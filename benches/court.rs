//! What the court and the players cost beside decoding, on one core if the program is held to one: `taskset -c 0 cargo bench --bench court
//! --no-default-features --features video -- FOOTAGE`.
//!
//! Times are those of the processor, of all threads of the program, so that other work on the machine hardly counts; in brackets what a
//! clock on the wall says. In each round the footage is decoded into pictures for a screen; decoded and no more; decoded and followed; decoded and searched for players; and all three. Players are looked for in every second frame of all; the window does so near strikes only. Prints the milliseconds a frame (median of the rounds) and the ratios.

use std::error::Error;
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use rustix::time::{ClockId, clock_gettime};

use changeover::find::{Belief, FilmFollower, Players, Seen};
use changeover::frames::FootageFile;
use changeover::measure::Camera;
use changeover::session::seeing::{colour, small};
use changeover::time::MatchTime;
use changeover::video::{Planes, each_frame, each_planes, probe};

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
    shown: [Duration; 2],
    decoding: [Duration; 2],
    following: [Duration; 2],
    players: [Duration; 2],
    both: [Duration; 2],
    /// Of `both`: following and looking for players by themselves, without making the pictures.
    follower: Duration,
    /// The court without players, of all samples.
    empty: Duration,
    kernel: Duration,
    /// Making small pictures for the kernel.
    making: Duration,
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
    let (shown, decoding) = (each(|r| r.shown), each(|r| r.decoding));
    let tell = |what: &str, all: [f64; 2]| {
        let speed = |of: [f64; 2]| format!("{:.2} ({:.2})", of[0] / all[0], of[1] / all[1]);
        let (spent, wall) = (all[0], all[1]);
        println!(
            "{what}: {spent:.2} ({wall:.2}), speed {} of that for a screen, {} of that alone",
            speed(shown),
            speed(decoding)
        );
    };
    tell("decoding for a screen, as in playing", shown);
    tell("decoding alone", decoding);
    tell("decoding and following", each(|r| r.following));
    tell("decoding and players", each(|r| r.players));
    tell("all three", each(|r| r.both));
    println!("following alone: {:.2}", median(&|r| r.follower) / frames as f64);
    println!("the court without players: {:.0} for each point", median(&|r| r.empty));
    let looked = rounds[0].looked.max(1) as f64;
    println!("players alone: {:.2} for each frame looked at ({looked})", median(&|r| r.kernel) / looked);
    println!("small pictures for that: {:.2}", median(&|r| r.making) / looked);
    Ok(())
}

/// The camera of each frame.
fn cameras(media: &FootageFile, last: MatchTime) -> Answer<Vec<Option<Camera>>> {
    let mut follower = FilmFollower::new(Belief::Sure);
    each_planes(media, (None, Some(last)), &mut |frame, _| {
        if let Some(small) = small(&frame) {
            follower.feed(frame.time(), small);
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
    round.shown = timed(|| Ok(each_frame(media, part, &mut |_, _| ControlFlow::Continue(()))?))?;
    round.decoding = timed(|| Ok(each_planes(media, part, &mut |_, _| ControlFlow::Continue(()))?))?;
    round.following = timed(|| {
        let mut follower = FilmFollower::new(Belief::Sure);
        each_planes(media, part, &mut |frame, _| {
            follow(&mut follower, &frame, &mut round.follower);
            ControlFlow::Continue(())
        })?;
        Ok(())
    })?;
    let every = (cameras.len() / SAMPLES).max(1);
    let mut samples = Vec::new();
    each_planes(media, part, &mut |frame, _| {
        let camera = cameras.get(frame.index()).copied().flatten();
        let camera = camera.filter(|_| frame.index().is_multiple_of(every));
        samples.extend(camera.and_then(|c| Some((c, Arc::new(colour(&frame)?)))));
        ControlFlow::Continue(())
    })?;
    let begun = clock(ClockId::ThreadCPUTime);
    let looks: Vec<_> = cameras.iter().copied().flatten().collect();
    let mut players = Players::new(&samples, &looks).ok_or("the court is not seen")?;
    round.empty = clock(ClockId::ThreadCPUTime).saturating_sub(begun);
    let mut looked = (Duration::ZERO, Duration::ZERO, 0);
    round.players = timed(|| {
        Ok(each_planes(media, part, &mut |frame, _| {
            look(&mut players, cameras, &frame, &mut looked);
            ControlFlow::Continue(())
        })?)
    })?;
    (round.kernel, round.making, round.looked) = looked;
    round.both = timed(|| {
        let (mut follower, mut spent) = (FilmFollower::new(Belief::Sure), Duration::ZERO);
        Ok(each_planes(media, part, &mut |frame, _| {
            follow(&mut follower, &frame, &mut spent);
            look(&mut players, cameras, &frame, &mut looked);
            ControlFlow::Continue(())
        })?)
    })?;
    Ok(round)
}

/// Follows the court through a frame.
fn follow(follower: &mut FilmFollower, frame: &Planes, spent: &mut Duration) {
    let Some(small) = small(frame) else { return };
    let begun = clock(ClockId::ThreadCPUTime);
    follower.feed(frame.time(), small);
    *spent += clock(ClockId::ThreadCPUTime).saturating_sub(begun);
}

/// Looks for players in every second frame.
fn look(
    players: &mut Players,
    cameras: &[Option<Camera>],
    frame: &Planes,
    (spent, making, looked): &mut (Duration, Duration, usize),
) {
    let camera = cameras.get(frame.index()).copied().flatten();
    let camera = camera.filter(|_| frame.index().is_multiple_of(APART));
    let Some(camera) = camera else { return };
    let begun = clock(ClockId::ThreadCPUTime);
    let Some(picture) = colour(frame) else { return };
    *making += clock(ClockId::ThreadCPUTime).saturating_sub(begun);
    let begun = clock(ClockId::ThreadCPUTime);
    players.feed(frame.time(), &camera, &picture);
    *spent += clock(ClockId::ThreadCPUTime).saturating_sub(begun);
    *looked += 1;
}
