//! From a simulated match to files: which frames there are, their pictures and their sound.

use std::ops::ControlFlow;
use std::path::Path;

use super::camera::Camera;
use super::camera_truth::CameraTruth;
use super::camera_work::{CameraWork, Filming};
use super::dice::Dice;
use super::edited;
use super::play::{self, A_STARTS, FIRST_SERVER, Match, RULES, Wanted};
use super::shoot::{Reel, Scene, moments, shoot};
use super::sound::Sound;
use super::truth::{FORMAT, File, Player, Truth};
use super::wish::{Demo, DemoError, check};
use crate::system::writing;
use crate::time::MatchTime;
use crate::video::partial;

/// The name of the truth file.
const TRUTH: &str = "holt-okafor.truth.json";
/// The name of the file that says where the camera was in each frame, if it moves.
const CAMERAS: &str = "holt-okafor.cameras.jsonl";

/// A match played and cut into files, ready to be drawn.
struct Plan {
    game: Match,
    reels: Vec<Reel>,
    truth: Truth,
}

/// The truth of the footage without making it.
///
/// # Errors
/// [`DemoError::Wish`] for what cannot be met.
pub fn truth(demo: &Demo) -> Result<Truth, DemoError> {
    Ok(plan(demo)?.truth)
}

/// What is told after each frame: how many frames are done, and how many there are. The answer is whether to go on.
pub type Progress<'a> = dyn FnMut(u64, u64) -> ControlFlow<()> + 'a;

/// Makes footage and its truth file in a folder, which is created when needed. `progress` hears the number of
/// frames done and of all.
///
/// # Errors
/// [`DemoError`], with nothing half-written left.
pub fn make(demo: &Demo, folder: &Path, progress: &mut dyn FnMut(u64, u64)) -> Result<Truth, DemoError> {
    make_unless_stopped(demo, folder, &mut |done, all| {
        progress(done, all);
        ControlFlow::Continue(())
    })
}

/// As [`make`], until `progress` says that it is enough.
///
/// # Errors
/// [`DemoError`], with nothing half-written left; [`DemoError::Stopped`] when it was enough.
pub fn make_unless_stopped(
    demo: &Demo,
    folder: &Path,
    progress: &mut Progress<'_>,
) -> Result<Truth, DemoError> {
    film(demo, plan(demo)?, folder, progress)
}

fn unwritable(path: &Path, e: &std::io::Error) -> DemoError {
    DemoError::Write { path: path.to_owned(), reason: writing(e).to_string() }
}

fn film(demo: &Demo, plan: Plan, folder: &Path, progress: &mut Progress<'_>) -> Result<Truth, DemoError> {
    let Plan { game, reels, truth } = plan;
    let moves = demo.camera != CameraWork::Still;
    let others = if moves { &[TRUTH, CAMERAS][..] } else { &[TRUTH] };
    nothing_there(&truth.files, others, folder)?;
    let cameras = shoot_all(demo, std::slice::from_ref(&game), &reels, &truth.files, folder, progress)?;
    write_json(&truth, &folder.join(TRUTH))?;
    if moves {
        write(&folder.join(CAMERAS), &cameras)?;
    }
    Ok(truth)
}

/// Shoots all files of these matches; gives what the camera did in the first match.
pub(super) fn shoot_all(
    demo: &Demo,
    games: &[Match],
    reels: &[Reel],
    files: &[File],
    folder: &Path,
    progress: &mut Progress<'_>,
) -> Result<String, DemoError> {
    std::fs::create_dir_all(folder).map_err(|e| unwritable(folder, &e))?;
    let camera = Camera::behind_the_court(f64::from(demo.width), f64::from(demo.height));
    let numbered = games.iter().zip(0_u64..);
    let mut scenes: Vec<Scene<'_>> =
        numbered.map(|(game, i)| scene(demo, game, demo.number.wrapping_add(i), &camera)).collect();
    let total = files.iter().map(|f| f.frames).sum();
    let mut done = 0;
    for (reel, file) in reels.iter().zip(files) {
        for scene in &mut scenes {
            scene.filming.begin(&file.name);
        }
        shoot(demo, &mut scenes, reel, &folder.join(&file.name), &mut || {
            done += 1;
            progress(done, total)
        })?;
    }
    Ok(scenes.first().map(|s| s.filming.lines().to_owned()).unwrap_or_default())
}

fn scene<'a>(demo: &Demo, game: &'a Match, number: u64, camera: &Camera) -> Scene<'a> {
    let filming = Filming::new(demo.camera, game, demo.width, demo.height);
    let sound = Sound::new(number, &game.stage, |at| camera.distance(at));
    Scene { game, sound, filming: CameraTruth::new(filming) }
}

/// Writes a truth file.
pub(super) fn write_json(truth: &impl serde::Serialize, path: &Path) -> Result<(), DemoError> {
    let text = serde_json::to_string_pretty(truth).map_err(|e| unwritable(path, &e.into()))?;
    write(path, &format!("{text}\n"))
}

/// Refuses a folder in which one of the files would take another one's place.
pub(super) fn nothing_there(files: &[File], others: &[&str], folder: &Path) -> Result<(), DemoError> {
    let names = files.iter().map(|f| f.name.as_str()).chain(others.iter().copied());
    let there = names.map(|name| folder.join(name)).find(|path| path.symlink_metadata().is_ok());
    there.map_or(Ok(()), |path| Err(DemoError::There { path }))
}

fn write(path: &Path, text: &str) -> Result<(), DemoError> {
    let mut file = partial(path).map_err(|e| unwritable(path, &e))?;
    std::io::Write::write_all(&mut file, text.as_bytes()).map_err(|e| unwritable(path, &e))?;
    file.persist_noclobber(path).map_err(|e| match e.error.kind() {
        std::io::ErrorKind::AlreadyExists => DemoError::There { path: path.to_owned() },
        _ => unwritable(path, &e.error),
    })?;
    Ok(())
}

fn plan(demo: &Demo) -> Result<Plan, DemoError> {
    check(demo)?;
    let wanted = Wanted { number: demo.number, games: demo.games, points: demo.points, brisk: demo.brisk };
    let game = play::play(&wanted);
    let most = game.points.len() as u32;
    if demo.files == 0 || demo.files > most {
        return Err(DemoError::Wish {
            what: format!("{} points in {} files", most, demo.files),
            allowed: format!("files are cut between points: 1 to {most} are allowed"),
        });
    }
    let reels = reels(demo, &game);
    let truth = Truth {
        format: FORMAT.to_owned(),
        version: 1,
        number: demo.number,
        brisk: demo.brisk,
        players: players(),
        rules: RULES,
        first_server: FIRST_SERVER,
        a_starts: A_STARTS,
        files: reels.iter().enumerate().map(|(i, r)| file_of_match(demo, i, r)).collect(),
        cuts: reels.iter().flat_map(|r| edited::cuts(&r.pieces)).collect(),
        points: match reels.first() {
            Some(reel) if demo.cut => edited::points(&game, &reel.pieces),
            _ => game.points.clone(),
        },
    };
    Ok(Plan { game, reels, truth })
}

fn players() -> [Player; 2] {
    let player = |name: &str, shirt: &str| Player {
        name: name.to_owned(),
        hand: "right".to_owned(),
        shirt: shirt.to_owned(),
    };
    [player("Holt", "plain blue"), player("Okafor", "orange with white stripes")]
}

/// The name of a file; with its number, from 1, if there are several.
pub(super) fn name(demo: &Demo, name: &str, number: Option<usize>) -> String {
    let kind = if demo.webm { "webm" } else { "mp4" };
    number.map_or_else(|| format!("{name}.{kind}"), |n| format!("{name}-{n}.{kind}"))
}

fn file_of_match(demo: &Demo, index: usize, reel: &Reel) -> File {
    file(demo, &name(demo, "holt-okafor", (demo.files > 1).then_some(index + 1)), reel)
}

/// What is known of a file before it is made.
pub(super) fn file(demo: &Demo, name: &str, reel: &Reel) -> File {
    File {
        name: name.to_owned(),
        start: MatchTime::from_nanos(reel.start),
        end: MatchTime::from_nanos(reel.start + reel.moments.last().copied().unwrap_or(0)),
        frames: reel.moments.len().saturating_sub(1) as u64,
        rate: demo.rate,
        width: demo.width,
        height: demo.height,
        rotation: demo.rotation,
    }
}

/// Cuts the match into files in the middle of dead time. Between two files the camera is off for a moment, as when
/// a person restarts it.
fn reels(demo: &Demo, game: &Match) -> Vec<Reel> {
    let nanos = |seconds: f64| (seconds * 1000.0).round() as u64 * 1_000_000;
    let off = if demo.brisk { 0.15 } else { 1.0 };
    let cuts: Vec<f64> = (1..demo.files as usize)
        .filter_map(|i| game.pauses.get((i * game.points.len() / demo.files as usize).max(1) - 1).copied())
        .collect();
    let starts = std::iter::once(0).chain(cuts.iter().map(|c| nanos(c + off)));
    let ends = cuts.iter().map(|c| nanos(c - off)).chain(std::iter::once(nanos(game.stage.end)));
    let mut dice = Dice::new(demo.number, 2);
    starts
        .zip(ends)
        .map(|(start, end)| {
            let mut moments = moments(demo.rate, end.saturating_sub(start), &mut dice);
            let pieces = if demo.cut { edited::pieces(game, &mut moments) } else { Vec::new() };
            Reel { start, moments, pieces }
        })
        .collect()
}

#[cfg(test)]
#[path = "film_tests.rs"]
mod tests;
