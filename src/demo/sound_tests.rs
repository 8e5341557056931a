use super::super::camera::Camera;
use super::super::play::{Wanted, play};
use super::super::stage::Noise;
use super::*;

fn one_strike() -> Sound {
    let mut stage = Stage::default();
    stage.noises.push(Noise { t: 1.0, what: Heard::Strike, at: [0.0, -12.0, 1.0] });
    Sound::new(3, &stage, |_| 34.3)
}

fn rms(s: &[f32]) -> f64 {
    (s.iter().map(|v| f64::from(*v).powi(2)).sum::<f64>() / s.len() as f64).sqrt()
}

#[test]
fn a_strike_is_heard_late_by_its_distance_and_twice() {
    let all = one_strike().samples(0, 2 * RATE as usize);
    let at = |ms: usize| rms(&all[ms * 96..(ms + 4) * 96]);
    let quiet = rms(&all[..RATE as usize]);
    assert!(at(1090) < 3.0 * quiet, "before it arrives");
    assert!(at(1101) > 3.0 * quiet, "{} against {quiet}", at(1101));
    let again = (1148..1185).map(at).fold(0.0, f64::max);
    assert!(again > 1.5 * at(1140), "second peak {again}");
}

#[test]
fn it_does_not_matter_in_which_pieces_it_is_asked_for() {
    let whole = one_strike().samples(0, 96_000);
    let mut pieces = one_strike();
    let mut joined = pieces.samples(0, 50_000);
    joined.extend(pieces.samples(50_000, 46_000));
    let worst = whole.iter().zip(&joined).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    assert!(worst < 1e-6, "{worst}");
}

#[test]
fn decay_is_as_measured() {
    let db = |ms: f64| 20.0 * strike_shape(0.002 + ms / 1000.0, 0.002).log10();
    assert!((-11.5..-8.5).contains(&db(3.4)), "{}", db(3.4));
    assert!((-22.5..-17.5).contains(&db(13.0)), "{}", db(13.0));
}

/// How far each band is over its own background in the first 10 ms of a sound, dB.
fn over_background(window: &[f32], arrives: usize) -> [f64; 6] {
    let ms = RATE as usize / 1000;
    BANDS.map(|middle| {
        // Twice, so that little of the bands beside it is heard.
        let (mut once, mut twice) = (Band::new(middle, RATE), Band::new(middle, RATE));
        let heard: Vec<f32> = window.iter().map(|v| twice.next(once.next(f64::from(*v))) as f32).collect();
        let quiet = rms(&heard[arrives - 150 * ms..arrives - 5 * ms]);
        20.0 * (rms(&heard[arrives..arrives + 10 * ms]) / quiet).log10()
    })
}

/// Sounds with nothing else near them, at the left and right microphones' mean: near strikes, far ones, bounces.
fn sounds_of_a_match() -> [Vec<[f64; 6]>; 3] {
    let m = play(&Wanted { number: 2, games: Some(5), points: None, brisk: true });
    let camera = Camera::behind_the_court(1280.0, 720.0);
    let arrives = |n: &Noise| n.t + camera.distance(n.at) / SPEED;
    let mut sound = Sound::new(2, &m.stage, |at| camera.distance(at));
    let mut found: [Vec<[f64; 6]>; 3] = Default::default();
    for n in &m.stage.noises {
        let kind = match n.what {
            Heard::Strike => usize::from(n.at[1] > 0.0),
            Heard::Bounce => 2,
            _ => continue,
        };
        let t = arrives(n);
        let alone = |o: &Noise| o == n || !(-0.36..0.03).contains(&(arrives(o) - t));
        if t < 1.0 || !m.stage.noises.iter().all(alone) {
            continue;
        }
        let from = ((t - 0.25) * f64::from(RATE)) as u64;
        let both = sound.samples(from, RATE as usize * 3 / 10);
        let mono: Vec<f32> = both.chunks(2).map(|c| f32::midpoint(c[0], c[1])).collect();
        found[kind].push(over_background(&mono, RATE as usize / 4));
    }
    found
}

/// Levels measured on five real recordings with court microphones, dB over background in six octaves from 125 Hz.
#[test]
fn strikes_and_bounces_stand_out_as_measured() {
    let (found, mut wrong) = (sounds_of_a_match(), Vec::new());
    let rows = [("near strike", NEAR, 5.0), ("far strike", FAR, 5.0), ("bounce", BOUNCE, 4.0)];
    for ((name, measured, off), all) in rows.into_iter().zip(&found) {
        let medians: [f64; 6] = std::array::from_fn(|i| {
            let mut levels: Vec<f64> = all.iter().map(|o| o[i]).collect();
            levels.sort_by(f64::total_cmp);
            levels[levels.len() / 2]
        });
        println!("{name}: {medians:.1?} dB, measured {measured:?}, n {}", all.len());
        let close = medians.iter().zip(measured).all(|(got, want)| (got - want).abs() <= off);
        wrong.extend((!close).then(|| format!("{name}: {medians:.1?}, measured {measured:?}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    let strikes: Vec<f64> =
        found[..2].iter().flatten().map(|o| o.iter().copied().fold(f64::MIN, f64::max)).collect();
    let audible = strikes.iter().filter(|s| **s > 9.0).count();
    println!("{audible} of {} strikes more than 9 dB over the background", strikes.len());
    assert!(audible * 100 >= strikes.len() * 95);
}
