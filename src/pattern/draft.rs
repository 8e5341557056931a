//! A pattern in a form: rows with a key and its values, for the point and for its shots.
//!
//! Not every pattern fits into the form. Named conditions, and `any` of several tables, can only be in the text of the file.

use toml::Value;

use super::ball::ShotTest;
use super::condition::Condition;
use super::condition::Pattern;
use super::keys::{KEYS, SHOT_KEYS, STRIKERS};
use super::sequence::{Step, Striker};
use super::values::Values;
use super::who::Who;
use super::write::{Line, array, ball, line, once, point, table, text, word};

/// What a row is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// The point.
    Point,
    /// One shot of it.
    Ball,
}

impl Scope {
    /// The keys whose values are plain.
    pub fn keys(self) -> Vec<&'static str> {
        self.table().into_iter().filter(|(_, takes)| *takes != Values::Tables).map(|(name, _)| name).collect()
    }

    /// The values that a key allows, of those with plain values.
    pub fn values(self, key: &str) -> Option<Values> {
        let (_, takes) = self.table().into_iter().find(|(name, _)| *name == key)?;
        Some(takes).filter(|takes| *takes != Values::Tables)
    }

    fn table(self) -> Vec<(&'static str, Values)> {
        match self {
            Self::Point => KEYS.iter().map(|k| (k.name, (k.takes)())).collect(),
            Self::Ball => SHOT_KEYS.iter().map(|k| (k.name, (k.takes)())).collect(),
        }
    }

    fn key(self, name: &str) -> Option<&'static str> {
        self.keys().into_iter().find(|k| *k == name)
    }
}

/// A key, its values, and whether they must not hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The key, as the file has it.
    pub key: &'static str,
    /// Its values, at least one.
    pub values: Vec<Value>,
    /// Whether it is asked for the opposite.
    pub not: bool,
}

impl Row {
    /// A row with the first value that its key takes.
    pub fn first(scope: Scope, key: &'static str) -> Self {
        let value = match scope.values(key) {
            Some(Values::Words(words)) => Value::String(words.into_iter().next().unwrap_or_default().into()),
            Some(Values::YesNo) => Value::Boolean(true),
            Some(Values::Number { .. }) => Value::Integer(1),
            Some(Values::Metres) => Value::Float(1.0),
            Some(Values::Text | Values::Tables) | None => Value::String(String::new()),
        };
        Self { key, values: vec![value], not: false }
    }

    /// Of a line of a file, unless its value is a table.
    fn of((key, value): &Line, scope: Scope, not: bool) -> Option<Self> {
        let key = scope.key(key)?;
        let mut read: toml::Table = format!("v = {value}").parse().ok()?;
        let values = match read.remove("v")? {
            Value::Array(all) => all,
            one => vec![one],
        };
        Some(Self { key, values, not })
    }

    fn line(&self) -> Line {
        let value = match &self.values[..] {
            [one] => one.to_string(),
            all => array(all.iter().map(ToString::to_string)),
        };
        if self.not { ("not", table(vec![(self.key, value)])) } else { (self.key, value) }
    }
}

/// Which shot a part of the form is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// Some shot.
    Some,
    /// A shot after the one of the part before, in a sequence.
    Then {
        /// At most so many shots after it.
        within: usize,
        /// Who strikes it, if that matters.
        striker: Option<Striker>,
    },
    /// The shot of this number.
    Number(usize),
    /// The last shot.
    Last,
    /// No shot may be like this.
    No,
    /// The shot that the pattern is about.
    The,
}

/// A shot and its conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Ball {
    /// Which shot.
    pub place: Place,
    /// What it must meet; nothing: any shot will do.
    pub rows: Vec<Row>,
}

/// A pattern as a form holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Its name.
    pub name: String,
    /// What it means; may be empty.
    pub about: String,
    /// Whose win counts.
    pub won_by: Who,
    /// What the point must meet.
    pub rows: Vec<Row>,
    /// What its shots must meet.
    pub balls: Vec<Ball>,
    /// The points among which it is looked for.
    pub among: Vec<Row>,
}

impl Draft {
    /// A new one, without any condition yet.
    pub fn named(name: String) -> Self {
        let (rows, balls, among) = (Vec::new(), Vec::new(), Vec::new());
        Self { name, about: String::new(), won_by: Who::Server, rows, balls, among }
    }

    /// A pattern, if a form can hold it.
    pub fn of(pattern: &Pattern) -> Option<Self> {
        let mut draft = Self {
            about: pattern.about.clone(),
            won_by: pattern.won_by,
            ..Self::named(pattern.name.clone())
        };
        draft.take(&pattern.conditions)?;
        let mut among = Self::named(String::new());
        among.take(&pattern.among)?;
        draft.among = among.rows;
        among.balls.is_empty().then_some(draft)
    }

    fn take(&mut self, all: &[Condition]) -> Option<()> {
        for c in all {
            match c {
                Condition::Shot(n, tests) => self.ball(Place::Number(*n), tests)?,
                Condition::SomeShot(tests) => self.ball(Place::Some, tests)?,
                Condition::LastShot(tests) => self.ball(Place::Last, tests)?,
                Condition::About(a) if a.named.is_empty() => self.ball(Place::The, &a.tests)?,
                Condition::Sequence(steps) => self.sequence(steps)?,
                Condition::Not(not) => self.not(c, not)?,
                Condition::All(all) if point(c).0 != "tags" => self.take(all)?,
                _ => self.rows.push(Row::of(&point(c), Scope::Point, false)?),
            }
        }
        Some(())
    }

    fn not(&mut self, whole: &Condition, not: &Condition) -> Option<()> {
        let row = match not {
            Condition::SomeShot(tests) => return self.ball(Place::No, tests),
            Condition::All(all) => match &all[..] {
                [one] => Row::of(&point(one), Scope::Point, true),
                _ => None,
            },
            _ => Row::of(&point(whole), Scope::Point, false)
                .or_else(|| Row::of(&point(not), Scope::Point, true)),
        };
        self.rows.push(row?);
        Some(())
    }

    fn ball(&mut self, place: Place, tests: &[ShotTest]) -> Option<()> {
        self.balls.push(Ball { place, rows: ball_rows(tests)? });
        Some(())
    }

    fn sequence(&mut self, steps: &[Step]) -> Option<()> {
        for (n, step) in steps.iter().enumerate() {
            let then = Place::Then { within: step.within, striker: step.striker };
            self.ball(if n == 0 { Place::Some } else { then }, &step.tests)?;
        }
        Some(())
    }

    /// Its table in a pattern file. The reader of the file reports what is wrong with it.
    pub fn text(&self) -> String {
        let mut out = String::from("[[pattern]]\n");
        line(&mut out, "name", &text(&self.name));
        if !self.about.is_empty() {
            line(&mut out, "about", &text(&self.about));
        }
        line(&mut out, "won_by", &text(self.won_by.word()));
        let rows = self.rows.iter().map(Row::line);
        for (key, value) in once(rows.chain(self.ball_lines())) {
            line(&mut out, key, &value);
        }
        if !self.among.is_empty() {
            line(&mut out, "among", &rows_table(Vec::new(), &self.among));
        }
        out
    }

    fn ball_lines(&self) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut numbered = Vec::new();
        let follows = |b: &Ball| matches!(b.place, Place::Then { .. });
        for run in self.balls.chunk_by(|_, next| follows(next)) {
            let Some(first) = run.first() else { continue };
            let rows = || rows_table(Vec::new(), &first.rows);
            match first.place {
                _ if run.len() > 1 => {
                    let steps = run.iter().enumerate().map(|(n, b)| b.step(n == 0));
                    lines.push(("sequence", array(steps)));
                }
                Place::Some | Place::Then { .. } => lines.push(("some_shot", rows())),
                Place::Number(n) => numbered.push(rows_table(vec![("number", n.to_string())], &first.rows)),
                Place::Last => lines.push(("last_shot", rows())),
                Place::No => lines.push(("no_shot", rows())),
                Place::The => lines.push(("shot", rows())),
            }
        }
        if !numbered.is_empty() {
            lines.insert(0, ("shots", array(numbered.into_iter())));
        }
        lines
    }
}

impl Ball {
    /// As a step of a sequence; where it starts one that is about a numbered shot, the number is a condition.
    fn step(&self, first: bool) -> String {
        let mut lines: Vec<Line> = Vec::new();
        match self.place {
            Place::Then { within, striker } if !first => {
                lines.extend((within != 1).then(|| ("within", within.to_string())));
                lines.extend(striker.map(|s| ("striker", word(&STRIKERS, &s))));
            }
            Place::Number(n) => lines.push(("number", n.to_string())),
            _ => {}
        }
        rows_table(lines, &self.rows)
    }
}

fn rows_table(mut lines: Vec<Line>, rows: &[Row]) -> String {
    lines.extend(once(rows.iter().map(Row::line)));
    if lines.is_empty() { "{}".into() } else { table(lines) }
}

fn ball_rows(tests: &[ShotTest]) -> Option<Vec<Row>> {
    let mut rows = Vec::new();
    for t in tests {
        match t {
            ShotTest::All(all) => rows.extend(ball_rows(all)?),
            ShotTest::Not(not) => {
                let mut inner = ball_rows(std::slice::from_ref(not))?;
                let row = inner.pop().filter(|r| inner.is_empty() && !r.not)?;
                rows.push(Row { not: true, ..row });
            }
            t => rows.push(Row::of(&ball(t), Scope::Ball, false)?),
        }
    }
    Some(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::facts::tests::{rally, record};
    use crate::pattern::{PatternFile, answer, parse};

    fn read(text: &str) -> Pattern {
        let mut file = parse(text, "my.toml").unwrap_or_else(|e| panic!("{e}\n{text}"));
        file.patterns.remove(0)
    }

    #[test]
    fn every_plain_key_takes_its_first_value() {
        for (scope, least) in [(Scope::Point, 28), (Scope::Ball, 20)] {
            let keys = scope.keys();
            assert!(keys.len() >= least, "{keys:?}");
            for key in keys {
                let mut row = Row::first(scope, key);
                if scope.values(key) == Some(Values::Text) {
                    row.values = vec![Value::String("net".into())];
                }
                for not in [false, true] {
                    let mut draft = Draft::named("x".into());
                    let row = Row { not, ..row.clone() };
                    match scope {
                        Scope::Point => draft.rows.push(row),
                        Scope::Ball => draft.balls.push(Ball { place: Place::Some, rows: vec![row] }),
                    }
                    assert_eq!(
                        Draft::of(&read(&draft.text())),
                        Some(draft.clone()),
                        "{key}: {}",
                        draft.text()
                    );
                }
            }
        }
        assert_eq!(Scope::Point.values("any"), None);
        assert_eq!(Scope::Point.values("court"), Some(Values::Words(vec!["deuce", "ad"])));
    }

    /// Of the starter patterns, those that fit are asked the same after they went through the form.
    #[test]
    fn the_form_changes_no_answer() {
        let file = PatternFile::starter().unwrap();
        let mut r = record("ABBA?AABBAB");
        r.points.extend(rally('A', None, "wide/left deep bh/right short drop/left mid/?").points);
        r.points.extend(rally('B', None, "T/right deep/left fh/left deep bh").points);
        let all = facts(&r);
        let mut fit = 0;
        for p in &file.patterns {
            let Some(draft) = Draft::of(p) else { continue };
            fit += 1;
            let weaker = "weaker_wing = \"backhand\"\n[groups]\nserve = [\"wide serve\", \"body serve\", \"T serve\"]\n";
            let again = read(&format!("{weaker}{}", draft.text()));
            assert_eq!(Draft::of(&again).as_ref(), Some(&draft), "{}", draft.text());
            for f in &all {
                assert_eq!(answer(p, f), answer(&again, f), "{}, point {}", p.name, f.number + 1);
            }
            assert_eq!((&again.name, &again.about, again.won_by), (&p.name, &p.about, p.won_by));
        }
        // Those told by shots or else by tags are two tables, which the form has no rows for.
        assert!(fit >= 14, "{fit} of {} fit", file.patterns.len());
    }

    #[test]
    fn balls_in_order_negation_and_repeated_keys_are_written() {
        let row = |key, value: &str, not| Row { key, values: vec![Value::String(value.into())], not };
        let ball = |place, rows| Ball { place, rows };
        let then = Place::Then { within: 3, striker: Some(Striker::Same) };
        let mut draft = Draft::named("x".into());
        draft.rows = vec![row("court", "ad", true), row("tags", "net", false), row("court", "deuce", true)];
        draft.balls = vec![
            ball(Place::Some, vec![row("wing", "forehand", false)]),
            ball(then, vec![row("goes", "behind", true), row("stroke", "lob", true)]),
            ball(Place::Number(3), Vec::new()),
            ball(Place::No, vec![row("stroke", "volley", false)]),
        ];
        draft.among = vec![row("standing", "level", false)];
        let text = draft.text();
        assert!(
            text.contains("sequence = [{ wing = \"forehand\" }, { within = 3, striker = \"same\", "),
            "{text}"
        );
        assert!(text.contains("among = { standing = \"level\" }"), "{text}");
        let again = Draft::of(&read(&text)).unwrap();
        let sorted = |d: &Draft| {
            let mut rows: Vec<_> = d.rows.iter().map(|r| format!("{r:?}")).collect();
            rows.sort();
            (rows, d.balls.len(), d.among.clone())
        };
        assert_eq!(sorted(&again), sorted(&draft), "{text}");
    }

    #[test]
    fn each_kind_of_ball_is_read_as_it_was_written() {
        let rows = vec![Row::first(Scope::Ball, "wing")];
        for place in [Place::Some, Place::Number(4), Place::Last, Place::No, Place::The] {
            let balls = vec![Ball { place, rows: rows.clone() }];
            let draft = Draft { balls, ..Draft::named("x".into()) };
            assert_eq!(Draft::of(&read(&draft.text())), Some(draft.clone()), "{}", draft.text());
        }
        let first = Ball { place: Place::Some, rows: Vec::new() };
        for striker in [None, Some(Striker::Same), Some(Striker::Other)] {
            let then = Ball { place: Place::Then { within: 3, striker }, rows: rows.clone() };
            let draft = Draft { balls: vec![first.clone(), then], ..Draft::named("x".into()) };
            assert_eq!(Draft::of(&read(&draft.text())), Some(draft.clone()), "{}", draft.text());
        }
    }

    #[test]
    fn what_no_form_can_hold_is_left_to_the_text() {
        for text in [
            "any = [{ serve = 1 }, { court = \"ad\" }]",
            "condition = [{ name = \"c\", serve = 1 }]",
            "not = { serve = 1, court = \"ad\" }",
            "some_shot = { any = [{ wing = \"forehand\" }, { spin = \"slice\" }] }",
            "serve = 1\namong = { some_shot = { wing = \"forehand\" } }",
        ] {
            assert_eq!(Draft::of(&read(&format!("[[pattern]]\nname = \"x\"\n{text}"))), None, "{text}");
        }
    }
}
