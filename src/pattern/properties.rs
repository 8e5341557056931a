//! Laws of patterns, over patterns and points made by chance.

use std::sync::Arc;
use std::time::Duration;

use proptest::prelude::*;

use super::keys::{KEYS, SERVE_KEYS, SHOT_KEYS};
use super::*;
use crate::facts::tests::{only, record};
use crate::facts::{Fact, Goes, Lane, PointFacts, Push, ServeFacts, ShotFacts, Target, ToldBy};
use crate::record::{Finish, Hand};
use crate::tennis::stroke::{
    Column, Depth, FaultKind, Miss, Pace, ServeTo, Spin, Stance, Stroke, VolleyKind, Wing,
};
use crate::tennis::{CourtSide, End, Side};

/// Choices made by chance, one after another; the first of all once they run out.
struct Dice(Vec<u16>);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        usize::from(self.0.pop().unwrap_or(0)) % n.max(1)
    }

    fn one<T: Clone>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())].clone()
    }

    fn coin(&mut self) -> bool {
        self.below(2) == 1
    }

    /// A table of distinct keys.
    fn table(&mut self, keys: &[&'static str], depth: usize) -> String {
        let mut lines: Vec<(&str, String)> = Vec::new();
        for _ in 0..=self.below(3) {
            let key = self.one(keys);
            if lines.iter().all(|l| l.0 != key) {
                let value = self.value(key, keys, depth);
                lines.push((key, value));
            }
        }
        let lines: Vec<_> = lines.into_iter().map(|(k, v)| format!("{k} = {v}")).collect();
        format!("{{ {} }}", lines.join(", "))
    }

    fn tables(&mut self, keys: &[&'static str], depth: usize) -> String {
        let each: Vec<_> = (0..=self.below(3)).map(|_| self.table(keys, depth)).collect();
        format!("[{}]", each.join(", "))
    }

    fn value(&mut self, key: &str, keys: &[&'static str], depth: usize) -> String {
        let shots = names(&SHOT_KEYS);
        let flat: Vec<_> = keys.iter().copied().filter(|k| !["any", "all", "not"].contains(k)).collect();
        let keys = if depth == 0 { &flat[..] } else { keys };
        let deeper = depth.saturating_sub(1);
        match key {
            "any" | "all" => self.tables(keys, deeper),
            "not" => self.table(keys, deeper),
            "shots" => {
                let n = self.below(6) + 1;
                let rest: Vec<_> = shots.iter().copied().filter(|k| *k != "number").collect();
                let rest = self.table(&rest, deeper);
                format!("[{{ number = {n}, {}]", rest.trim_start_matches("{ "))
            }
            "sequence" => {
                let within = self.below(4) + 1;
                let (first, then) = (self.table(&shots, deeper), self.table(&shots, deeper));
                let striker = self.one(&["", "striker = \"same\", ", "striker = \"other\", "]);
                format!("[{first}, {{ within = {within}, {striker}{}]", then.trim_start_matches("{ "))
            }
            "some_shot" | "no_shot" | "last_shot" => self.table(&shots, deeper),
            "first_serve" | "second_serve" => self.table(&names(&SERVE_KEYS), 0),
            key => self.plain(key),
        }
    }

    fn plain(&mut self, key: &str) -> String {
        let all: &[&str] = match key {
            "tags" | "any_tag" | "no_tag" | "has_tag" | "tagged" => {
                &["\"lob\"", "[\"lob\", \"net\"]", "\"wide serve\""]
            }
            "server" => &["\"a\"", "\"b\""],
            "serve" => &["1", "2", "[1, 2]"],
            "court" => &["\"deuce\"", "\"ad\""],
            "score" => &["\"0-0\"", "[\"30-40\", \"deuce\"]"],
            "standing" => &["\"ahead\"", "[\"level\", \"behind\"]"],
            "set" => &["1", "[2, 3]"],
            "finish" => &["\"ace\"", "[\"winner\", \"unforced-error\"]"],
            "finish_by" | "winner" | "by" => &["\"server\"", "\"receiver\"", "[\"a\", \"server\"]", "\"b\""],
            "miss" => &["\"net\"", "[\"long\", \"wide\"]"],
            "server_hand" | "receiver_hand" => &["\"left\"", "\"right\""],
            "stance" => &["\"by the sideline\""],
            "rally" => &["\"1-4\"", "\"9+\"", "[\"1-4\", \"5-8\"]"],
            "rally_at_least" | "rally_at_most" | "from_number" => &["1", "3", "6"],
            "number" => &["1", "2", "[1, 3]", "5"],
            "plan" => &["\"p\"", "[\"p\", \"q\"]"],
            "stroke" => &["\"volley\"", "[\"lob\", \"drop shot\"]", "\"groundstroke\""],
            "wing" | "to_wing" => &["\"forehand\"", "\"backhand\""],
            "volley" => &["\"half volley\"", "[\"half volley\", \"swinging volley\"]"],
            "fault_kind" => &["\"net\"", "[\"long\", \"wide\"]", "\"foot fault\""],
            "penalty" | "time_violation" => &["\"a\"", "\"server\""],
            "spin" => &["\"slice\"", "[\"flat\", \"topspin\"]"],
            "pace" => &["\"fast\"", "[\"slow\", \"medium\"]"],
            "to" => &["\"wide\"", "[\"T\", \"body\"]"],
            "depth" => &["\"deep\"", "[\"short\", \"mid\"]"],
            "lane" => &["\"cross-court\"", "[\"down the line\", \"middle\"]", "\"inside-out\""],
            "goes" => &["\"open court\"", "[\"behind\", \"middle\"]"],
            "pushes" => &["\"in\"", "[\"back\", \"held\"]"],
            key if key.ends_with("_at_least") || key.ends_with("_at_most") => &["0", "1.5", "3.25"],
            _ => &["true", "false"],
        };
        self.one(all).into()
    }

    fn pattern(&mut self) -> String {
        let keys = names(&KEYS);
        let mut text =
            String::from("weaker_wing = \"backhand\"\n[groups]\nserve = [\"wide serve\", \"T serve\"]\n");
        text.push_str("[[pattern]]\nname = \"p\"\nserve = 1\n[[pattern]]\nname = \"x \\\"y\\\"\"\n");
        let lines = self.table(&keys, 2);
        let lines = lines.strip_prefix("{ ").and_then(|l| l.strip_suffix(" }")).unwrap_or(&lines);
        let parsed: Vec<_> = split(lines);
        text.push_str(&(parsed.join("\n") + "\n"));
        if self.coin() {
            let ball = self.table(&names(&SHOT_KEYS), 1);
            text.extend(["shot = ", &ball, "\n"]);
            let test = self.table(&names(&SHOT_KEYS), 1);
            let test = test.trim_start_matches("{ ");
            text.extend(["condition = [{ name = \"c\", ", test, "]\n"]);
            text.push_str(self.one(&["", "met = \"not all\"\n"]));
        }
        text
    }

    /// Everything that could be known of a point.
    fn facts(&mut self) -> PointFacts {
        let mut f = only(&record("A"));
        let n = self.below(8);
        f.court = Some(self.one(&[CourtSide::Deuce, CourtSide::Ad]));
        f.server = Some(self.one(&[Side::A, Side::B]));
        f.serve = Some(if self.coin() { 2 } else { 1 });
        f.hands = [Some(Hand::Right), Some(self.one(&[Hand::Right, Hand::Left]))];
        f.stance = Some(Stance::Wide);
        f.plan = "p".into();
        f.winner = Some(self.one(&[Side::A, Side::B]));
        f.finish = Some(self.one(&[Finish::Winner, Finish::UnforcedError, Finish::ForcedError]));
        f.miss = (f.finish != Some(Finish::Winner)).then(|| self.one(&[Miss::Net, Miss::Long]));
        f.finish_by = f.winner;
        f.break_point = Some(self.coin());
        let serve = ServeFacts {
            to: Some(self.one(&[ServeTo::Wide, ServeTo::T])),
            target: Some(Target::Backhand),
            pace: Some(Pace::Fast),
            spin: Some(Spin::Flat),
            fault: f.serve == Some(2),
            kind: (f.serve == Some(2)).then_some(FaultKind::Long),
        };
        f.also_wide = f.miss == Some(Miss::Long) && self.coin();
        // Only what can be: a serve that did not come back has no winner and no third shot.
        let missed = f.finish != Some(Finish::Winner);
        f.unreturned = Some(missed && matches!(n, 1 | 2) && self.coin());
        f.lets = Some(self.below(2) as u8);
        f.time_violation = Some(Side::A);
        f.serves = [Some(serve), (f.serve == Some(2)).then_some(serve)];
        f.tags = Arc::new(["lob".to_owned()].into());
        f.shots = Arc::new((0..n).map(|n| self.shot(n, f.server)).collect());
        if let Some(last) = Arc::make_mut(&mut f.shots).last_mut() {
            (last.missed, last.push) = (Some(missed), last.push.filter(|_| !missed));
        }
        f.length = Some(n);
        f.every_shot = true;
        f.told_by = if n > 0 { ToldBy::Shots } else { ToldBy::Tags };
        f
    }

    fn shot(&mut self, n: usize, server: Option<Side>) -> ShotFacts {
        let by = server.map(|s| if n.is_multiple_of(2) { s } else { s.other() });
        let common = ShotFacts {
            by,
            end: Some(End::Near),
            spin: Some(self.one(&[Spin::Slice, Spin::Flat])),
            approach: Some(self.coin()),
            direction: Some(self.one(&Column::ALL)),
            at_net: Some(self.coin()),
            net_cord: Some(self.coin()),
            target: Some(Fact::seen(self.one(&[Target::Forehand, Target::Backhand]))),
            inside: Some(Fact::estimated(self.coin())),
            opponent_deep: Some(Fact::seen(self.coin())),
            opponent_leaving: Some(Fact::seen(self.coin())),
            missed: Some(self.coin()),
            since: Some(Duration::from_secs(1)),
            ..ShotFacts::default()
        };
        if n == 0 {
            let serve_to = Some(self.one(&[ServeTo::Wide, ServeTo::Body, ServeTo::T]));
            return ShotFacts { serve_to, pace: Some(Pace::Fast), ..common };
        }
        let stroke = self.one(&[Stroke::Volley, Stroke::Lob, Stroke::DropShot, Stroke::Groundstroke]);
        let volley = [None, Some(VolleyKind::Half), Some(VolleyKind::Swinging)];
        ShotFacts {
            stroke: Some(stroke),
            volley: if stroke == Stroke::Volley { self.one(&volley) } else { None },
            wing: Some(self.one(&[Wing::Forehand, Wing::Backhand])),
            depth: Some(self.one(&[Depth::Short, Depth::Mid, Depth::Deep])),
            lane: Some(Fact::seen(self.one(&[
                Lane::CrossCourt,
                Lane::DownTheLine,
                Lane::Middle,
                Lane::InsideOut,
            ]))),
            goes: Some(Fact::seen(self.one(&[Goes::OpenCourt, Goes::Behind, Goes::Middle]))),
            // A shot that missed pushes nobody.
            push: Some(Fact::seen(self.one(&[Push::In, Push::Back, Push::Held])))
                .filter(|_| common.missed != Some(true)),
            ..common
        }
    }

    /// Forgets this fact by chance.
    fn forget<T>(&mut self, fact: &mut Option<T>) {
        if self.coin() {
            *fact = None;
        }
    }

    /// The same point, less of it known.
    fn less(&mut self, f: &PointFacts) -> PointFacts {
        let mut f = f.clone();
        if self.coin() {
            let kept = self.below(f.shots.len() + 1);
            Arc::make_mut(&mut f.shots).truncate(kept);
            f.length = None;
            f.every_shot = false;
        }
        // Joined after its serve, which was then struck.
        if !f.shots.is_empty() && self.coin() {
            let seen = self.below(f.shots.len()) + 1;
            Arc::make_mut(&mut f.shots).drain(..seen);
            (f.joined_late, f.length, f.serves) = (true, None, [None; 2]);
        }
        self.forget(&mut f.court);
        self.forget(&mut f.server);
        self.forget(&mut f.serve);
        self.forget(&mut f.stance);
        self.forget(&mut f.winner);
        self.forget(&mut f.finish);
        self.forget(&mut f.finish_by);
        self.forget(&mut f.break_point);
        self.forget(&mut f.called);
        self.forget(&mut f.standing);
        self.forget(&mut f.set);
        self.forget(&mut f.serves[0]);
        self.forget(&mut f.serves[1]);
        self.forget(&mut f.hands[1]);
        self.forget(&mut f.unreturned);
        self.forget(&mut f.lets);
        self.forget(&mut f.time_violation);
        if f.finish.is_none() {
            self.forget(&mut f.miss);
        }
        if self.coin() {
            f.plan.clear();
        }
        for s in Arc::make_mut(&mut f.shots) {
            self.forget(&mut s.by);
            self.forget(&mut s.approach);
            self.forget(&mut s.spin);
            self.forget(&mut s.direction);
            self.forget(&mut s.at_net);
            self.forget(&mut s.net_cord);
            self.forget(&mut s.target);
            self.forget(&mut s.inside);
            self.forget(&mut s.opponent_deep);
            self.forget(&mut s.opponent_leaving);
            self.forget(&mut s.missed);
            self.forget(&mut s.pace);
            self.forget(&mut s.serve_to);
        }
        for s in Arc::make_mut(&mut f.shots).iter_mut().skip(1) {
            self.forget(&mut s.stroke);
            // Where the stroke was noted and no kind, it was a plain volley.
            if s.stroke.is_none() {
                self.forget(&mut s.volley);
            }
            self.forget(&mut s.wing);
            self.forget(&mut s.depth);
            self.forget(&mut s.lane);
            self.forget(&mut s.goes);
            self.forget(&mut s.push);
        }
        f
    }
}

fn names<T>(keys: &[reader::Key<T>]) -> Vec<&'static str> {
    keys.iter().map(|k| k.name).collect()
}

/// The entries of an inline table, each by itself.
fn split(lines: &str) -> Vec<String> {
    let (mut all, mut depth) = (vec![String::new()], 0);
    for c in lines.chars() {
        depth += i32::from(matches!(c, '[' | '{')) - i32::from(matches!(c, ']' | '}'));
        match all.last_mut() {
            Some(_) if c == ',' && depth == 0 => all.push(String::new()),
            Some(last) => last.push(c),
            None => {}
        }
    }
    all.iter().map(|s| s.trim().to_owned()).collect()
}

fn dice() -> impl Strategy<Value = Dice> {
    prop::collection::vec(any::<u16>(), 0..400).prop_map(Dice)
}

impl std::fmt::Debug for Dice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?}", self.0)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_is_written_reads_as_the_same_patterns(mut dice in dice()) {
        let text = dice.pattern();
        let file = parse(&text, "x").unwrap_or_else(|e| panic!("{e}\n{text}"));
        let written = write(&file);
        let again = parse(&written, "x").unwrap_or_else(|e| panic!("{e}\n{written}"));
        prop_assert_eq!(&again, &file, "{}\n{}", text, written);
    }

    /// A pattern that the form of the builder can hold answers the same after it went through the form.
    #[test]
    fn a_form_changes_no_answer(mut dice in dice(), mut more in dice()) {
        let file = parse(&dice.pattern(), "x").unwrap_or_else(|e| panic!("{e}"));
        let whole = write(&file);
        for (n, p) in file.patterns.iter().enumerate() {
            let Some(draft) = Draft::of(p) else { continue };
            let text = patch::replace(&whole, n, &draft.text()).unwrap();
            let again = parse(&text, "x").unwrap_or_else(|e| panic!("{e}\n{text}"));
            prop_assert_eq!(patch::count(&text), Some(file.patterns.len()));
            for _ in 0..8 {
                let full = more.facts();
                for f in [more.less(&full), full] {
                    prop_assert_eq!(answer(&again.patterns[n], &f), answer(p, &f), "{}\n{:#?}", text, p);
                }
            }
        }
    }

    /// What is learnt about a point may decide an answer; it never turns yes into no, or no into yes.
    #[test]
    fn what_is_learnt_never_contradicts(mut dice in dice(), mut more in dice()) {
        let file = parse(&dice.pattern(), "x").unwrap_or_else(|e| panic!("{e}"));
        for _ in 0..8 {
            let full = more.facts();
            let less = more.less(&full);
            for p in &file.patterns {
                let (before, after) = (answer(p, &less), answer(p, &full));
                prop_assert!(before == Answer::Unknown || before == after, "{before:?} {after:?} {p:#?}");
                prop_assert_eq!(explain(p, &less).answer, before);
            }
        }
    }
}

#[test]
fn the_starter_file_is_written_back() {
    let file = PatternFile::starter().unwrap();
    let again = parse(&write(&file), STARTER_NAME).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(again, file);
}
