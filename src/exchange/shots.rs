//! Shots as they stand in a cell: words with blanks between them, shots with ` / ` between them; a shot of which nothing was seen
//! is `?`. The words are those of the court pad's keys and of the record.

use std::fmt::Write;

use crate::near::Allowed;
use crate::record::{Place, Shot};
use crate::tennis::stroke::{Cell, Column, Depth, FaultKind, Pace, Row, Spin, Stroke, VolleyKind, Wing};

/// Cells by the names of the pad's keys; of a serve, the thirds of its box.
const CELLS: [(&str, Cell); 12] = [
    ("up-left", cell(Column::Left, Some(Row::Up))),
    ("up", cell(Column::Middle, Some(Row::Up))),
    ("up-right", cell(Column::Right, Some(Row::Up))),
    ("left", cell(Column::Left, Some(Row::Middle))),
    ("middle", cell(Column::Middle, Some(Row::Middle))),
    ("right", cell(Column::Right, Some(Row::Middle))),
    ("down-left", cell(Column::Left, Some(Row::Down))),
    ("down", cell(Column::Middle, Some(Row::Down))),
    ("down-right", cell(Column::Right, Some(Row::Down))),
    ("left-third", cell(Column::Left, None)),
    ("middle-third", cell(Column::Middle, None)),
    ("right-third", cell(Column::Right, None)),
];
const STROKES: [(&str, Stroke); 5] = [
    ("groundstroke", Stroke::Groundstroke),
    ("volley", Stroke::Volley),
    ("overhead", Stroke::Overhead),
    ("lob", Stroke::Lob),
    ("drop-shot", Stroke::DropShot),
];
const VOLLEYS: [(&str, VolleyKind); 2] =
    [("half-volley", VolleyKind::Half), ("swinging-volley", VolleyKind::Swinging)];
const WINGS: [(&str, Wing); 2] = [("forehand", Wing::Forehand), ("backhand", Wing::Backhand)];
const FAULTS: [(&str, FaultKind); 4] = [
    ("fault:net", FaultKind::Net),
    ("fault:long", FaultKind::Long),
    ("fault:wide", FaultKind::Wide),
    ("fault:foot", FaultKind::Foot),
];
const NOTED: [&str; 3] = ["approach", "at-net", "net-cord"];
/// What stands before a place or a time.
const MEASURED: [&str; 5] = ["aim:", "landed-at:", "aimed-at:", "players-at:", "time:"];

const fn cell(column: Column, row: Option<Row>) -> Cell {
    Cell { column, row }
}

fn word_of<T: PartialEq>(words: &[(&'static str, T)], value: Option<T>) -> Option<&'static str> {
    value.and_then(|v| words.iter().find(|(_, other)| *other == v)).map(|(word, _)| *word)
}

/// The cell of shots; empty when there is none.
pub fn shots_words(shots: &[Shot]) -> String {
    shots.iter().map(one).collect::<Vec<_>>().join(" / ")
}

fn one(shot: &Shot) -> String {
    let noted = [shot.approach, shot.at_net, shot.net_cord];
    // A half or swinging volley says that it is a volley.
    let plain = shot.stroke.filter(|s| *s != Stroke::Volley || shot.volley.is_none());
    let words = [
        word_of(&WINGS, shot.wing),
        word_of(&Spin::WORDS, shot.spin),
        word_of(&Pace::WORDS, shot.pace),
        word_of(&STROKES, plain),
        word_of(&VOLLEYS, shot.volley),
        word_of(&CELLS, shot.cell),
        word_of(&Depth::WORDS, shot.depth),
        word_of(&FAULTS, shot.fault),
    ];
    let noted = NOTED.into_iter().zip(noted).filter(|(_, is)| *is).map(|(word, _)| word);
    let mut text = words.into_iter().flatten().chain(noted).collect::<Vec<_>>().join(" ");
    let at = |p: Place| format!("{},{}", p.x_mm, p.y_mm);
    let measured = [
        word_of(&CELLS, shot.aim).map(str::to_owned),
        shot.landing.map(at),
        shot.aim_place.map(at),
        shot.players.map(|[a, b]| format!("{},{}", at(a), at(b))),
        shot.at.map(|t| t.to_string()),
    ];
    for (name, value) in MEASURED.into_iter().zip(measured) {
        if let Some(value) = value {
            // Writing to a text cannot fail.
            let _ = write!(text, " {name}{value}");
        }
    }
    let text = text.trim();
    if text.is_empty() { "?".into() } else { text.into() }
}

/// The shots of a cell.
///
/// # Errors
/// The word that is none, and what is allowed.
pub fn shots(text: &str) -> Result<Vec<Shot>, (String, Allowed)> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    text.split('/').map(|words| words.split_whitespace().try_fold(Shot::default(), read)).collect()
}

fn read(mut shot: Shot, word: &str) -> Result<Shot, (String, Allowed)> {
    let lower = word.to_ascii_lowercase();
    if lower == "?" || plain(&mut shot, &lower) || measured(&mut shot, &lower).is_some() {
        return Ok(shot);
    }
    let names = |words: &mut dyn Iterator<Item = &'static str>| words.collect::<Vec<_>>();
    let mut all = names(&mut WINGS.iter().map(|w| w.0));
    all.extend(Spin::WORDS.iter().map(|w| w.0).chain(Pace::WORDS.iter().map(|w| w.0)));
    all.extend(STROKES.iter().map(|w| w.0).chain(VOLLEYS.iter().map(|w| w.0)));
    all.extend(CELLS.iter().map(|w| w.0).chain(Depth::WORDS.iter().map(|w| w.0)));
    all.extend(FAULTS.iter().map(|w| w.0).chain(NOTED).chain(MEASURED).chain(["?"]));
    Err((word.to_owned(), Allowed::of(&lower, all)))
}

fn find<T: Copy>(words: &[(&str, T)], word: &str) -> Option<T> {
    words.iter().find(|(other, _)| *other == word).map(|(_, value)| *value)
}

/// Takes a word that stands by itself.
fn plain(shot: &mut Shot, word: &str) -> bool {
    fn take<T: Copy>(into: &mut Option<T>, words: &[(&str, T)], word: &str) -> bool {
        let found = find(words, word);
        *into = found.or(*into);
        found.is_some()
    }
    match word {
        "approach" => shot.approach = true,
        "at-net" => shot.at_net = true,
        "net-cord" => shot.net_cord = true,
        word => {
            let volley = take(&mut shot.volley, &VOLLEYS, word);
            if volley {
                shot.stroke = Some(Stroke::Volley);
            }
            return volley
                || take(&mut shot.wing, &WINGS, word)
                || take(&mut shot.spin, &Spin::WORDS, word)
                || take(&mut shot.pace, &Pace::WORDS, word)
                || take(&mut shot.stroke, &STROKES, word)
                || take(&mut shot.cell, &CELLS, word)
                || take(&mut shot.depth, &Depth::WORDS, word)
                || take(&mut shot.fault, &FAULTS, word);
        }
    }
    true
}

/// Takes a word with a value behind a colon.
fn measured(shot: &mut Shot, word: &str) -> Option<()> {
    let (name, value) = word.split_once(':')?;
    let numbers = || value.split(',').map(|n| n.parse::<i32>().ok()).collect::<Option<Vec<i32>>>();
    let place = || match numbers()?[..] {
        [x_mm, y_mm] => Some(Place { x_mm, y_mm }),
        _ => None,
    };
    match name {
        "aim" => shot.aim = Some(find(&CELLS, value)?),
        "landed-at" => shot.landing = Some(place()?),
        "aimed-at" => shot.aim_place = Some(place()?),
        "players-at" => {
            let [a_x, a_y, b_x, b_y] = numbers()?[..] else { return None };
            shot.players = Some([Place { x_mm: a_x, y_mm: a_y }, Place { x_mm: b_x, y_mm: b_y }]);
        }
        "time" => shot.at = Some(value.parse().ok()?),
        _ => return None,
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::time::MatchTime;

    fn any_cell() -> impl Strategy<Value = Option<Cell>> {
        prop::option::of(prop::sample::select(CELLS.map(|c| c.1).to_vec()))
    }

    fn of<T: Copy + std::fmt::Debug + 'static>(
        words: &[(&str, T)],
    ) -> impl Strategy<Value = Option<T>> + use<T> {
        prop::option::of(prop::sample::select(words.iter().map(|w| w.1).collect::<Vec<_>>()))
    }

    fn any_place() -> impl Strategy<Value = Place> {
        (-20_000..20_000, -20_000..20_000).prop_map(|(x_mm, y_mm)| Place { x_mm, y_mm })
    }

    /// Any shot; a kind of volley only of a volley.
    pub(crate) fn any_shot() -> impl Strategy<Value = Shot> {
        let words = (of(&STROKES), of(&VOLLEYS), of(&WINGS), of(&Spin::WORDS), of(&Pace::WORDS));
        let seen = (any_cell(), any_cell(), of(&Depth::WORDS), of(&FAULTS), any::<[bool; 3]>());
        let places = (
            prop::option::of(any_place()),
            prop::option::of(any_place()),
            prop::option::of([any_place(), any_place()]),
            prop::option::of(0..10_000_000_000_u64),
        );
        (words, seen, places).prop_map(|(words, seen, places)| {
            let (stroke, volley, wing, spin, pace) = words;
            let (cell, aim, depth, fault, [approach, at_net, net_cord]) = seen;
            let (landing, aim_place, players, nanos) = places;
            let volley = volley.filter(|_| stroke == Some(Stroke::Volley));
            let at = nanos.map(MatchTime::from_nanos);
            let noted = Shot { approach, at_net, net_cord, ..Shot::default() };
            Shot {
                at,
                stroke,
                volley,
                wing,
                spin,
                pace,
                cell,
                depth,
                landing,
                aim,
                aim_place,
                fault,
                players,
                ..noted
            }
        })
    }

    #[test]
    fn a_rally_as_it_is_written() {
        let rally =
            "fast left-third / backhand slice down-left / forehand half-volley at-net aim:up-right / ?";
        assert_eq!(shots_words(&shots(rally).unwrap()), rally);
        assert_eq!(shots("").unwrap(), []);
        let (word, allowed) = shots("left-third / forhand up").unwrap_err();
        assert_eq!(word, "forhand");
        assert!(allowed.to_string().ends_with("did you mean \"forehand\"?"), "{allowed}");
        assert!(shots("aim:nowhere").is_err() && shots("landed-at:1").is_err());
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_again(all in prop::collection::vec(any_shot(), 0..6)) {
            prop_assert_eq!(shots(&shots_words(&all)).unwrap(), all);
        }

        #[test]
        fn no_text_makes_it_panic(text in ".{0,60}") {
            let _ = shots(&text);
        }
    }
}
