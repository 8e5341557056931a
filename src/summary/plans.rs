//! Pictures of the court: where shots landed, where players stood, which way both went.

use std::collections::BTreeMap;

use super::Whose;
use super::study::{CourtMap, Place as Ground};
use crate::counted::{Counted, Noun};
use crate::drawing::{CellCount, CourtPlan, Dot, Units, Way};
use crate::facts::{PointFacts, ShotFacts, facts};
use crate::record::{Place, Point, Record, Shot};
use crate::tennis::court::{HALF_DOUBLES, HALF_SINGLES, Metres, SERVICE_LINE, Spot, in_singles};
use crate::tennis::rules::Sides;
use crate::tennis::stroke::{Cell, Column, Depth, ServeTo};
use crate::tennis::{CourtSide, End, Side};

/// What a picture of the court shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Where shots landed: a dot if it was measured, else counted in its cell.
    Landings,
    /// Where serves in play went, by thirds of the boxes.
    Serves,
    /// Where both players stood when shots were struck.
    Positions,
    /// From where it was struck to where it landed.
    Arrows,
    /// From one strike of a player to the next.
    Movement,
    /// How densely the landings lie.
    Density,
}

impl Shows {
    /// Each with its word.
    pub const WORDS: [(&'static str, Self); 6] = [
        ("landings", Self::Landings),
        ("serves", Self::Serves),
        ("positions", Self::Positions),
        ("arrows", Self::Arrows),
        ("movement", Self::Movement),
        ("density", Self::Density),
    ];

    const fn title(self) -> &'static str {
        match self {
            Self::Landings => "Where shots landed",
            Self::Serves => "Where serves in play went",
            Self::Positions => "Where players stood when shots were struck",
            Self::Arrows => "From where shots were struck to where they landed",
            Self::Movement => "Movement from strike to strike",
            Self::Density => "How densely shots landed",
        }
    }

    /// What a shot lacks that is not in the picture.
    const fn lacks(self) -> &'static str {
        match self {
            Self::Landings => "no landing",
            Self::Serves => "no direction or court",
            Self::Positions => "no measured position",
            Self::Arrows => "no measured position or landing",
            Self::Movement => "no measured position at both strikes",
            Self::Density => "no measured landing",
        }
    }
}

/// Which picture of the court is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// What it shows.
    pub shows: Shows,
    /// Only this shot of each point, from 1.
    pub shot: Option<usize>,
    /// Whether whoever strikes is always below.
    pub folded: bool,
    /// In which measure.
    pub units: Units,
}

/// The picture of these records.
pub fn court_plan(records: &[&Record], whose: &Whose, wish: &Wish) -> CourtPlan {
    let mut maker = Maker::new(whose, wish);
    for record in records {
        maker.plan.doubles |= record.about.rules.sides != Sides::Singles;
        for (n, (point, f)) in record.points.iter().zip(facts(record).iter()).enumerate() {
            let about = record.about_at(n);
            if whose.plays(&about) && !point.replayed {
                maker.point(point, f, whose.side_of(&about));
            }
        }
    }
    maker.done()
}

struct Maker<'a> {
    wish: &'a Wish,
    whose: &'a Whose,
    plan: CourtPlan,
    /// Counts by the corners of their area in millimetres.
    cells: BTreeMap<[i32; 4], usize>,
    shots: usize,
    unknown: usize,
    /// Shots that were missed and whose place nobody measured.
    missed: usize,
    /// Points that were played and of which no shot was logged.
    empty: usize,
    /// Points that were joined late, where the number of a shot is asked for.
    late: usize,
}

impl<'a> Maker<'a> {
    fn new(whose: &'a Whose, wish: &'a Wish) -> Self {
        let (plan, cells) = (CourtPlan::default(), BTreeMap::new());
        Self { wish, whose, plan, cells, shots: 0, unknown: 0, missed: 0, empty: 0, late: 0 }
    }

    /// Takes the shots of a point that are asked for: those of `side`, or of both.
    fn point(&mut self, point: &Point, f: &PointFacts, side: Option<Side>) {
        // In a double fault and a penalty no ball was in play.
        if point.shots.is_empty() && point.faults != Some(2) && point.penalty.is_none() {
            self.empty += 1;
            return;
        }
        if point.joined_late && (self.wish.shot.is_some() || self.wish.shows == Shows::Serves) {
            self.late += 1;
            return;
        }
        for (n, (shot, s)) in point.shots.iter().zip(&*f.shots).enumerate() {
            let wanted =
                self.wish.shot.is_none_or(|w| w == n + 1) && side.is_none_or(|side| s.by == Some(side));
            if wanted && (self.wish.shows != Shows::Serves || n == 0) {
                self.take(f, s, shot, point.shots.get(n + 2));
            }
        }
    }

    /// Puts a shot into the picture, or counts it as unknown. `next` is the next shot of the same player.
    fn take(&mut self, f: &PointFacts, s: &ShotFacts, shot: &Shot, next: Option<&Shot>) {
        // What did not land is not unknown.
        if s.missed == Some(true)
            && matches!(self.wish.shows, Shows::Landings | Shows::Density | Shows::Arrows)
            && shot.landing.is_none()
        {
            self.missed += 1;
            return;
        }
        if self.wish.shows == Shows::Movement && next.is_none() {
            return;
        }
        self.shots += 1;
        if self.put(f, s, shot, next).is_none() {
            self.unknown += 1;
        }
    }

    fn put(&mut self, f: &PointFacts, s: &ShotFacts, shot: &Shot, next: Option<&Shot>) -> Option<()> {
        let turned = self.wish.folded && s.end? == End::Far;
        let spot = |place: Place| {
            let at = Spot::from(place);
            if turned { Spot::new(-at.x.0, -at.y.0) } else { at }
        };
        let stands = |of: Side| shot.players.map(|p| spot(p[of as usize]));
        match self.wish.shows {
            Shows::Serves => {
                let (end, court) = (f.server_end.or(s.end)?, f.court?);
                let end = if turned { End::Near } else { end };
                self.count(serve_area(s.serve_to?, court, end));
            }
            Shows::Landings => {
                if let Some(place) = shot.landing {
                    self.landed(spot(place));
                    return Some(());
                }
                let end = if self.wish.folded { End::Near } else { s.end? };
                let cell = if turned { mirrored(s.cell?) } else { s.cell? };
                self.count(cell_area(cell, end)?);
            }
            Shows::Density => self.landed(spot(shot.landing?)),
            Shows::Positions => {
                let by = s.by?;
                self.plan.dots.push((stands(by)?, Dot::Striker));
                self.plan.dots.push((stands(by.other())?, Dot::Opponent));
            }
            Shows::Arrows => {
                let way = Way { from: stands(s.by?)?, to: spot(shot.landing?), run: false };
                self.plan.ways.push(way);
            }
            Shows::Movement => {
                let by = s.by?;
                let to = spot(next?.players?[by as usize]);
                self.plan.ways.push(Way { from: stands(by)?, to, run: true });
            }
        }
        Some(())
    }

    fn landed(&mut self, at: Spot) {
        let wide = if self.plan.doubles { HALF_DOUBLES } else { HALF_SINGLES };
        let inside = in_singles(Spot { x: at.x * (HALF_SINGLES.0 / wide.0), y: at.y });
        self.plan.dots.push((at, if inside { Dot::In } else { Dot::Out }));
    }

    fn count(&mut self, [from, to]: [Spot; 2]) {
        let mm = |m: Metres| (m.0 * 1000.0).round() as i32;
        *self.cells.entry([mm(from.x), mm(from.y), mm(to.x), mm(to.y)]).or_default() += 1;
    }

    fn done(self) -> CourtPlan {
        let shows = self.wish.shows;
        let spot = |x: i32, y: i32| Spot::new(f64::from(x) / 1000.0, f64::from(y) / 1000.0);
        let cell =
            |([x, y, u, v], count): ([i32; 4], usize)| CellCount { from: spot(x, y), to: spot(u, v), count };
        let shown = self.shots - self.unknown;
        let mut notes = vec![format!("{} in the picture", Counted(shown, Noun::Shot))];
        if self.unknown > 0 {
            notes.push(format!(
                "{}: {}, not in the picture",
                Counted(self.unknown, Noun::Shot),
                shows.lacks()
            ));
        }
        let others = [
            (self.missed, Noun::Shot, "missed, so they did not land in the court"),
            (self.empty, Noun::Point, "no shots were logged"),
            (self.late, Noun::Point, "joined late, so nobody knows which shot is which"),
        ];
        for (count, noun, why) in others.into_iter().filter(|o| o.0 > 0) {
            notes.push(format!("{}: {why}", Counted(count, noun)));
        }
        let of = match self.whose {
            Whose::Named(name) => format!(": {name}"),
            Whose::Both | Whose::Side(_) => String::new(),
        };
        let which = self.wish.shot.map_or(String::new(), |n| format!(", shot {n}"));
        CourtPlan {
            title: format!("{}{which}{of}", shows.title()),
            notes,
            folded: self.wish.folded,
            units: self.wish.units,
            dense: shows == Shows::Density,
            cells: self.cells.into_iter().map(cell).collect(),
            ..self.plan
        }
    }
}

/// A court picture of an answer of Study, whoever strikes below: in each cell how many shots landed there.
pub fn map_plan(map: &CourtMap, question: &str, looked_at: &str) -> CourtPlan {
    let cells = map.cells.iter().filter(|c| !c.tally.points.is_empty()).filter_map(|c| {
        let [from, to] = match c.at {
            Ground::Box { court, to } => serve_area(to, court, End::Near),
            Ground::Half { column, depth } => {
                cell_area(Cell { column, row: Some(depth.row(End::Far)) }, End::Near)?
            }
        };
        Some(CellCount { from, to, count: c.tally.points.len() })
    });
    let cells: Vec<CellCount> = cells.collect();
    let points = |n| Counted(n, Noun::Point);
    let mut notes =
        vec![looked_at.to_owned(), format!("{} in the picture", points(cells.iter().map(|c| c.count).sum()))];
    let left_out = [
        (map.outside.len(), map.outside_means.as_str()),
        (map.cannot_tell.len(), "the record does not say where it landed"),
    ];
    notes.extend(left_out.iter().filter(|(n, _)| *n > 0).map(|(n, why)| format!("{}: {why}", points(*n))));
    notes.extend(Some(map.note.clone()).filter(|n| !n.is_empty()));
    let title = format!("{question} · {}", map.ball);
    CourtPlan { title, notes, folded: true, cells, ..CourtPlan::default() }
}

/// A cell as it is seen from the other end.
fn mirrored(cell: Cell) -> Cell {
    let row = cell.row.map(|row| Depth::of(row, End::Near).row(End::Far));
    Cell { column: cell.column.mirrored(), row }
}

/// The area of a cell in the half into which a shot from `end` goes. `None` if the depth is not known.
fn cell_area(cell: Cell, end: End) -> Option<[Spot; 2]> {
    let half = if end == End::Near { End::Far } else { End::Near };
    let third = HALF_SINGLES.0 * 2.0 / 3.0;
    let left = match cell.column {
        Column::Left => -1.5 * third,
        Column::Middle => -0.5 * third,
        Column::Right => 0.5 * third,
    };
    let sign = if half == End::Far { 1.0 } else { -1.0 };
    let [from, to] = Depth::of(cell.row?, half).bounds().map(|d| d.0 * sign);
    Some([Spot::new(left, from), Spot::new(left + third, to)])
}

/// The third of the box to which a serve goes that is struck from `end` and from `court`.
fn serve_area(to: ServeTo, court: CourtSide, end: End) -> [Spot; 2] {
    let third = HALF_SINGLES.0 / 3.0;
    let inner = match to {
        ServeTo::T => 0.0,
        ServeTo::Body => third,
        ServeTo::Wide => 2.0 * third,
    };
    // From the right of the near end the serve crosses to the left.
    let side = if (court == CourtSide::Deuce) == (end == End::Near) { -1.0 } else { 1.0 };
    let far = if end == End::Near { 1.0 } else { -1.0 };
    [Spot::new(side * inner, 0.0), Spot::new(side * (inner + third), far * SERVICE_LINE.0)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::stroke::Row;

    /// What the picture shows and says it leaves out are all points of the question.
    #[test]
    fn a_picture_of_an_answer_holds_or_names_every_point() {
        use crate::summary::study::test_matches::charted;
        use crate::summary::study::{Facets, Pool, ask, starter};
        let pool = Pool::new(vec![charted(3)]);
        let mut pictures = 0;
        for question in starter(&[]) {
            let found = ask(&pool, &question, &Facets::default());
            for map in &found.maps {
                let plan = map_plan(map, &found.question, &found.looked_at);
                let shown: usize = plan.cells.iter().map(|c| c.count).sum();
                assert_eq!(shown + map.outside.len() + map.cannot_tell.len(), found.points.len());
                assert!(shown > 0 && plan.title.starts_with(&found.question), "{}", plan.title);
                for (cell, area) in map.cells.iter().filter(|c| !c.tally.points.is_empty()).zip(&plan.cells) {
                    let far = area.from.y.0.max(area.to.y.0);
                    assert!(far > 0.0 && area.count == cell.tally.points.len(), "beyond the net");
                    if let Ground::Half { column, depth } = cell.at {
                        let x = f64::midpoint(area.from.x.0, area.to.x.0);
                        assert_eq!(x < -1.0, column == Column::Left, "{x}");
                        assert_eq!(far > 9.2, depth == Depth::Deep, "{far}");
                    }
                }
                pictures += 1;
            }
        }
        assert!(pictures > 3);
    }

    #[test]
    fn a_serve_crosses_to_the_other_box() {
        let middle = |to, court, end| {
            let [a, b] = serve_area(to, court, end);
            (f64::midpoint(a.x.0, b.x.0), f64::midpoint(a.y.0, b.y.0))
        };
        let (x, y) = middle(ServeTo::Wide, CourtSide::Deuce, End::Near);
        assert!(x < -2.7 && y > 0.0);
        let (x, y) = middle(ServeTo::T, CourtSide::Deuce, End::Far);
        assert!((0.0..1.4).contains(&x) && y < 0.0);
        let (x, _) = middle(ServeTo::Wide, CourtSide::Ad, End::Near);
        assert!(x > 2.7);
    }

    fn record(shot: Shot) -> Record {
        Record { points: [Point { shots: vec![shot], ..Point::default() }].into(), ..Record::default() }
    }

    fn plan(record: &Record, shows: Shows, folded: bool) -> CourtPlan {
        let wish = Wish { shows, shot: None, folded, units: Units::Metres };
        court_plan(&[record], &Whose::Both, &wish)
    }

    #[test]
    fn what_is_not_known_is_counted_in_sight() {
        let record = record(Shot::default());
        for (_, shows) in Shows::WORDS {
            let plan = plan(&record, shows, true);
            assert!(plan.dots.is_empty() && plan.cells.is_empty() && plan.ways.is_empty(), "{shows:?}");
            assert_eq!(plan.notes[0], "0 shots in the picture");
            if shows != Shows::Movement {
                assert_eq!(plan.notes[1], format!("1 shot: {}, not in the picture", shows.lacks()));
            }
        }
    }

    #[test]
    fn points_that_hold_no_shot_to_show_are_told() {
        let record = |point: Point| Record { points: [point].into(), ..Record::default() };
        let told = |point: Point, shows| plan(&record(point), shows, true).notes.join("; ");
        let none = "0 shots in the picture";
        assert_eq!(told(Point::default(), Shows::Landings), format!("{none}; 1 point: no shots were logged"));
        assert_eq!(told(Point { faults: Some(2), ..Point::default() }, Shows::Landings), none);
        assert_eq!(told(Point { replayed: true, ..Point::default() }, Shows::Landings), none);
        let late = Point { joined_late: true, shots: vec![Shot::default()], ..Point::default() };
        let serves = told(late, Shows::Serves);
        assert_eq!(serves, format!("{none}; 1 point: joined late, so nobody knows which shot is which"));
    }

    #[test]
    fn a_cell_folds_onto_the_far_half() {
        let cell = Cell { column: Column::Left, row: Some(Row::Down) };
        // From the far end: deep in the near half, on the camera's left.
        let [a, b] = cell_area(cell, End::Far).unwrap();
        assert!(a.x.0 < -4.0 && b.y.0 < -11.8, "{a:?} {b:?}");
        let [a, b] = cell_area(mirrored(cell), End::Near).unwrap();
        assert!(b.x.0 > 4.0 && b.y.0 > 11.8, "{a:?} {b:?}");
    }

    #[test]
    fn a_measured_landing_is_a_dot_in_or_out() {
        let landing = |x_mm, y_mm| Shot { landing: Some(Place { x_mm, y_mm }), ..Shot::default() };
        let at = |shot| plan(&record(shot), Shows::Landings, false).dots;
        assert_eq!(at(landing(1000, 9000)), [(Spot::new(1.0, 9.0), Dot::In)]);
        assert_eq!(at(landing(4300, 9000)), [(Spot::new(4.3, 9.0), Dot::Out)]);
    }
}
