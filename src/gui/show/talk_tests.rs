//! A talk in the real window: recorded from a source that ticks, played, cut, and spoken again.

use std::path::Path;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::stage::Stage;
use super::tests::{choose, lesson, open, see, shown};
use crate::gui::model::TalkState;
use crate::gui::window::Window;
use crate::gui::window::tests::{act, turn_for, turn_until};
use crate::lesson::load;
use crate::lesson::talk::{Deed, Talk};
use crate::logging::Action;
use crate::time::MatchTime;

/// How many milliseconds a frame of the footage lasts.
const FRAME: u64 = 40;

fn talk_of(path: &Path) -> Option<Talk> {
    load(path).ok()?.0.talk.map(|talk| *talk)
}

fn number_at(talk: &Talk, at: MatchTime) -> Option<usize> {
    Some((talk.frame_at(at)?.moment.nanos() / (FRAME * 1_000_000)) as usize)
}

/// The window on a lesson, with its show, ready to record.
fn ready(path: &Path) -> (Window, Stage) {
    let window = open(path);
    window.model().settings().borrow_mut().microphone =
        Some("audiotestsrc is-live=true wave=ticks volume=0.5".into());
    choose(&window, 1);
    see(&window, 10);
    act(&window, Action::RecordTalk);
    turn_until("the show", || window.imp().show.stage().is_some());
    let stage = window.imp().show.stage().unwrap();
    turn_until("the microphone", || window.model().talk_state() == TalkState::Ready);
    (window, stage)
}

/// What was on the screen at moments of the take or of the talk, while something is waited for.
fn watched(window: &Window, seen: &mut Vec<(MatchTime, usize)>, lasts: u64) {
    let until = Instant::now() + Duration::from_millis(lasts);
    while Instant::now() < until {
        turn_for(Duration::from_millis(15));
        let (TalkState::Recording(at) | TalkState::Playing(at)) = window.model().talk_state() else {
            continue;
        };
        seen.extend(shown(window).map(|number| (at, number)));
    }
}

/// How many of the moments show another frame than the talk says, by more than so many frames.
fn wrong(talk: &Talk, seen: &[(MatchTime, usize)], more: usize) -> Vec<(String, usize, usize)> {
    let off = |(at, number): &(MatchTime, usize)| {
        let wanted = number_at(talk, *at)?;
        (wanted.abs_diff(*number) > more).then(|| (at.to_string(), *number, wanted))
    };
    seen.iter().filter_map(off).collect()
}

/// Records a talk of everything that a show can do. What was seen.
fn recorded(window: &Window, stage: &Stage, path: &Path) -> Vec<(MatchTime, usize)> {
    let mut seen = Vec::new();
    stage.act(Action::RecordTalk);
    let begun = || matches!(window.model().talk_state(), TalkState::Recording(at) if at > MatchTime::ZERO);
    turn_until("the first sample", begun);
    watched(window, &mut seen, 500);
    if window.model().is_playing() {
        stage.act(Action::PlayPause);
    }
    for _ in 0..2 {
        stage.act(Action::FrameBack);
        watched(window, &mut seen, 200);
    }
    stage.draw_line(&[(100.0, 100.0), (200.0, 150.0)]);
    stage.act(Action::SetForward);
    watched(window, &mut seen, 600);
    stage.act(Action::PlayPause);
    watched(window, &mut seen, 300);
    stage.act(Action::RecordTalk);
    turn_until("the talk on the disk", || talk_of(path).is_some());
    seen
}

#[gtk::test]
fn a_talk_is_recorded_played_cut_and_spoken_again_in_the_window() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let (window, stage) = ready(&path);
    let (said, hint) = stage.talk();
    assert!(hint.contains("ctrl+F10") || hint.contains("Ctrl"), "{said} {hint}");
    // A test before: what was just said is played back, and is no part of the talk.
    turn_until("a test", || stage.talk().1.contains("plays your test"));
    stage.act(Action::PlayTalk);
    turn_until("the test is played", || window.model().talk_state() == TalkState::Testing);
    assert!(stage.talk().0.contains("Your test"), "{:?}", stage.talk());
    turn_until("the test is over", || window.model().talk_state() == TalkState::Ready);
    turn_until("another test", || window.model().has_test());
    stage.act(Action::PlayTalk);
    turn_until("it is played", || window.model().talk_state() == TalkState::Testing);
    stage.act(Action::PlayTalk);
    turn_until("it is stopped", || window.model().talk_state() == TalkState::Ready);
    assert!(talk_of(&path).is_none());
    let seen = recorded(&window, &stage, &path);
    assert!(!window.model().has_test(), "the key plays the talk from now on");
    let talk = talk_of(&path).unwrap();
    let has = |what: fn(&Deed) -> bool| talk.takes[0].actions.iter().any(|a| what(&a.does));
    assert!(has(|d| matches!(d, Deed::Clip { clip: 1, .. })) && has(|d| matches!(d, Deed::Play { .. })));
    assert!(has(|d| matches!(d, Deed::Pause { .. })) && has(|d| matches!(d, Deed::Draw { .. })));
    let off = wrong(&talk, &seen, 2);
    println!("recorded: {} of {} looks differ by more than two frames: {off:?}", off.len(), seen.len());
    assert!(off.len() * 10 <= seen.len(), "{off:?}\n{:?}", talk.takes[0].actions);
    // Played, it shows the same.
    turn_until("settled", || window.model().lesson_is_settled());
    stage.act(Action::PlayTalk);
    turn_until("the voice", || matches!(window.model().talk_state(), TalkState::Playing(_)));
    let mut again = Vec::new();
    while matches!(window.model().talk_state(), TalkState::Playing(_)) {
        watched(&window, &mut again, 100);
    }
    let off = wrong(&talk, &again, 3);
    println!("played: {} of {} looks differ by more than three frames: {off:?}", off.len(), again.len());
    assert!(again.len() > 20 && off.len() * 4 <= again.len(), "{off:?}");
    assert!(matches!(window.model().talk_state(), TalkState::Paused(_)), "it stands at its end");
    // Spoken again from a moment on.
    stage.act(Action::RecordTalk);
    turn_until("it records", || matches!(window.model().talk_state(), TalkState::Recording(_)));
    turn_for(Duration::from_millis(600));
    stage.act(Action::RecordTalk);
    turn_until("another take", || talk_of(&path).is_some_and(|t| t.takes.len() == 2));
    stage.close();
    turn_for(Duration::from_millis(50));
    assert_eq!(window.model().talk_state(), TalkState::Off);
    act(&window, Action::Undo);
    turn_until("one take again", || talk_of(&path).is_some_and(|t| t.takes.len() == 1));
    window.destroy();
}

#[gtk::test]
fn without_a_microphone_the_window_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    window.model().settings().borrow_mut().microphone = Some("nonsuchsrc".into());
    choose(&window, 1);
    see(&window, 10);
    act(&window, Action::RecordTalk);
    turn_until("why not", || window.imp().message.text().contains("microphone can be used"));
    let stage = window.imp().show.stage().unwrap();
    assert_eq!(window.model().talk_state(), TalkState::Off);
    stage.act(Action::PlayTalk);
    turn_until("no talk", || window.imp().message.text().contains("has no talk yet"));
    stage.close();
    window.destroy();
}
