//! The whole chain on demo footage, as the window does it: the court found by itself in one frame, followed from there, the players
//! proposed at every strike and all accepted. Then the positions, and the conditions that follow from them, are compared with the truth.
#![cfg(feature = "video")]
#![expect(clippy::unwrap_used, reason = "helpers of tests fail by panicking")]

mod clicked;
mod conditions;
mod filmed;
mod places;

use changeover::demo::CameraWork;

use conditions::Conditions;
use filmed::{Film, Stored, Wish};
use places::Table;

const WORKS: [CameraWork; 4] = [CameraWork::Tripod, CameraWork::Pan, CameraWork::Hand, CameraWork::Broadcast];

/// One short film of a camera that moves.
#[test]
fn conditions_of_a_drop_shot_from_positions_found_by_themselves_are_the_truth_or_unknown() {
    let film = Film::of(&Wish {
        number: 1,
        work: CameraWork::Pan,
        wide: 640,
        games: None,
        points: Some(3),
        stored: Stored::Upright,
    });
    let found = film.searched();
    let table = Table::of(&film, &found);
    println!("{table}");
    assert!(table.all() >= 20 && table.is_found(), "{table}");
    let conditions = Conditions::of(&film, &found);
    println!("{conditions}");
    assert!(conditions.equal() >= 10 && conditions.wrong() == 0, "{conditions}");
}

/// A frame is shown upright in square pixels, however it is stored; the court and positions are those of that picture.
#[test]
fn footage_that_is_stored_turned_or_squeezed_is_measured_as_it_is_shown() {
    for stored in [Stored::Turned, Stored::Squeezed] {
        let wish =
            Wish { number: 1, work: CameraWork::Tripod, wide: 640, games: None, points: Some(2), stored };
        let film = Film::of(&wish);
        let off = film.court_off();
        let table = Table::of(&film, &film.searched());
        println!("court off by {off:.2} px\n{table}");
        assert!(off < 2.0, "{off}");
        // Of five strikes one is a fifth: the goals are for whole games.
        assert!(table.all() >= 10 && table.found_within(0.8) >= 0.9, "{table}");
    }
}

/// Four cameras in two sizes, several games each. `CHAIN_FILMS` is a folder in which the films are kept, `CHAIN_GAMES` how many games they
/// have, `CHAIN_MATCH` the number of the match they are made from, `CHAIN_ONLY` a word of the only camera, and `CHAIN_ROUNDS` how often
/// the time that it takes is measured beside decoding alone.
#[test]
#[ignore = "an hour unless it is optimised: cargo test --release --no-default-features --features video --test chain -- --ignored --nocapture"]
fn the_table_of_all_cameras() {
    let asked = |name: &str| std::env::var(name).ok();
    let games = asked("CHAIN_GAMES").and_then(|n| n.parse().ok()).unwrap_or(3);
    let number = asked("CHAIN_MATCH").and_then(|n| n.parse().ok()).unwrap_or(1);
    let rounds = asked("CHAIN_ROUNDS").and_then(|n| n.parse().ok()).unwrap_or(1);
    let only = asked("CHAIN_ONLY").unwrap_or_default();
    let mut missed = Vec::new();
    for wide in [1280, 640] {
        for work in WORKS.into_iter().filter(|w| format!("{w:?} {wide}").contains(&only)) {
            let wish = Wish { number, work, wide, games: Some(games), points: None, stored: Stored::Upright };
            let film = Film::of(&wish);
            let found = film.searched();
            let (table, conditions) = (Table::of(&film, &found), Conditions::of(&film, &found));
            println!("{work:?}, {wide} wide\n{table}\n{conditions}");
            // In turn, for the machine does not stay as quick as it was.
            for _ in 0..rounds {
                let (all, looking) = (film.decoding(), film.looking(&found));
                let ratio = all.as_secs_f64() / looking.as_secs_f64();
                println!(
                    "looking for players in all points {looking:.1?}, decoding the film {all:.1?}: {ratio:.2}"
                );
            }
            if !table.is_good() || !conditions.are_good() {
                missed.push((work, wide));
            }
        }
    }
    assert!(missed.is_empty(), "{missed:?}");
}
