//! Tests of what a page says.

use std::time::Duration;

use super::along::{Cut, bytes};
use super::content::{Content, html};
use super::names::{Names, Naming};
use super::vtt;
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::lesson::{
    Chapter, Clip, Condition, Footage, Freeze, Ground, Lesson, Met, Pace, Part, Picture, Still, Stretch,
};
use crate::measure::{Camera, Size};
use crate::tennis::court::Spot;
use crate::time::MatchTime;

fn at(millis: u64) -> MatchTime {
    MatchTime::from_millis(millis)
}

fn clip(caption: &str) -> Clip {
    Clip {
        footage: Footage { file: "a.mp4".into(), fingerprint: None, duration: at(60_000), rate: None },
        from: at(10_000),
        to: at(14_000),
        caption: caption.into(),
        score: "Holt–Okafor 2–1 30–40".into(),
        notes: "only for the coach".into(),
        of: None,
        pattern: "Mara Holt drops".into(),
        conditions: vec![Condition { words: "opponent deep".into(), met: Met::Met }],
        stretches: vec![Stretch { from: at(11_000), to: at(12_000), pace: Pace(50) }],
        freezes: vec![Freeze {
            at: at(12_500),
            lasts: at(2_000),
            drawings: vec![Drawing {
                shape: Shape::Text { at: Anchor::Picture(100, 200), words: caption.into() },
                colour: Colour::Yellow,
                from: at(0),
                to: at(2_000),
            }],
        }],
        drawings: Vec::new(),
        times: None,
    }
}

fn page(parts: Vec<Part>, title: &str) -> (Content, String) {
    page_on(parts, title, &|_, _| None)
}

fn page_on(parts: Vec<Part>, title: &str, ground: Ground<'_>) -> (Content, String) {
    let lesson = Lesson { title: title.into(), player: "Mara Holt".into(), parts, ..Lesson::default() };
    let cut = |n| Cut {
        name: format!("clips/{n:02}"),
        size: (640, 360),
        rate: 30.0,
        from: at(10_000),
        to: at(14_000),
    };
    let cuts: Vec<Cut> = (1..=lesson.parts.len()).map(cut).collect();
    let names = Names::of(&["Mara Holt".into(), "Ada Okafor".into()], Naming::First);
    let content = Content::of(&lesson, &cuts, &names, ground);
    let page = html(&content).unwrap();
    (content, page)
}

#[test]
fn a_page_says_what_the_lesson_does_but_not_the_coachs_notes_and_by_first_names() {
    let chapter = Chapter { title: "Drop shots".into(), notes: "secret".into() };
    let court = Still {
        caption: "Where they land".into(),
        lasts: at(4_000),
        shows: Picture::Court(Vec::new()),
        ..still()
    };
    let parts = vec![
        Part::Chapter(chapter),
        Part::Clip(Box::new(clip("Mara Holt waits."))),
        Part::Still(Box::new(court)),
    ];
    let (content, page) = page(parts, "For Thursday");
    assert_eq!(content.chapters.len(), 1);
    let show = content.shows().next().unwrap();
    assert_eq!((show.score.as_str(), show.caption.as_str()), ("Mara–Ada 2–1 30–40", "Mara waits."));
    assert_eq!(show.films[0].stretches, "1.000,2.000,0.50");
    assert_eq!((show.films[0].freezes[0].0, show.films[0].freezes[0].1), (2.5, 2.0));
    assert_eq!(content.patterns, [("Mara drops".to_owned(), vec![1])]);
    assert!(page.contains("By pattern"));
    assert_eq!(content.conditions[0].answers, [("met", vec![1])]);
    assert!(!page.contains("secret") && !page.contains("only for the coach") && !page.contains("Holt"));
    assert!(page.contains("clips/01.mp4") && page.contains("court-lines"));
    assert_eq!(
        vtt::captions(&show.films[0].captions, Duration::from_secs(4)),
        "WEBVTT\n\n1\n00:00:00.000 --> 00:00:04.000\nMara waits.\n"
    );
}

fn still() -> Still {
    serde_json::from_str(r#"{"lasts":"00:00:04.000","shows":{"words":"w"}}"#).unwrap()
}

/// A camera that looks a little farther to the right with each frame of the clip.
fn camera(moment: MatchTime) -> Option<Camera> {
    let aside = ((moment - at(10_000)).as_secs_f64() * 30.0 + 0.01).floor() * 0.03;
    Camera::looking([0.0, -23.8872, 5.0], [aside, -2.0, 0.0], 60.0, Size::new(640, 360))
}

/// The middle of all corners of a picture's lines, in the clip's pixels.
fn middle(svg: &super::picture::Svg) -> (f64, f64) {
    let [.., super::picture::Mark::Line { path, .. }] = &svg.marks[..] else { panic!("{svg:?}") };
    let numbers: Vec<f64> = path.split(['M', 'L', 'Z', ' ']).filter_map(|n| n.parse().ok()).collect();
    let of = |axis: usize| {
        let all = || numbers.iter().skip(axis).step_by(2).copied();
        let (least, most) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
        f64::midpoint(least, most) * 360.0 / f64::from(svg.height)
    };
    (of(0), of(1))
}

fn on_ground() -> Clip {
    let shape = Shape::Ring { middle: Anchor::on_ground(Spot::new(1.0, -6.0)), radius: 600 };
    let ring = Drawing { shape, colour: Colour::Yellow, from: at(10_500), to: at(11_500) };
    Clip { drawings: vec![ring], freezes: Vec::new(), ..clip("") }
}

#[test]
fn what_lies_on_the_ground_is_drawn_where_each_frame_sees_it() {
    let of = |ground: Ground<'_>| page_on(vec![Part::Clip(Box::new(on_ground()))], "", ground);
    let drawn = |page: &(Content, String)| page.0.shows().next().unwrap().films[0].drawings.clone();
    let (none, moving) = (of(&|_, _| None), of(&|_, t| camera(t)));
    assert_eq!(drawn(&none), [], "without a camera");
    assert_eq!(drawn(&of(&|_, _| camera(at(10_000)))).len(), 1, "a camera that stands");
    let all = drawn(&moving);
    assert_eq!(all.len(), 30, "one for each frame");
    assert!(all.windows(2).all(|w| (w[0].1 - w[1].0).abs() < 1e-9), "one after the other");
    for (from, to, svg) in &all {
        assert!((to - from - 1.0 / 30.0).abs() < 1e-6, "{from} {to}");
        let shown = camera(at(10_000).later(Duration::from_secs_f64(*from + 0.01))).unwrap();
        let wanted = shown.see_ground(Spot::new(1.0, -6.0)).unwrap();
        let (x, y) = middle(svg);
        // The middle of a ring in the picture is a little above that on the ground.
        assert!((x - wanted.x).abs() < 0.5 && (y - wanted.y).abs() < 2.0, "{from}: {x} {y} {wanted:?}");
    }
    let lost = of(&|_, t| camera(t).filter(|_| t < at(11_000)));
    let until = drawn(&lost).last().unwrap().1;
    assert!((until - 1.0).abs() < 1e-6, "the court is not held from then on: {until}");
    // The size that is said counts them.
    let cut = Cut { name: String::new(), size: (640, 360), rate: 30.0, from: at(10_000), to: at(14_000) };
    let (counted, took) = (bytes(&on_ground(), &cut, &|_, t| camera(t)), moving.1.len() - none.1.len());
    assert!((took as u64..took as u64 * 5 / 4).contains(&counted), "{counted} {took}");
}

/// What a stranger may have written: it stays words.
#[test]
fn no_text_becomes_part_of_the_page() {
    let bad = [
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "'\" onmouseover='x' &lt;b&gt; {{ 7*7 }} {% raw %}",
        "=1+1 </title></textarea></svg><svg onload=alert(1)>",
        "a\u{202e}b\u{0}c\u{1b}[2J --> \u{feff}",
        "WEBVTT\n\n1\n00:00:00.000 --> 99:00:00.000\nno",
        &"long ".repeat(2_000),
    ];
    for text in bad {
        let mut one = clip(text);
        one.score = text.into();
        one.conditions[0].words = text.into();
        let chapter = Chapter { title: text.into(), notes: String::new() };
        let words = Still { caption: text.into(), shows: Picture::Words(text.into()), ..still() };
        let (content, page) =
            page(vec![Part::Chapter(chapter), Part::Clip(Box::new(one)), Part::Still(Box::new(words))], text);
        let ours = ["<script src=\"page.js\" defer></script>"];
        let rest = ours.iter().fold(page.clone(), |p, o| p.replace(o, ""));
        for no in ["<script", "<img src=x", "<svg onload", "{{", "\u{202e}", "\u{0}", "\u{1b}", "<b>"] {
            assert!(!rest.contains(no) || no == "{{", "{no} of {text}");
        }
        assert_eq!(rest.matches("</textarea>").count(), 2, "{text}");
        assert_eq!(rest.matches("<title>").count(), 1);
        let cues = vtt::captions(&content.shows().next().unwrap().films[0].captions, Duration::from_secs(4));
        assert_eq!(cues.matches(" --> ").count(), 1, "{cues}");
        assert_eq!(cues.matches("\n\n").count(), 1, "{cues}");
    }
}
