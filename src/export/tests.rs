use std::path::Path;

use proptest::prelude::*;

use super::*;
use crate::clips::{Lead, clip_list};
use crate::exchange::guarded;
use crate::facts::PointRef;
use crate::facts::tests::{footage, record};
use crate::pattern::PatternFile;
use crate::record::{Record, relative};
use crate::summary::tests::tagged;
use crate::summary::{Whose, summarise};

fn sheet_of(record: &Record, points: &[usize]) -> Sheet {
    let refs: Vec<_> = points.iter().map(|p| PointRef { record: 0, point: *p }).collect();
    let list = clip_list(&[record], &refs, Lead::default());
    Sheet::new("Drop shot", vec![Of::record("final.points.json", record)], Lead::default(), list)
}

#[test]
fn a_summary_for_people() {
    let all = PatternFile::starter().unwrap().patterns;
    let named = |name: &str| all.iter().find(|p| p.name == name).unwrap().clone();
    let patterns = [
        "Wide serve, open court",
        "Wide serve, deuce court",
        "T serve, ad court",
        "Serve at the body",
        "First serve in",
    ]
    .map(named);
    let mut table = summarise(&[&tagged(), &tagged(), &tagged(), &tagged()], &patterns, &Whose::Both);
    table.rows[1].pattern = "球 wide".into();
    insta::assert_snapshot!(table::summary(&table), @r"
    pattern                 won by  happened  won  lost  unknown         rate  95 % interval            other points  can't tell
    Wide serve, open court  server        12    8     0        4   100 % of 8       68–100 %   100 % of 8 (68–100 %)           8  too few points
    球 wide                 server         8    4     0        4   100 % of 4       51–100 %    67 % of 12 (39–86 %)           8  too few points
    T serve, ad court       server         0    0     0        0            –              –  100 % of 12 (76–100 %)           8
    Serve at the body       server         8    4     4        0    50 % of 8        22–78 %  100 % of 20 (84–100 %)           8  too few points
    First serve in          server        28   24     0        4  100 % of 24       86–100 %       0 % of 8 (0–32 %)           4

    48 points looked at
    ");
}

#[test]
fn clips_for_people() {
    let mut r = record("ABAB");
    r.points[3].end = None;
    insta::assert_snapshot!(table::clips(&sheet_of(&r, &[0, 2, 3])), @r#"
    clip  file               start           end  shows
       1  match.webm  00:00:08.000  00:00:16.000  point 1: Holt serves at 0–0, 0–0
       2  match.webm  00:00:28.000  00:00:36.000  point 3: Holt serves at 0–0, 15–15
    no clip of 1 point: no start or end was stamped (4)
    "#);
}

#[test]
fn a_playlist_with_fragments() {
    let mut r = record("A");
    r.about.a.name = "<Ho&lt>\u{0}".into();
    r.footage = vec![footage("a: b/ü#?.mp4", 0, 60)];
    insta::assert_snapshot!(xspf::clips(&sheet_of(&r, &[0])).unwrap(), @r#"
    <?xml version="1.0" encoding="UTF-8"?>
    <playlist version="1" xmlns="http://xspf.org/ns/0/">
      <title>Drop shot</title>
      <trackList>
        <track>
          <location>a%3A%20b/%C3%BC%23%3F.mp4#t=8,16</location>
          <title>point 1: &lt;Ho&amp;lt&gt;  serves at 0–0, 0–0</title>
          <annotation>&lt;Ho&amp;lt&gt;  serves, 0–0, deuce court; &lt;Ho&amp;lt&gt;  wins</annotation>
          <trackNum>1</trackNum>
          <duration>8000</duration>
        </track>
      </trackList>
    </playlist>
    "#);
}

#[test]
fn chapters_of_one_file() {
    let mut r = record("AB");
    r.about.a.name = "Holt\n\n00:00:01.000 --> 00:00:02.000\n<b>".into();
    insta::assert_snapshot!(webvtt::clips(&sheet_of(&r, &[0, 1])).unwrap(), @r#"
    WEBVTT

    clip-1
    00:00:08.000 --> 00:00:16.000
    point 1: Holt  00:00:01.000 --&gt; 00:00:02.000 &lt;b&gt; serves at 0–0, 0–0

    clip-2
    00:00:18.000 --> 00:00:26.000
    point 2: Holt  00:00:01.000 --&gt; 00:00:02.000 &lt;b&gt; serves at 0–0, 15–0
    "#);
    r.footage = vec![footage("one.mp4", 0, 18), footage("two.mp4", 18, 30)];
    let mut sheet = sheet_of(&r, &[0, 1]);
    let text = webvtt::clips(&sheet).unwrap_err().to_string();
    assert!(text.starts_with("the clips come from 2 files (one.mp4, two.mp4)"), "{text}");
    assert!(sheet.keep_file("three.mp4").unwrap_err().to_string().ends_with("one.mp4, two.mp4"));
    sheet.keep_file("two.mp4").unwrap();
    assert_eq!(webvtt::clips(&sheet).unwrap().matches("-->").count(), 1);
}

#[test]
fn a_spreadsheet_runs_nothing() {
    let mut r = record("A");
    r.about.a.name = "=1+1, \"x\"".into();
    r.footage[0].file = "@match.mp4".into();
    let text = csv::clips(&sheet_of(&r, &[0])).unwrap();
    insta::assert_snapshot!(text.replace('\r', "␍"), @r#"
    clip,record,file,start,end,start_seconds,end_seconds,match_start,match_end,points,label,about␍
    1,final.points.json,'@match.mp4,00:00:08.000,00:00:16.000,8,16,00:00:08.000,00:00:16.000,1,"point 1: =1+1, ""x"" serves at 0–0, 0–0","'=1+1, ""x"" serves, 0–0, deuce court; =1+1, ""x"" wins"␍
    "#);
    for (plain, safe) in
        [("=1", "'=1"), ("-1", "'-1"), ("'=1", "''=1"), ("'a", "'a"), ("a=1", "a=1"), ("", "")]
    {
        assert_eq!(guarded(plain), safe);
    }
}

#[test]
fn footage_is_named_from_where_the_export_lies() {
    let rel = |home: &str, file: &str, base: &str| relative(Path::new(home), file, Path::new(base));
    assert_eq!(rel("/m/day", "a.mp4", "/m/day"), "a.mp4");
    assert_eq!(rel("/m/day", "a.mp4", "/m"), "day/a.mp4");
    assert_eq!(rel("/m/day", "a.mp4", "/m/out/x"), "../../day/a.mp4");
    assert_eq!(rel("/m/day", "/other/a.mp4", "/m"), "../other/a.mp4");
    assert_eq!(rel("/m/day", "../a.mp4", "/m/out"), "../a.mp4", "not by way of day");
    assert_eq!(rel("/m/day", "../../b/a.mp4", "/m/day"), "../../b/a.mp4");
    assert_eq!(rel("/m", "../../a.mp4", "/m"), "../../a.mp4", "nothing lies above the root");
    assert_eq!(rel("/m/day", "set/../a.mp4", "/m"), "day/set/../a.mp4", "set may be a link");
}

proptest! {
    #[test]
    fn hostile_names_come_back_from_csv(name in any::<String>(), tag in "[=+@\t\r\n,\"'-]{1,4}.{0,5}") {
        let mut r = record("A");
        r.about.a.name = name;
        r.footage[0].file.clone_from(&tag);
        let sheet = sheet_of(&r, &[0]);
        let text = csv::clips(&sheet).unwrap();
        let mut reader = ::csv::Reader::from_reader(text.as_bytes());
        let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
        prop_assert_eq!(rows.len(), 1);
        for (at, want) in [(2, &tag), (10, &sheet.clips[0].label), (11, &sheet.clips[0].about)] {
            let got = &rows[0][at];
            prop_assert!(!got.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']));
            prop_assert!(got == want || got.strip_prefix('\'') == Some(want.as_str()));
        }
    }

    #[test]
    fn hostile_names_break_neither_chapters_nor_playlist(name in "(-->|\n|\r|&|<|>|WEBVTT|\\PC|\u{0}|\u{2028}){0,12}") {
        let mut r = record("ABA");
        r.about.a.name = name;
        let sheet = sheet_of(&r, &[0, 1, 2]);
        let text = webvtt::clips(&sheet).unwrap();
        prop_assert_eq!(text.matches("-->").count(), 3);
        let blocks: Vec<_> = text.split("\n\n").collect();
        prop_assert_eq!(blocks.len(), 4);
        for block in &blocks[1..] {
            prop_assert_eq!(block.trim_end_matches('\n').split('\n').count(), 3);
        }
        let xml = xspf::clips(&sheet).unwrap();
        let mut reader = quick_xml::Reader::from_str(&xml);
        loop {
            match reader.read_event() {
                Ok(quick_xml::events::Event::Eof) => break,
                Ok(_) => {}
                Err(e) => return Err(TestCaseError::fail(e.to_string())),
            }
        }
    }
}

/// An editor shows a list as it is written, also where a name holds marks that turn the direction of writing.
#[test]
fn an_edit_decision_list_has_no_empty_notes_and_no_marks_of_direction() {
    let mut sheet = sheet_of(&record("AB"), &[0, 1]);
    assert!(!sheet.clips.is_empty());
    for clip in &mut sheet.clips {
        clip.rate = "25".parse().ok();
        (clip.about, clip.label) = (" \u{202e}\n".into(), "Hol\u{202e}t \u{2067}לי".into());
    }
    let list = Format::Edl.text(&sheet).unwrap();
    assert!(list.contains("* FROM CLIP NAME: Holt לי\r\n") && !list.contains("COMMENT"), "{list}");
    let lines = Format::Lines.text(&sheet).unwrap();
    assert!(lines.contains("Holt לי\n") && !(list + &lines).contains(['\u{202e}', '\u{2067}']), "{lines}");
}
