//! The trade's words, and what each means. The first phrase of a row is the one that the screens use.

use std::cmp::Ordering;

use super::chip::{Meaning, Subject};
use crate::facts::{Goes, Lane, Push, Target};
use crate::pattern::{Condition, Moment, ShotTest, Who};
use crate::record::{Finish, Hand};
use crate::tennis::CourtSide;
use crate::tennis::stroke::{Depth, Miss, Pace, ServeTo, Spin, Stance, Stroke, Wing};

/// Phrases of one meaning.
type Row = (&'static [&'static str], Meaning);

/// Every phrase that means something by itself.
pub(super) fn phrases() -> Vec<Row> {
    [people(), serves(), strokes(), directions(), scores(), endings(), links()].concat()
}

fn shot(test: ShotTest) -> Meaning {
    Meaning::Shot(vec![test])
}

fn serve_to(to: ServeTo) -> Meaning {
    Meaning::Shot(vec![ShotTest::Number(1), ShotTest::To(to)])
}

fn people() -> Vec<Row> {
    vec![
        (&["server", "the server"], Meaning::Subject(Subject::Server)),
        (&["receiver", "the receiver", "returner", "the returner"], Meaning::Subject(Subject::Receiver)),
        (&["serving", "on serve", "serves"], Meaning::Serves(true)),
        (&["returning", "on return", "receiving", "receives"], Meaning::Serves(false)),
        (&["against", "vs", "versus"], Meaning::Against),
        (&["left-handed", "left-hander", "lefty"], Meaning::Hand(Hand::Left)),
        (&["right-handed", "right-hander"], Meaning::Hand(Hand::Right)),
    ]
}

fn serves() -> Vec<Row> {
    let stance = |s| Meaning::Point(Condition::Stance(s));
    vec![
        (&["first serve", "1st serve", "serve 1"], Meaning::Point(Condition::Serve(1))),
        (&["second serve", "2nd serve", "serve 2"], Meaning::Point(Condition::Serve(2))),
        (&["wide serve", "serve wide", "served wide", "serve out wide"], serve_to(ServeTo::Wide)),
        (&["body serve", "serve body", "serve at the body", "serve to the body"], serve_to(ServeTo::Body)),
        (&["T serve", "serve T", "serve down the T", "served down the T", "T"], serve_to(ServeTo::T)),
        (&["serve", "shot 1"], shot(ShotTest::Number(1))),
        (&["return", "shot 2", "returned", "return of serve"], shot(ShotTest::Number(2))),
        (&["serve plus one", "serve + 1", "plus one", "third shot", "shot 3"], shot(ShotTest::Number(3))),
        (&["fourth shot", "return plus one"], shot(ShotTest::Number(4))),
        (&["slow", "slow serve"], shot(ShotTest::Pace(Pace::Slow))),
        (&["medium", "medium pace"], shot(ShotTest::Pace(Pace::Medium))),
        (&["fast", "fast serve"], shot(ShotTest::Pace(Pace::Fast))),
        (&["by the centre mark"], stance(Stance::Centre)),
        (&["halfway to the sideline"], stance(Stance::Halfway)),
        (&["by the sideline"], stance(Stance::Wide)),
        (&["deuce court", "deuce side"], Meaning::Point(Condition::Court(CourtSide::Deuce))),
        (&["ad court", "ad side", "advantage court"], Meaning::Point(Condition::Court(CourtSide::Ad))),
    ]
}

fn strokes() -> Vec<Row> {
    let stroke = |s| shot(ShotTest::Stroke(s));
    vec![
        (&["groundstroke", "ground stroke"], stroke(Stroke::Groundstroke)),
        (&["volley", "volleyed"], stroke(Stroke::Volley)),
        (&["overhead", "smash"], stroke(Stroke::Overhead)),
        (&["lob", "lobbed"], stroke(Stroke::Lob)),
        (&["drop shot", "dropshot"], stroke(Stroke::DropShot)),
        (&["forehand", "fh"], shot(ShotTest::Wing(Wing::Forehand))),
        (&["backhand", "bh"], shot(ShotTest::Wing(Wing::Backhand))),
        (&["flat"], shot(ShotTest::Spin(Spin::Flat))),
        (&["topspin", "top spin"], shot(ShotTest::Spin(Spin::Topspin))),
        (&["slice", "sliced"], shot(ShotTest::Spin(Spin::Slice))),
        (&["approach", "approach shot", "approached"], shot(ShotTest::Approach(true))),
        (
            &["at the net", "net point", "net points"],
            shot(ShotTest::Any(vec![
                ShotTest::Stroke(Stroke::Volley),
                ShotTest::Stroke(Stroke::Overhead),
                ShotTest::Approach(true),
            ])),
        ),
    ]
}

fn directions() -> Vec<Row> {
    let lane = |l| shot(ShotTest::Lane(l));
    let goes = |g| shot(ShotTest::Goes(g));
    let to = |t| shot(ShotTest::ToWing(t));
    vec![
        (&["cross-court", "crosscourt"], lane(Lane::CrossCourt)),
        (&["down the line", "dtl", "up the line"], lane(Lane::DownTheLine)),
        (&["middle", "through the middle", "to the middle"], lane(Lane::Middle)),
        (&["inside-out"], lane(Lane::InsideOut)),
        (&["inside-in"], lane(Lane::InsideIn)),
        (&["open court", "into the open court"], goes(Goes::OpenCourt)),
        (&["behind the opponent", "hit behind", "wrong-footed", "back behind"], goes(Goes::Behind)),
        (&["short"], shot(ShotTest::Depth(Depth::Short))),
        (&["mid", "mid-court"], shot(ShotTest::Depth(Depth::Mid))),
        (&["deep"], shot(ShotTest::Depth(Depth::Deep))),
        (&["to the forehand"], to(Target::Forehand)),
        (&["to the backhand"], to(Target::Backhand)),
        (&["to the body", "at the body", "body"], to(Target::Body)),
        (&["brings the opponent in", "pulls in", "opponent pulled in"], shot(ShotTest::Push(Push::In))),
        (
            &["pushes the opponent back", "pushes back", "opponent pushed back"],
            shot(ShotTest::Push(Push::Back)),
        ),
        (&["leaves the opponent's depth as it was"], shot(ShotTest::Push(Push::Held))),
        (&["inside the baseline"], shot(ShotTest::Inside(true))),
        (&["behind the baseline"], shot(ShotTest::Inside(false))),
        (&["missed"], shot(ShotTest::Missed(true))),
        (&["landed", "in court"], shot(ShotTest::Missed(false))),
    ]
}

fn scores() -> Vec<Row> {
    let moment = |m| Meaning::Point(Condition::Moment(m, true));
    let set = |n| Meaning::Point(Condition::Set(n));
    vec![
        (&["break point"], moment(Moment::BreakPoint)),
        (&["game point"], moment(Moment::GamePoint)),
        (&["set point"], moment(Moment::SetPoint)),
        (&["match point"], moment(Moment::MatchPoint)),
        (&["tie-break", "tiebreak"], moment(Moment::TieBreak)),
        (&["big points", "big point", "important point", "important"], moment(Moment::Important)),
        (&["other points"], Meaning::Point(Condition::Moment(Moment::Important, false))),
        (&["set 1", "first set", "1st set"], set(1)),
        (&["set 2", "second set", "2nd set"], set(2)),
        (&["set 3", "third set", "3rd set"], set(3)),
        (&["set 4", "fourth set", "4th set"], set(4)),
        (&["set 5", "fifth set", "5th set"], set(5)),
        (&["behind in the game", "behind", "trailing"], Meaning::Standing(Ordering::Less)),
        (&["level in the game", "level"], Meaning::Standing(Ordering::Equal)),
        (&["ahead in the game", "ahead", "leading"], Meaning::Standing(Ordering::Greater)),
        (&["deuce", "at deuce"], called("deuce")),
        (&["advantage server", "ad in"], called("advantage server")),
        (&["advantage receiver", "ad out"], called("advantage receiver")),
        (&["short rally", "1 to 4 shots"], Meaning::Point(Condition::Rally(1..=4))),
        (&["medium rally", "5 to 8 shots"], Meaning::Point(Condition::Rally(5..=8))),
        (&["long rally", "9 shots or more"], Meaning::Point(Condition::Rally(9..=usize::MAX))),
    ]
}

/// A score that the table of calls has.
fn called(word: &str) -> Meaning {
    let call = crate::pattern::CALLS.iter().find(|(w, _)| *w == word);
    call.map_or(Meaning::Filler, |(_, call)| Meaning::Point(Condition::Called(*call)))
}

fn endings() -> Vec<Row> {
    let finish = |f| Meaning::Finish(vec![f]);
    vec![
        (&["ace"], finish(Finish::Ace)),
        (&["double fault"], finish(Finish::DoubleFault)),
        (&["winner"], finish(Finish::Winner)),
        (&["forced error"], finish(Finish::ForcedError)),
        (&["unforced error"], finish(Finish::UnforcedError)),
        (&["error", "mistake"], Meaning::Finish(vec![Finish::ForcedError, Finish::UnforcedError])),
        (&["in the net", "net", "into the net"], Meaning::Miss(Miss::Net)),
        (&["long"], Meaning::Miss(Miss::Long)),
        (&["wide"], Meaning::Miss(Miss::Wide)),
        (&["won", "wins", "win"], Meaning::Won(true)),
        (&["lost", "loses", "loss"], Meaning::Won(false)),
        (&["saved", "saved by the server"], Meaning::Point(Condition::Winner(Who::Server))),
        (&["converted"], Meaning::Point(Condition::Winner(Who::Receiver))),
        (&["last shot", "at the end", "finally"], Meaning::Last),
    ]
}

fn links() -> Vec<Row> {
    vec![
        (&["answered by"], Meaning::Then(1)),
        (&["then", "followed by"], Meaning::Then(2)),
        (&["later", "and later"], Meaning::Then(10_000)),
        (&["not", "no", "without"], Meaning::Not),
        (&["or"], Meaning::Or),
        (&["by"], Meaning::By),
        (
            &[
                "and", "with", "a", "an", "the", "at", "in", "on", "of", "point", "points", "shot", "shots",
                "rally", "from", "to", "all", "every", "when", "where", "for", "match", "court", "played",
                "plays", "was", "is",
            ],
            Meaning::Filler,
        ),
    ]
}
