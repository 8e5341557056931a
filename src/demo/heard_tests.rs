//! How well strikes are heard in the sound of simulated matches, and what else is taken for one.
//!
//! All of it is synthetic: the match's sound has strikes, bounces and the place; shoes, voices and applause are made
//! here. Real footage is harder.

use super::super::camera::Camera;
use super::super::play::{Wanted, play};
use super::super::stage::Noise;
use super::*;
use crate::time::MatchTime;
use crate::video::{Ear, Strike};

/// How far a strike may be from where it was heard.
const NEAR: f64 = 0.05;

fn heard(mono: impl IntoIterator<Item = f32>) -> Vec<Strike> {
    let mut ear = Ear::new(MatchTime::ZERO);
    ear.hear(mono);
    ear.finish()
}

/// What the microphone of the demo hears, as one channel.
fn mono(sound: &mut Sound, seconds: f64) -> Vec<f32> {
    let both = sound.samples(0, (seconds * f64::from(RATE)) as usize);
    both.chunks(2).map(|c| f32::midpoint(c[0], c[1])).collect()
}

/// Pairs each true moment with the nearest strike heard that is free; the seconds between them.
fn paired(truth: &[f64], found: &[Strike]) -> Vec<f64> {
    let (mut free, mut off): (Vec<f64>, _) = (found.iter().map(|s| s.at.as_secs_f64()).collect(), Vec::new());
    for t in truth {
        let nearest = (0..free.len()).min_by(|a, b| (free[*a] - t).abs().total_cmp(&(free[*b] - t).abs()));
        if let Some(i) = nearest.filter(|i| (free[*i] - t).abs() <= NEAR) {
            off.push(free.remove(i) - t);
        }
    }
    off
}

fn part(sorted: &[f64], part: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * part).round() as usize]
}

#[test]
fn strikes_of_whole_games_are_heard() {
    let (mut all, mut found, mut off) = (0, 0, Vec::new());
    // Not the matches by which the detector was tuned, which were 11 to 15.
    for number in 21..=25 {
        let m =
            play(&Wanted { number, games: Some(2), points: (number == 21).then_some(8), brisk: number > 21 });
        let camera = Camera::behind_the_court(1280.0, 720.0);
        let mut sound = Sound::new(number, &m.stage, |at| camera.distance(at));
        let strikes = heard(mono(&mut sound, m.stage.end));
        let arrive = |n: &Noise| n.t + camera.distance(n.at) / SPEED;
        let truth: Vec<f64> = m.stage.noises.iter().filter(|n| n.what == Heard::Strike).map(arrive).collect();
        let right = paired(&truth, &strikes);
        println!(
            "match {number}: {:.0} s, {} strikes, {} heard, {} of them right",
            m.stage.end,
            truth.len(),
            strikes.len(),
            right.len()
        );
        (all, found) = (all + truth.len(), found + strikes.len());
        off.extend(right);
    }
    let (precision, recall) = (off.len() as f64 / found as f64, off.len() as f64 / all as f64);
    let mut size: Vec<f64> = off.iter().map(|o| o.abs()).collect();
    size.sort_by(f64::total_cmp);
    off.sort_by(f64::total_cmp);
    let (middle, median, worst) = (part(&off, 0.5), part(&size, 0.5), part(&size, 0.95));
    println!(
        "precision {precision:.3}, recall {recall:.3}; late by {middle:.4} s, off by {median:.4} s, 95 % within {worst:.4} s"
    );
    assert!(all > 200, "{all} strikes are too few to tell");
    assert!(precision > 0.92, "precision {precision}");
    assert!(recall > 0.87, "recall {recall}");
    assert!(median < 0.004 && worst < 0.015, "off by {median} s, 95 % within {worst} s");
}

/// A minute of the place with a sound every so often.
fn minute(dice: &mut Dice, every: f64, made: impl Fn(&mut Dice) -> Vec<f32>) -> Vec<f32> {
    let mut all = mono(&mut Sound::new(5, &Stage::default(), |_| 0.0), 60.0);
    let mut t = 1.0;
    while t < 58.0 {
        let from = (t * f64::from(RATE)) as usize;
        for (sum, v) in all[from..].iter_mut().zip(made(dice)) {
            *sum += v;
        }
        t += every * dice.between(0.6, 1.4);
    }
    all
}

/// Noise of so many decibels over the background that rises within `rise` and dies away (to 1/e) in `decay`, seconds.
fn burst(dice: &mut Dice, over: [f64; 6], rise: f64, decay: f64) -> Vec<f32> {
    let levels = std::array::from_fn(|i| BACKGROUND[i] * gain(on_top(over[i])) * 1.6);
    let mut made = noise(dice, levels, ((rise + 6.0 * decay) * f64::from(RATE)) as usize);
    for (i, v) in made.iter_mut().enumerate() {
        let t = i as f64 / f64::from(RATE);
        *v *= ((t / rise).min(1.0) * (-(t - rise).max(0.0) / decay).exp()) as f32;
    }
    made
}

/// A tone of so many hertz over all that it is made of, with the same shape.
fn tone(pitch: f64, harmonics: u32, level: f64, rise: f64, decay: f64) -> Vec<f32> {
    let samples = ((rise + 6.0 * decay) * f64::from(RATE)) as usize;
    let at = |i: usize| {
        let t = i as f64 / f64::from(RATE);
        let sum: f64 = (1..=harmonics)
            .map(|h| (std::f64::consts::TAU * pitch * f64::from(h) * t).sin() / f64::from(h))
            .sum();
        (sum * level * (t / rise).min(1.0) * (-(t - rise).max(0.0) / decay).exp()) as f32
    };
    (0..samples).map(at).collect()
}

/// A syllable: a consonant, then a vowel, 12 dB over the background where voices are loudest.
fn syllable(dice: &mut Dice) -> Vec<f32> {
    let mut made = burst(dice, [2.0, 1.0, 4.0, 6.0, 8.0, 8.0], 0.008, 0.02);
    let vowel = tone(dice.between(110.0, 240.0), 20, dice.between(0.01, 0.03), 0.02, 0.097);
    made.resize(made.len().max(vowel.len()), 0.0);
    for (sum, v) in made.iter_mut().zip(vowel) {
        *sum += v;
    }
    made
}

#[test]
fn few_strikes_are_heard_where_there_are_none() {
    let mut dice = Dice::new(9, 7);
    let mut counts = Vec::new();
    let mut listen = |what: &'static str, allowed: usize, sound: Vec<f32>| {
        let n = heard(sound).len();
        println!("{what}: {n} taken for strikes in a minute");
        counts.push((what, n, allowed));
    };
    let nothing = |_: &mut Dice| Vec::new();
    listen("silence", 0, vec![0.0; RATE as usize * 60]);
    listen("the place", 0, minute(&mut dice, 1.0, nothing));
    listen("bounces", 4, minute(&mut dice, 0.8, bounce));
    listen("feet", 10, minute(&mut dice, 0.8, |d| burst(d, [4.0, 7.0, 12.0, 9.0, 12.0, 10.0], 0.003, 0.006)));
    listen("squeaks", 4, minute(&mut dice, 0.8, |d| tone(d.between(2300.0, 4500.0), 1, 0.005, 0.004, 0.059)));
    listen("voices", 4, minute(&mut dice, 0.25, syllable));
    listen(
        "applause",
        4,
        minute(&mut dice, 0.02, |d| {
            let over = d.between(6.0, 14.0);
            burst(d, [over - 6.0, over, over, over, over, over - 3.0], 0.001, 0.006)
        }),
    );
    let wrong: Vec<_> = counts.iter().filter(|(_, n, allowed)| n > allowed).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}
