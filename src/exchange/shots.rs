//! Shots as they stand in a cell: words with blanks between them, shots with ` / ` between them; a shot of which nothing was seen
//! is `?`. The words are those of the court pad's keys and of the record.

use std::fmt::Write;

use crate::near::Allowed;
use crate::record::{Dot, FoundBy, Measured, Place, Position, Px, Shot, Touch};
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
const FOUND: [(&str, FoundBy); 3] =
    [("hand", FoundBy::Hand), ("found", FoundBy::Found), ("checked", FoundBy::Checked)];
/// What stands before a place or a time.
const MEASURED: [&str; 6] = ["aim:", "landed-at:", "aimed-at:", "players-at:", "time:", "seen:"];

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
    for position in &shot.positions {
        let _ = write!(text, " seen:{}", seen_words(position));
    }
    let text = text.trim();
    if text.is_empty() { "?".into() } else { text.into() }
}

/// What touched the ground, the pixel, the frame, and who found it; then, if it is stored, the place and its error.
fn seen_words(seen: &Position) -> String {
    let of = word_of(&Touch::WORDS, Some(seen.of)).unwrap_or_default();
    let by = word_of(&FOUND, Some(seen.by)).unwrap_or_default();
    let mut text = format!("{of},{},{},{},{by}", seen.at.x.pixels(), seen.at.y.pixels(), seen.frame);
    if let Some(Measured { place: Place { x_mm, y_mm }, spread_mm2: [xx, xy, yy] }) = seen.measured {
        let _ = write!(text, ",{x_mm},{y_mm},{xx},{xy},{yy}");
    }
    text
}

fn seen(words: &str) -> Option<Position> {
    let words: Vec<&str> = words.split(',').collect();
    let [of, x, y, frame, by, place @ ..] = &words[..] else { return None };
    let px = |text: &str| text.parse::<f64>().ok().filter(|v| v.abs() <= Px::FARTHEST).map(Px::new);
    let measured = match place {
        [] => None,
        [x_mm, y_mm, spread @ ..] => {
            let spread_mm2 = [spread.first()?, spread.get(1)?, spread.get(2)?].map(|v| v.parse::<i64>().ok());
            let [Some(xx), Some(xy), Some(yy)] = spread_mm2 else { return None };
            let place = Place { x_mm: x_mm.parse().ok()?, y_mm: y_mm.parse().ok()? };
            (spread.len() == 3).then_some(Measured { place, spread_mm2: [xx, xy, yy] }).map(Some)?
        }
        [_] => return None,
    };
    Some(Position {
        of: find(&Touch::WORDS, of)?,
        frame: frame.parse().ok()?,
        at: Dot { x: px(x)?, y: px(y)? },
        by: find(&FOUND, by)?,
        measured,
    })
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
        "seen" => shot.positions.push(seen(value)?),
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

    fn any_position() -> impl Strategy<Value = Position> {
        let measured = prop::option::of((any_place(), 0..9_000_000_i64, 0..9_000_000_i64, -5..5_i64));
        let pixel = (-100.0..5_000.0, -100.0..3_000.0);
        (of(&Touch::WORDS), of(&FOUND), pixel, 0..10_000_000_000_u64, measured).prop_map(
            |(of, by, (x, y), nanos, measured)| Position {
                of: of.unwrap_or(Touch::Ball),
                frame: MatchTime::from_nanos(nanos),
                at: Dot { x: Px::new(x), y: Px::new(y) },
                by: by.unwrap_or_default(),
                measured: measured.map(|(place, xx, yy, xy)| Measured { place, spread_mm2: [xx, xy, yy] }),
            },
        )
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
            prop::collection::vec(any_position(), 0..3),
        );
        (words, seen, places).prop_map(|(words, seen, places)| {
            let (stroke, volley, wing, spin, pace) = words;
            let (cell, aim, depth, fault, [approach, at_net, net_cord]) = seen;
            let (landing, aim_place, players, nanos, positions) = places;
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
                positions,
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
        assert_eq!(
            shots_words(
                &shots("seen:b2,640.254,7,00:00:09.500,found / seen:ball,1,2,3,hand,4,5,6,7,8").unwrap()
            ),
            "seen:b2,640.25,7,00:00:09.500,found / seen:ball,1,2,00:00:03.000,hand,4,5,6,7,8"
        );
        assert!(shots("seen:c,1,2,3,hand").is_err() && shots("seen:a,1,2,3,hand,4,5,6").is_err());
        assert!(shots("seen:a,1,2,3").is_err() && shots("seen:a,nan,2,3,hand").is_err());
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
