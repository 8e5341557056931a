//! Tests of what a page says.

use std::time::Duration;

use super::content::{Content, Cut, html};
use super::names::{Names, Naming};
use super::vtt;
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::lesson::{
    Chapter, Clip, Condition, Footage, Freeze, Lesson, Met, Pace, Part, Picture, Still, Stretch,
};
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
    let lesson = Lesson { title: title.into(), player: "Mara Holt".into(), parts, ..Lesson::default() };
    let cut = |n| Cut {
        name: format!("clips/{n:02}"),
        size: (640, 360),
        rate: 30.0,
        from: at(10_000),
        to: at(14_000),
        camera: None,
    };
    let cuts: Vec<Cut> = (1..=lesson.parts.len()).map(cut).collect();
    let names = Names::of(&["Mara Holt".into(), "Ada Okafor".into()], Naming::First);
    let content = Content::of(&lesson, &cuts, &names);
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
