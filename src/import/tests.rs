use std::fmt::Write;

use proptest::prelude::*;

use super::*;
use crate::export::points;
use crate::record::{Finish, Kind, Logged, MatchInfo, Outcome, Player, Record, Shot, Source, Whose};
use crate::tennis::pair::Server;
use crate::tennis::rules::{Rules, Sides};
use crate::tennis::stroke::{Cell, Column, Depth, FaultKind, Miss, Row, Stroke, VolleyKind};
use crate::tennis::{CourtSide, End, Side};
use crate::time::MatchTime;

/// The only match of a text that is right.
fn chart(text: &str) -> Chart {
    let mut all: Vec<_> = parse(text.as_bytes()).collect::<Result<_, _>>().unwrap();
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn record(text: &str) -> Record {
    chart(text).record(MatchInfo::default(), None)
}

/// All that is wrong with a text.
fn wrong(text: &[u8]) -> String {
    let mut said = String::new();
    for e in parse(text).filter_map(Result::err) {
        writeln!(said, "{e}").unwrap();
    }
    said
}

#[test]
fn every_column_in_any_order() {
    let record = record(
        "note,Winner, finish ,tags,start,end,serve,server\r\n\
         \"long\nrally, \"\"deep\"\"\", A ,Double-Fault,\" wide ; body;;a\\;b\",0:12:03.5,724.25,2,b\r\n\
         '=1+1,b,,,,,1,\r\n\
         ,?,unforced_error,,,,2,\r\n\
         ,LET,,,,,,\r\n",
    );
    let point = |winner| crate::record::Point { winner, ..Point::default() };
    assert_eq!(record.about.first_server, Side::B);
    assert_eq!(
        record.points,
        [
            Point {
                start: Some(MatchTime::from_millis(723_500)),
                end: Some(MatchTime::from_millis(724_250)),
                faults: Some(2),
                finish: Some(Finish::DoubleFault),
                tags: ["wide", "body", "a;b"].map(String::from).into(),
                note: "long\nrally, \"deep\"".into(),
                ..point(Some(Side::A))
            },
            Point { faults: Some(0), note: "=1+1".into(), ..point(Some(Side::B)) },
            Point { faults: Some(1), finish: Some(Finish::UnforcedError), ..point(None) },
            Point { replayed: true, ..point(None) },
        ]
    );
}

#[test]
fn a_match_that_its_score_did_not_end() {
    let all: Vec<_> =
        parse(&b"match,winner,outcome\none,a,\none,b,B-Retired\ntwo,a,unfinished\ntwo,b,\nthree,a,\n"[..])
            .map(Result::unwrap)
            .collect();
    let outcomes = [Some(Outcome::Retired(Side::B)), Some(Outcome::Unfinished), None];
    assert_eq!(all.iter().map(|c| c.outcome).collect::<Vec<_>>(), outcomes);
    // What the file says comes before what the caller says of all.
    let about = MatchInfo { outcome: Some(Outcome::Defaulted(Side::A)), ..MatchInfo::default() };
    let ended: Vec<_> = all.into_iter().map(|c| c.record(about.clone(), None).about.outcome).collect();
    assert_eq!(ended, [outcomes[0], outcomes[1], about.outcome]);
    let text = b"match,winner,outcome\none,a,a retired\none,b,A retired\none,b,b retired\ntwo,a,b retird\n";
    insta::assert_snapshot!(wrong(text), @r#"
    line 4, column outcome: found "b retired"; a row of this match before it says "a retired"
    line 5, column outcome: found "b retird"; allowed: a retired, b retired, a defaulted, b defaulted, unfinished; did you mean "b retired"?
    "#);
}

#[test]
fn only_the_winner_is_needed() {
    let record = record("winner\na\nb\nB");
    assert_eq!(
        record.points.iter().map(|p| p.winner).collect::<Vec<_>>(),
        [Side::A, Side::B, Side::B].map(Some)
    );
    assert_eq!(record.about.first_server, Side::A);
}

/// ITF Rules of Tennis, rule 14 (order of service): the server changes after each game.
#[test]
fn a_server_who_follows_is_not_noted_and_one_who_does_not_is() {
    let game = |server: &str| format!("{server},a\n").repeat(4);
    let all = format!("server,winner\n{}{}{}", game("b"), game("a"), game("b"));
    let taken = record(&all);
    assert_eq!(taken.about.first_server, Side::B);
    assert!(taken.points.iter().all(|p| p.served_by.is_none()));
    let replay = taken.replay();
    assert_eq!([0, 4, 8].map(|n: usize| replay.states[n].server), [Side::B, Side::A, Side::B]);
    let odd = record(&format!("server,winner\n{}b,a\n{}", game("b"), "a,a\n".repeat(3)));
    assert_eq!(odd.points[4].served_by, Some(Server::B));
    assert_eq!(odd.points.iter().filter(|p| p.served_by.is_some()).count(), 1);
    // The first server seen tells who began, even when that is in the second game.
    assert_eq!(record(&format!("server,winner\n{}a,a", game(""))).about.first_server, Side::B);
    assert_eq!(record(&format!("server,winner\n{}b,a", game(""))).about.first_server, Side::A);
    // What the caller knows comes first, and what was seen then goes against it.
    let told = chart("server,winner\nb,a\n").record(MatchInfo::default(), Some(Side::A));
    assert_eq!((told.about.first_server, told.points[0].served_by), (Side::A, Some(Server::B)));
}

#[test]
fn partners_only_in_doubles() {
    let text = "server,winner\nb2,a\nb2,b\n";
    assert!(wrong(text.as_bytes()).contains("line 2, column server: found \"b2\"; allowed: a, b (a1,"));
    let chart = parse(text.as_bytes()).pairs(true).next().unwrap().unwrap();
    let about =
        MatchInfo { rules: Rules { sides: Sides::Doubles, ..Rules::default() }, ..MatchInfo::default() };
    let record = chart.record(about, None);
    assert_eq!(record.about.first_server, Side::B);
    // The first sight of a partner is worth noting, the second follows from it.
    assert_eq!(record.points.iter().map(|p| p.served_by).collect::<Vec<_>>(), [Some(Server::B2), None]);
}

#[test]
fn several_matches() {
    let text = "match,winner\n one ,a\n\"one\",b\n\ntwo,a\n'=3,b\n";
    let all: Vec<_> = parse(text.as_bytes()).map(Result::unwrap).collect();
    let shown: Vec<_> = all.iter().map(|c| (c.name.as_deref().unwrap(), c.line, c.points.len())).collect();
    assert_eq!(shown, [("one", 2, 2), ("two", 5, 1), ("=3", 6, 1)]);
    assert!(parse(text.as_bytes()).names_matches());
    assert!(!parse(&b"winner\na"[..]).names_matches());
}

#[test]
fn each_bad_cell_is_told() {
    let text = b"match,start,end,server,serve,winner,finish,note\n\
        m,1:2:3:4,,x,3,c,winer,\n\
        m,5,4,,,,,\n\
        m,,7,,1,a,double fault,\n\
        m,1e3,9,,,a,,\n\
        ,,,,,a,,\n\
        m,,,,,a,\xff,\xfe\n\
        m,a\n\
        n,,,,,a,,\n\
        m,,,,,a,,x\"y\n\
        m,\"0\"\"\",,,,\"a\n\",,\n";
    insta::assert_snapshot!(wrong(text), @r#"
    line 2, column winner: found "c"; allowed: a, b, ? (not known), let (played again)
    line 2, column start: found "1:2:3:4"; allowed: seconds or hours:minutes:seconds, as 723.5 or 0:12:03.5
    line 2, column finish: found "winer"; allowed: ace, double fault, winner, forced error, unforced error; did you mean "winner"?
    line 2, column server: found "x"; allowed: a, b (a1, a2, b1, b2 only under rules for doubles)
    line 2, column serve: found "3"; allowed: 1, 2
    line 3, column winner: found nothing; allowed: a, b, ? (not known), let (played again)
    line 3, column end: found 00:00:04.000; it must be after the start, 00:00:05.000
    line 4, column end: found 00:00:07.000; a point with an end needs a start
    line 4, column serve: found 1 with a double fault; allowed with it: 2, or nothing
    line 5, column start: found "1e3"; allowed: seconds or hours:minutes:seconds, as 723.5 or 0:12:03.5
    line 6, column match: found nothing; each row names its match
    line 7, column finish: found bytes that are not UTF-8; save the file as CSV in UTF-8
    line 7, column note: found bytes that are not UTF-8; save the file as CSV in UTF-8
    line 8: 2 cells, but the header has 8
    line 10: a quote within a cell; put the whole cell in quotes, and write each quote within it twice
    line 10, column match: "m" appears again after line 2; keep the rows of a match together
    line 11, column start: found "0""; allowed: seconds or hours:minutes:seconds, as 723.5 or 0:12:03.5
    "#);
}

#[test]
fn each_bad_header_is_told() {
    let all = [
        "",
        "winner",
        "\n\n",
        "a\nb\n",
        "start,Winers,winner,Winner,note,note \n",
        "start;end;winner\n",
        "start\tend\twinner\n",
        "start,end\n1,2\n",
        "winner,\u{1b}[2J,\0\na,,\n",
        "\"winner\n",
        "\"winner\"x\na\n",
    ];
    let said: Vec<_> = all.map(|text| wrong(text.as_bytes())).into();
    insta::assert_snapshot!(said.join("--\n"), @r#"
    it is empty; its first row must name the columns; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    --
    there are no points below its first row
    --
    it is empty; its first row must name the columns; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    --
    line 1: column 1 cannot be named "a"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    --
    line 1: column 2 cannot be named "Winers"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source; did you mean "winner"?
    line 1: columns 3 and 4 are both named winner
    line 1: columns 5 and 6 are both named note
    --
    there are no points below its first row
    --
    there are no points below its first row
    --
    line 1: the first row names no column winner, which is required
    --
    line 1: column 2 cannot be named "\u{1b}[2J"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    line 1: column 3 cannot be named "\u{0}"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source
    --
    line 1: a quote is opened here and never closed
    --
    line 1: a quote within a cell; put the whole cell in quotes, and write each quote within it twice
    line 1: column 1 cannot be named "winnerx"; allowed: match, start, end, server, serve, winner, finish, tags, note, outcome, miss, unreturned, lets, penalty, time violation, faults, shots, logged, court, served from, joined late, first by, left early, tag of, player a, player b, score, event, source; did you mean "winner"?
    "#);
    assert_eq!(wrong(b"\xff\xfew\0i\0"), "line 1: it is written in UTF-16; save it as CSV in UTF-8\n");
    assert_eq!(wrong(&[0xff; 10]).lines().count(), 1);
    let wide = vec!["x"; 100_000].join(",");
    assert_eq!(wrong(wide.as_bytes()).lines().count(), 10);
}

#[test]
fn a_row_that_is_wrong_is_a_row() {
    assert_eq!(wrong(b"winner,note\na\n"), "line 2: 1 cell, but the header has 2\n");
    assert_eq!(
        wrong(b"match,winner\n,a\n"),
        "line 2, column match: found nothing; each row names its match\n"
    );
}

#[test]
fn a_record_holds_so_many_points_and_no_more() {
    let rows = |n| format!("winner\n{}", "a\n".repeat(n));
    assert_eq!(chart(&rows(20_000)).points.len(), 20_000);
    insta::assert_snapshot!(wrong(rows(29_000).as_bytes()), @r"
    line 20002: this match has more than 20000 points, the most that a record can hold
    ");
}

#[test]
fn a_field_as_long_as_a_row_may_be() {
    let note = "é\n".repeat(300_000);
    assert_eq!(chart(&format!("winner,note\na,\"{note}\"\n")).points[0].note, note);
}

#[test]
fn a_source_that_fails_in_the_middle() {
    struct Gone;
    impl Read for Gone {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("the disk is gone"))
        }
    }
    let said: Vec<_> = parse(b"winner\na\n".chain(Gone)).map(|r| r.map_err(|e| e.to_string())).collect();
    assert_eq!(said, [Err("cannot read it: the disk is gone".to_owned())]);
}

/// What is seldom noted of a point.
fn seldom() -> impl Strategy<Value = Point> {
    let side = || proptest::option::weighted(0.2, prop_oneof![Just(Side::A), Just(Side::B)]);
    let shot = || {
        let cell = || proptest::option::of((0..3usize, proptest::option::of(0..3usize)));
        (cell(), cell(), any::<[bool; 3]>(), 0..4usize, 0..3usize).prop_map(
            |(cell, aim, [at_net, net_cord, half], fault, depth)| {
                let of = |(c, r): (usize, Option<usize>)| Cell {
                    column: Column::ALL[c],
                    row: r.map(|r| Row::ALL[r]),
                };
                Shot {
                    cell: cell.map(of),
                    aim: aim.map(of),
                    at_net,
                    net_cord,
                    stroke: half.then_some(Stroke::Volley),
                    volley: half.then_some(VolleyKind::Half),
                    fault: Some(FaultKind::WORDS[fault].1),
                    depth: Some(Depth::WORDS[depth].1),
                    ..Shot::default()
                }
            },
        )
    };
    let miss = proptest::option::of(proptest::sample::select(vec![Miss::Net, Miss::Long, Miss::Wide]));
    let shots = || proptest::collection::vec(shot(), 0..3);
    let lets = proptest::option::of(0..3u8);
    let logged = proptest::option::of(prop_oneof![Just(Logged::Every), Just(Logged::Opening)]);
    (miss, any::<[bool; 2]>(), lets, side(), side(), shots(), shots(), logged).prop_map(
        |(miss, [also_wide, unreturned], lets, penalty, time_violation, serves_out, shots, logged)| Point {
            miss,
            also_wide: also_wide && miss == Some(Miss::Long),
            unreturned,
            lets,
            penalty,
            time_violation,
            serves_out,
            shots,
            logged,
            ..Point::default()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Shots, aims, kinds of faults and all else that is seldom noted go out and come in again.
    #[test]
    fn what_is_seldom_noted_survives(points in proptest::collection::vec(seldom(), 1..20)) {
        let record = Record { points: points.into(), ..Record::default() };
        let text = points::csv(&[("m", &record)]).unwrap();
        let again = chart(&text).record(MatchInfo::default(), Some(Side::A));
        for (a, b) in again.points.iter().zip(&record.points) {
            prop_assert_eq!(&Point { served_by: None, ..a.clone() }, b);
        }
        prop_assert_eq!(again.points.len(), record.points.len());
        prop_assert_eq!(points::left_out(&record), Vec::<String>::new());
    }
}

#[test]
fn seldom_columns_say_what_they_take() {
    insta::assert_snapshot!(
        wrong(b"winner,miss,lets,penalty,shots,logged,unreturned\na,nett,many,c,up forhand,all,maybe\n"), @r#"
    line 2, column miss: found "nett"; allowed: net, long, wide, long and wide; did you mean "net"?
    line 2, column unreturned: found "maybe"; allowed: yes, no
    line 2, column lets: found "many"; allowed: a whole number from 0 to 255, how many serves were lets
    line 2, column penalty: found "c"; allowed: a, b
    line 2, column shots: found "forhand"; allowed: forehand, backhand, flat, topspin, slice, slow, medium, fast, groundstroke, volley, overhead, lob, drop-shot, half-volley, swinging-volley, up-left, up, up-right, left, middle, right, down-left, down, down-right, left-third, middle-third, right-third, short, mid, deep, fault:net, fault:long, fault:wide, fault:foot, approach, at-net, net-cord, aim:, landed-at:, aimed-at:, players-at:, time:, seen:, ?; did you mean "forehand"?
    line 2, column logged: found "all"; allowed: opening, every
    "#
    );
}

fn a_point() -> impl Strategy<Value = Point> {
    let side = prop_oneof![8 => Just(Some(Side::A)), 8 => Just(Some(Side::B)), 1 => Just(None)];
    let server = proptest::option::weighted(0.1, prop_oneof![Just(Server::A), Just(Server::B1)]);
    let times = proptest::option::of((0u64..1 << 50, 1u64..1 << 40));
    let finish = proptest::option::of(proptest::sample::select(vec![
        Finish::Ace,
        Finish::Winner,
        Finish::ForcedError,
        Finish::DoubleFault,
    ]));
    let tag = "[a-z;\\\\'=,\"é-]{1,5}";
    let note = "['=@+a\r\n\t\",; \0é]{0,6}";
    let faults = proptest::option::of(0u8..3);
    (side, server, times, faults, finish, proptest::collection::btree_set(tag, 0..3), note, 0..20).prop_map(
        |(winner, served_by, times, faults, finish, tags, note, let_)| Point {
            winner,
            served_by,
            start: times.map(|(s, _)| MatchTime::from_nanos(s)),
            end: times.map(|(s, d)| MatchTime::from_nanos(s + d)),
            faults: if finish == Some(Finish::DoubleFault) { faults.and(Some(2)) } else { faults },
            finish,
            tags,
            note,
            replayed: let_ == 0,
            ..Point::default()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// What the export writes, the import reads, and the export writes again.
    #[test]
    fn the_columns_survive(
        points in proptest::collection::vec(a_point(), 1..120),
        first in prop_oneof![Just(Side::A), Just(Side::B)],
        // A server who goes against the order could be taken for the first, if nobody told who that was.
        observed in any::<bool>(),
        rules in proptest::sample::select(vec!["best-of-3", "doubles-match-tie-break-10", "drill"]),
        ended in proptest::option::of(proptest::sample::select(vec![
            Outcome::Retired(Side::A), Outcome::Defaulted(Side::B), Outcome::Unfinished,
        ])),
    ) {
        let rules = Rules::named(rules).unwrap();
        let about = MatchInfo { rules, first_server: first, ..MatchInfo::default() };
        let pairs = rules.sides != Sides::Singles;
        let mut record = Record { about: about.clone(), points: points.into(), ..Record::default() };
        record.about.outcome = ended;
        for point in &mut record.points {
            point.served_by = point.served_by.filter(|_| observed);
            point.served_by = point.served_by.map(|s| if pairs { s } else { Server::new(s.side(), None) });
        }
        let text = points::csv(&[("m", &record)]).unwrap();
        let chart = parse(text.as_bytes()).pairs(pairs).next().unwrap().unwrap();
        let again = chart.record(about, observed.then_some(first));
        prop_assert_eq!(points::csv(&[("m", &again)]).unwrap(), text);
        prop_assert_eq!(again.about.outcome, ended);
        for (a, b) in again.points.iter().zip(&record.points) {
            prop_assert_eq!((a.start, a.end, &a.tags, &a.note), (b.start, b.end, &b.tags, &b.note));
            prop_assert_eq!((a.winner, a.replayed, a.finish), (b.winner.filter(|_| !b.replayed), b.replayed, b.finish));
        }
    }

    /// No bytes make the reader fail in another way than by telling what is wrong.
    #[test]
    fn any_bytes_are_taken(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let text = [b"match,winner,start,tags\n", &bytes[..]].concat();
        for chart in parse(&text[..]).flatten() {
            let _ = chart.record(MatchInfo::default(), None);
        }
    }
}

/// However wide: no more than ten faults are worked out, each with its nearest word.
#[test]
fn a_header_of_a_hundred_thousand_columns_has_ten_faults_told() {
    let unknown: Vec<String> = (0..100_000).map(|n| format!("c{n}")).collect();
    let twice = vec!["winner"; 100_000];
    for (header, first) in
        [(unknown.join(","), "column 1 cannot be named"), (twice.join(","), "columns 1 and 2")]
    {
        let all: Vec<_> = parse(header.as_bytes()).filter_map(Result::err).collect();
        assert_eq!(all.len(), 10);
        assert!(all.iter().all(|e| matches!(e, ImportError::Header { line: 1, .. })), "{all:?}");
        assert!(all[0].to_string().contains(first), "{}", all[0]);
    }
}

#[test]
fn what_no_record_holds_is_told_with_its_line() {
    let tags = (0..501).map(|n| n.to_string()).collect::<Vec<_>>().join(";");
    let text = format!("winner,tags\na,{tags}\nb,{}\n", "x".repeat(1_001));
    insta::assert_snapshot!(wrong(text.as_bytes()), @r"
    line 2, column tags: found 501 tags; allowed: 500 at most
    line 3, column tags: found a tag of 1001 letters; allowed: 1000 at most
    ");
    let text = format!("match,winner\n{},a\n", "x".repeat(1_001));
    insta::assert_snapshot!(wrong(text.as_bytes()), @"line 2, column match: found 1001 letters; allowed: 1000 at most");
}

/// Tables as spreadsheets and people write them.
#[test]
fn tables_as_people_have_them() {
    let plain = record("winner,finish,tags\na,double fault,x\nb,,\n");
    for text in [
        // Empty cells and rows at the end.
        "winner,finish,tags,,\na,double fault,x,,\nb,,,,\n,,,,\n,,,,\n",
        "winner,finish,tags\na,double fault,x,,,\nb,,\n\u{a0},,\n\n",
        "sep=,\nwinner,finish,tags\na,double fault,x\nb,,\n",
        "\u{feff}sep=;\r\nwinner;finish;tags\r\na;double fault;x\r\nb;;\r\n",
        "winner;finish;tags\na;double fault;x\nb;;\n",
        "winner\tfinish\ttags\na\tdouble fault\tx\nb\t\t\n",
        "\u{feff}Winner,FINISH, Tags \nA,Double Fault,x\nB,,\n",
        "winner\u{a0},finish,\u{a0}tags\na\u{a0},double\u{a0}fault,x\n\u{202f}b,,\n",
    ] {
        assert_eq!(record(text), plain, "{text}");
    }
    assert_eq!(record("start;winner\n12,5;a\n").points[0].start, "12.5".parse().ok());
    // A row with something in it is a row.
    assert_eq!(wrong(b"winner,note\na,\n,x\n").lines().count(), 1);
    assert_eq!(wrong(b"winner,note\na,x,y\n"), "line 2: 3 cells, but the header has 2\n");
    assert_eq!(
        wrong(b"sep=;\nwinner;note\nc;x\n").split(',').next(),
        Some("line 3"),
        "lines are counted from sep="
    );
}

#[test]
fn players_are_named_in_cells() {
    let text = "server,winner\nholt,Okafor\u{a0}\nOKAFOR,a\n";
    let read = |a, b| parse(text.as_bytes()).named(a, b).next().unwrap();
    let chart = read(Some("Holt"), Some("Okafor")).unwrap();
    assert_eq!(chart.points.iter().map(|p| p.winner).collect::<Vec<_>>(), [Some(Side::B), Some(Side::A)]);
    assert_eq!(chart.points[1].served_by.map(crate::tennis::pair::Server::side), Some(Side::B));
    assert!(read(None, None).is_err());
    assert!(read(Some("Okafor"), Some("okafor")).is_err(), "both have that name");
    let said =
        parse(&b"winner\nOkafo\n"[..]).named(Some("Holt"), Some("Okafor")).next().unwrap().unwrap_err();
    assert!(said.to_string().contains("did you mean \"Okafor\"?"), "{said}");
}

/// What is new in points of many matches, and in points of which a part was seen, comes back as it was written.
#[test]
fn points_of_many_matches_come_back() {
    let source = |a: &str, b: &str, score: &str| {
        let line = "-from a telephone".into();
        Some(Box::new(Source { a: a.into(), b: b.into(), score: score.into(), event: "final".into(), line }))
    };
    let mut record = Record::default();
    record.about.shows = Kind::Points;
    record.people = ["Holt", "Okafor", "Reyes"].map(Player::named).into();
    record.points = [
        Point {
            source: source("Holt", "Okafor", "30–40"),
            served_by: Some(Server::A),
            side: Some(CourtSide::Ad),
            server_end: Some(End::Far),
            tags: ["drop shot", "lob"].map(String::from).into(),
            tags_by: [("drop shot".into(), Whose::A), ("lob".into(), Whose::Both)].into(),
            winner: Some(Side::A),
            ..Point::default()
        },
        Point {
            source: source("Reyes", "Holt", ""),
            joined_late: true,
            first_by: Some(Side::B),
            left_early: true,
            shots: vec![Shot::default(); 2],
            logged: Some(Logged::Every),
            ..Point::default()
        },
    ]
    .into();
    let text = points::csv(&[("m", &record)]).unwrap();
    let chart = parse(text.as_bytes()).next().unwrap().unwrap();
    assert_eq!(chart.record(MatchInfo::default(), None), record);
    assert!(points::left_out(&record).is_empty());
    for (cells, said) in [
        ("winner,tag of\na,lob", "column tag of"),
        ("winner,tags,tag of\na,net,a:lob", "allowed: tags of this point"),
        ("winner,joined late\na,perhaps", "allowed: yes, no"),
        ("winner,served from\na,left", "allowed: near, far"),
    ] {
        let wrong = parse(cells.as_bytes()).find_map(Result::err).unwrap().to_string();
        assert!(wrong.contains(said), "{wrong}");
    }
}
