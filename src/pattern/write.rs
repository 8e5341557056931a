//! Patterns back to the text of a pattern file. What was read from a file and written reads as the same patterns.

use std::fmt::Write as _;
use std::ops::RangeInclusive;

use super::answer::Answer;
use super::ball::ShotTest;
use super::condition::Pattern;
use super::condition::{Condition, Met, Moment, Named, ServeTest};
use super::file::PatternFile;
use super::keys::{CALLS, COURTS, FINISHES, HANDS, MISSES, RALLIES, STANDINGS, STRIKERS, TARGETS, WINGS};
use super::sequence::Step;
use super::who::Who;
use crate::facts::{Goes, Lane, Length, Push, Target};
use crate::tennis::stroke::{Depth, FaultKind, Pace, ServeTo, Spin, Stance, Stroke, VolleyKind};

/// A key and its value as written.
pub(super) type Line = (&'static str, String);

/// The text of a pattern file.
pub fn write(file: &PatternFile) -> String {
    let mut out = String::new();
    if file.untagged == Answer::No {
        out.push_str("untagged = \"no\"\n");
    }
    match file.weaker_wing {
        [None, None] => {}
        [Some(a), Some(b)] if a == b => line(&mut out, "weaker_wing", &word(&WINGS, &a)),
        both => {
            let each = ["a", "b"].into_iter().zip(both);
            let given = each.filter_map(|(k, w)| Some(format!("{k} = {}", word(&WINGS, &w?))));
            line(&mut out, "weaker_wing", &format!("{{ {} }}", given.collect::<Vec<_>>().join(", ")));
        }
    }
    if !file.groups.is_empty() {
        out.push_str("\n[groups]\n");
        for (name, tags) in &file.groups {
            line(&mut out, &key(name), &array(tags.iter().map(|t| text(t))));
        }
    }
    for p in &file.patterns {
        pattern(&mut out, p);
    }
    out
}

fn pattern(out: &mut String, p: &Pattern) {
    out.push_str("\n[[pattern]]\n");
    line(out, "name", &text(&p.name));
    if !p.about.is_empty() {
        line(out, "about", &text(&p.about));
    }
    line(out, "won_by", &text(p.won_by.word()));
    let (special, plain): (Vec<_>, Vec<_>) =
        p.conditions.iter().partition(|c| matches!(c, Condition::About(_) | Condition::Named(..)));
    for (key, value) in points(plain) {
        line(out, key, &value);
    }
    for c in special {
        match c {
            Condition::About(about) => {
                line(out, "shot", &balls(&about.tests));
                named(out, &about.named, about.met, balls);
            }
            Condition::Named(all, met) => named(out, all, *met, |t| table(points(t.iter().collect()))),
            _ => {}
        }
    }
    if !p.among.is_empty() {
        line(out, "among", &table(points(p.among.iter().collect())));
    }
}

fn named<T>(out: &mut String, all: &[Named<T>], met: Met, of: impl Fn(&[T]) -> String) {
    if all.is_empty() {
        return;
    }
    out.push_str("condition = [\n");
    for n in all {
        let rest = of(&n.tests);
        let rest = rest.strip_prefix("{ ").unwrap_or(&rest);
        // Writing to a text cannot fail.
        let _ = writeln!(out, "  {{ name = {}, {rest},", text(&n.name));
    }
    out.push_str("]\n");
    if met == Met::NotAll {
        line(out, "met", &word(&Met::WORDS, &met));
    }
}

pub(super) fn line(out: &mut String, key: &str, value: &str) {
    let _ = writeln!(out, "{key} = {value}");
}

pub(super) fn text(s: &str) -> String {
    toml::Value::String(s.into()).to_string()
}

/// A key, in quotes where it needs them.
fn key(s: &str) -> String {
    let bare = !s.is_empty() && s.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if bare { s.into() } else { text(s) }
}

pub(super) fn array(all: impl Iterator<Item = String>) -> String {
    format!("[{}]", all.collect::<Vec<_>>().join(", "))
}

pub(super) fn table(lines: Vec<Line>) -> String {
    let each: Vec<_> = lines.into_iter().map(|(k, v)| format!("{k} = {v}")).collect();
    format!("{{ {} }}", each.join(", "))
}

/// The word of a value, in quotes.
pub(super) fn word<T: PartialEq>(words: &[(&'static str, T)], value: &T) -> String {
    text(words.iter().find(|(_, v)| v == value).map_or("", |(w, _)| w))
}

/// Lines of a table, in which a key stands once: what would be there twice goes into `all`.
pub(super) fn once(all: impl Iterator<Item = Line>) -> Vec<Line> {
    let (mut lines, mut more): (Vec<Line>, Vec<String>) = (Vec::new(), Vec::new());
    for (key, value) in all {
        if key != "all" && lines.iter().any(|(k, _)| *k == key) {
            more.push(table(vec![(key, value)]));
        } else if let Some((_, before)) = lines.iter_mut().find(|(k, _)| *k == "all" && key == "all") {
            *before = format!(
                "{}, {}",
                before.strip_suffix(']').unwrap_or(before),
                value.strip_prefix('[').unwrap_or(&value)
            );
        } else {
            lines.push((key, value));
        }
    }
    match lines.iter_mut().find(|(k, _)| *k == "all") {
        _ if more.is_empty() => {}
        Some((_, before)) => {
            *before = format!("{}, {}]", before.strip_suffix(']').unwrap_or(before), more.join(", "));
        }
        None => lines.push(("all", array(more.into_iter()))),
    }
    lines
}

fn points(all: Vec<&Condition>) -> Vec<Line> {
    once(all.into_iter().map(point))
}

/// The conditions of a group as one table.
fn inner(c: &Condition) -> String {
    match c {
        Condition::All(all) => table(points(all.iter().collect())),
        c => table(points(vec![c])),
    }
}

/// Conditions of one key as the list of its values: only where every one has that key and a single value.
fn leaf_list(all: &[Condition]) -> Option<Line> {
    let mut each = all.iter().map(leaf);
    let (key, first) = each.next()??;
    let mut values = vec![first];
    for next in each {
        values.push(next.filter(|(k, _)| *k == key)?.1);
    }
    Some((key, if let [only] = &values[..] { only.clone() } else { array(values.into_iter()) }))
}

pub(super) fn point(c: &Condition) -> Line {
    match c {
        Condition::All(all) => match leaf_list(all) {
            Some(("any_tag", tags)) => ("tags", tags),
            Some(("shots", _)) => ("shots", array(all.iter().filter_map(leaf).map(|(_, v)| v))),
            _ => ("all", array(all.iter().map(inner))),
        },
        Condition::Any(any) => match leaf_list(any) {
            Some((key, list)) if takes_list(key) && any.len() > 1 => (key, list),
            _ => ("any", array(any.iter().map(inner))),
        },
        Condition::Not(not) => match (&**not, leaf_of(not)) {
            (_, Some(("any_tag", tags))) => ("no_tag", tags),
            (_, Some(("some_shot", balls))) => ("no_shot", balls),
            (Condition::All(all), _) => ("not", table(points(all.iter().collect()))),
            (other, _) => ("not", table(points(vec![other]))),
        },
        c => match leaf(c) {
            Some(("shots", one)) => ("shots", format!("[{one}]")),
            Some(line) => line,
            None => ("all", "[]".into()),
        },
    }
}

/// Whether the value of a key may be a list of values, any of which will do.
fn takes_list(key: &str) -> bool {
    const ONE: [&str; 27] = [
        "first_serve",
        "second_serve",
        "shots",
        "last_shot",
        "sequence",
        "plan_played",
        "break_point",
        "game_point",
        "set_point",
        "match_point",
        "tie_break",
        "important",
        "shots_logged",
        "from_number",
        "inside_baseline",
        "opponent_deep",
        "opponent_leaving",
        "approach",
        "at_net",
        "net_cord",
        "unreturned",
        "let_serve",
        "missed",
        "middle_third",
        "any",
        "all",
        "not",
    ];
    !ONE.contains(&key) && !key.ends_with("_at_least") && !key.ends_with("_at_most")
}

/// A leaf, or any of several of one key.
fn leaf_of(c: &Condition) -> Option<Line> {
    match c {
        Condition::Any(any) => leaf_list(any),
        c => leaf(c),
    }
}

fn leaf(c: &Condition) -> Option<Line> {
    Some(match c {
        Condition::Tag(test) => ("any_tag", text(&test.tag)),
        Condition::HasTag(tag) | Condition::TagOf(tag, _) => ("has_tag", text(tag)),
        Condition::Server(who) => ("server", text(who.word())),
        Condition::Serve(n) => ("serve", n.to_string()),
        Condition::Court(x) => ("court", word(&COURTS, x)),
        Condition::Called(x) => ("score", word(&CALLS, x)),
        Condition::Standing(x) => ("standing", word(&STANDINGS, x)),
        Condition::Moment(m, yes) => (moment(*m), yes.to_string()),
        Condition::Set(n) => ("set", n.to_string()),
        Condition::Finish(x) => ("finish", word(&FINISHES, x)),
        Condition::FinishBy(who) => ("finish_by", text(who.word())),
        Condition::Winner(who) => ("winner", text(who.word())),
        Condition::Miss(x) => ("miss", word(&MISSES, x)),
        Condition::Unreturned(yes) => ("unreturned", yes.to_string()),
        Condition::LetServe(yes) => ("let_serve", yes.to_string()),
        Condition::Penalty(who) => ("penalty", text(who.word())),
        Condition::TimeViolation(who) => ("time_violation", text(who.word())),
        Condition::Hand(Who::Server, x) => ("server_hand", word(&HANDS, x)),
        Condition::Hand(_, x) => ("receiver_hand", word(&HANDS, x)),
        Condition::Stance(x) => ("stance", word(&Stance::WORDS, x)),
        Condition::Tried(1, tests) => ("first_serve", table(once(tests.iter().map(serve)))),
        Condition::Tried(_, tests) => ("second_serve", table(once(tests.iter().map(serve)))),
        Condition::Rally(range) => rally(range),
        Condition::Plan(name) => ("plan", text(name)),
        Condition::PlanPlayed(yes, _) => ("plan_played", yes.to_string()),
        Condition::Shot(n, tests) => ("shots", numbered(*n, tests)),
        Condition::SomeShot(tests) => ("some_shot", balls(tests)),
        Condition::LastShot(tests) => ("last_shot", balls(tests)),
        Condition::Sequence(steps) => ("sequence", array(steps.iter().map(step))),
        Condition::About(_)
        | Condition::Named(..)
        | Condition::All(_)
        | Condition::Any(_)
        | Condition::Not(_) => {
            return None;
        }
    })
}

const fn moment(m: Moment) -> &'static str {
    match m {
        Moment::BreakPoint => "break_point",
        Moment::GamePoint => "game_point",
        Moment::SetPoint => "set_point",
        Moment::MatchPoint => "match_point",
        Moment::TieBreak => "tie_break",
        Moment::Important => "important",
        Moment::ShotsLogged => "shots_logged",
    }
}

fn rally(range: &RangeInclusive<usize>) -> Line {
    let (from, to) = (*range.start(), *range.end());
    match RALLIES.iter().find(|(_, band)| *band == (from, to)) {
        Some((band, _)) => ("rally", text(band)),
        None if to == usize::MAX => ("rally_at_least", from.to_string()),
        None => ("rally_at_most", to.to_string()),
    }
}

fn numbered(n: usize, tests: &[ShotTest]) -> String {
    let rest = balls(tests);
    match rest.strip_prefix("{ ") {
        Some(rest) if !tests.is_empty() => format!("{{ number = {n}, {rest}"),
        _ => format!("{{ number = {n} }}"),
    }
}

fn step(s: &Step) -> String {
    let mut lines = once(s.tests.iter().map(ball));
    if let Some(striker) = s.striker {
        lines.insert(0, ("striker", word(&STRIKERS, &striker)));
    }
    if s.within != 1 {
        lines.insert(0, ("within", s.within.to_string()));
    }
    table(lines)
}

fn balls(tests: &[ShotTest]) -> String {
    table(once(tests.iter().map(ball)))
}

fn ball_inner(t: &ShotTest) -> String {
    match t {
        ShotTest::All(all) => balls(all),
        t => balls(std::slice::from_ref(t)),
    }
}

pub(super) fn ball(t: &ShotTest) -> Line {
    match t {
        ShotTest::All(all) => ("all", array(all.iter().map(ball_inner))),
        ShotTest::Any(any) => {
            let mut each = any.iter().map(ball_leaf);
            let first = each.next().flatten();
            let same = first.as_ref().is_some_and(|(k, _)| {
                takes_list(k) && any.iter().all(|t| ball_leaf(t).is_some_and(|(other, _)| other == *k))
            });
            match first {
                Some((key, _)) if same => (key, array(any.iter().filter_map(ball_leaf).map(|(_, v)| v))),
                _ => ("any", array(any.iter().map(ball_inner))),
            }
        }
        ShotTest::Not(not) => ("not", ball_inner(not)),
        t => ball_leaf(t).unwrap_or(("all", "[]".into())),
    }
}

fn ball_leaf(t: &ShotTest) -> Option<Line> {
    Some(match t {
        ShotTest::By(who) => ("by", text(who.word())),
        ShotTest::Number(n) => ("number", n.to_string()),
        ShotTest::From(n) => ("from_number", n.to_string()),
        ShotTest::Stroke(x) => ("stroke", word(&Stroke::WORDS, x)),
        ShotTest::Volley(x) => ("volley", word(&VolleyKind::WORDS, x)),
        ShotTest::Wing(x) => ("wing", word(&WINGS, x)),
        ShotTest::Spin(x) => ("spin", word(&Spin::WORDS, x)),
        ShotTest::Pace(x) => ("pace", word(&Pace::WORDS, x)),
        ShotTest::To(x) => ("to", word(&ServeTo::WORDS, x)),
        ShotTest::ToWing(x) => ("to_wing", word(&TARGETS, &Some(*x))),
        ShotTest::ToWeaker(_) => ("to_wing", word::<Option<Target>>(&TARGETS, &None)),
        ShotTest::Depth(x) => ("depth", word(&Depth::WORDS, x)),
        ShotTest::Lane(x) => ("lane", word(&Lane::WORDS, x)),
        ShotTest::Goes(x) => ("goes", word(&Goes::WORDS, x)),
        ShotTest::Push(x) => ("pushes", word(&Push::WORDS, x)),
        ShotTest::Inside(yes) => ("inside_baseline", yes.to_string()),
        ShotTest::OpponentDeep(yes) => ("opponent_deep", yes.to_string()),
        ShotTest::OpponentLeaving(yes) => ("opponent_leaving", yes.to_string()),
        ShotTest::Approach(yes) => ("approach", yes.to_string()),
        ShotTest::AtNet(yes) => ("at_net", yes.to_string()),
        ShotTest::NetCord(yes) => ("net_cord", yes.to_string()),
        ShotTest::Missed(yes) => ("missed", yes.to_string()),
        ShotTest::Middle(yes) => ("middle_third", yes.to_string()),
        ShotTest::AtLeast(length, mm) => (of_length(*length, true), metres(*mm)),
        ShotTest::AtMost(length, mm) => (of_length(*length, false), metres(*mm)),
        ShotTest::Tagged(tag) => ("tagged", text(tag)),
        ShotTest::All(_) | ShotTest::Any(_) | ShotTest::Not(_) => return None,
    })
}

/// Millimetres in metres, as a file writes them.
fn metres(mm: u32) -> String {
    format!("{:?}", f64::from(mm) / 1000.0)
}

const fn of_length(length: Length, least: bool) -> &'static str {
    match (length, least) {
        (Length::Behind, true) => "behind_baseline_at_least",
        (Length::Behind, false) => "behind_baseline_at_most",
        (Length::OpponentBehind, true) => "opponent_behind_at_least",
        (Length::OpponentBehind, false) => "opponent_behind_at_most",
        (Length::FromNet, true) => "from_net_at_least",
        (Length::FromNet, false) => "from_net_at_most",
        (Length::OpponentFromMiddle, true) => "opponent_from_middle_at_least",
        (Length::OpponentFromMiddle, false) => "opponent_from_middle_at_most",
        (Length::OpponentAway, true) => "opponent_away_at_least",
        (Length::OpponentAway, false) => "opponent_away_at_most",
        (Length::Lands, true) => "lands_from_net_at_least",
        (Length::Lands, false) => "lands_from_net_at_most",
        (Length::Displaces, true) => "displaces_at_least",
        (Length::Displaces, false) => "displaces_at_most",
        (Length::PushesBack, true) => "pushes_back_at_least",
        (Length::PushesBack, false) => "pushes_back_at_most",
        (Length::Recovers, true) => "recovers_from_middle_at_least",
        (Length::Recovers, false) => "recovers_from_middle_at_most",
    }
}

fn serve(t: &ServeTest) -> Line {
    match t {
        ServeTest::To(x) => ("to", word(&ServeTo::WORDS, x)),
        ServeTest::ToWing(x) => ("to_wing", word(&Target::WORDS, x)),
        ServeTest::Pace(x) => ("pace", word(&Pace::WORDS, x)),
        ServeTest::Spin(x) => ("spin", word(&Spin::WORDS, x)),
        ServeTest::Kind(x) => ("fault_kind", word(&FaultKind::WORDS, x)),
        ServeTest::Fault(yes) => ("fault", yes.to_string()),
        ServeTest::Any(any) => {
            let lines: Vec<_> = any.iter().map(serve).collect();
            let key = lines.first().map_or("to", |l| l.0);
            (key, array(lines.into_iter().map(|l| l.1)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::stroke::Wing;

    #[test]
    fn the_weaker_wing_can_differ() {
        let file =
            PatternFile { weaker_wing: [None, Some(Wing::Backhand)], ..PatternFile::starter().unwrap() };
        let text = write(&file);
        assert!(text.contains("weaker_wing = { b = \"backhand\" }"), "{text}");
    }
}
