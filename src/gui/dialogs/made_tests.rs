//! A coach makes a video, a page, a sheet and files of clips in the window, of real small films whose frames carry their numbers.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_tests::all;
use super::export::{self, Subject};
use super::export_lesson::{LessonFields, Thing};
use super::made::make;
use super::save_clips;
use crate::export::Format;
use crate::gui::kit::fields::grid;
use crate::gui::kit::progress::Progress;
use crate::gui::show::tests::{lesson, open};
use crate::gui::window::Window;
use crate::gui::window::tests::{act, number_in, turn_for, turn_until};
use crate::lesson::talk::{Action as Done, Deed, Shown, Talk};
use crate::lesson::{Lesson, Pace, Part, create, load};
use crate::logging::Action;
use crate::making::{Order, Source, Watch};
use crate::page::Naming;
use crate::time::MatchTime;
use crate::video::{Container, FrameReader, probe};
use crate::voice::{TakeWriter, VOICE_RATE};

pub(super) fn source(path: &Path) -> Source {
    Source::new(Arc::new(load(path).unwrap().0), path.to_owned())
}

fn video() -> Order {
    Order::Video { container: Container::Mp4, size: None, talk: false, naming: Naming::First }
}

/// Makes something, and waits for its end; the dialog.
pub(super) fn made(window: &Window, of: &Source, order: Order, to: &Path) -> gtk::Window {
    let of = of.clone();
    let work = move |to: &Path, watch: Watch<'_>| order.make(&of, to, watch);
    let dialog = make(window.model(), window, to.to_owned(), work);
    dialog.present();
    let closes = || all::<gtk::Button>(&dialog).iter().any(|b| b.label().as_deref() == Some("Close"));
    turn_until("the end of the work", closes);
    dialog
}

/// What a dialog says of its work.
pub(super) fn said(dialog: &gtk::Window) -> String {
    let page = all::<Progress>(dialog).remove(0);
    all::<gtk::Label>(&page).remove(0).label().into()
}

fn opens(dialog: &gtk::Window) -> bool {
    all::<gtk::Button>(dialog).iter().any(|b| b.label().as_deref() == Some("Open") && b.is_visible())
}

pub(super) fn names(folder: &Path) -> BTreeSet<String> {
    std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect()
}

/// The numbers that the frames of a film show.
fn numbers(path: &Path) -> Vec<usize> {
    let media = probe(path).unwrap();
    let mut reader = FrameReader::open(&media).unwrap();
    (0..media.index.len()).map(|i| number_in(&reader.frame(i).unwrap())).collect()
}

#[gtk::test]
fn a_video_is_made_with_every_frame_and_nothing_is_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let of = source(&path);
    let stated = video().stated(&of, &mut |_| std::ops::ControlFlow::Continue(())).unwrap();
    let to = folder.path().join(video().name(&of));
    assert_eq!(to.file_name().unwrap(), "drops.mp4");
    let dialog = made(&window, &of, video(), &to);
    assert!(opens(&dialog), "{}", said(&dialog));
    assert!(said(&dialog).contains("drops.mp4. 0:00:"), "{}", said(&dialog));
    assert_eq!(window.imp().message.text(), said(&dialog), "the message stays when the dialog is closed");
    dialog.close();
    // A heading of two and a half seconds, and three clips of 20 frames.
    let media = probe(&to).unwrap();
    assert_eq!(media.index.len(), 63 + 60);
    let words = format!("{} × {}", media.width, media.height);
    assert!(stated.words.contains(&words) && stated.words.starts_with("0:00:04, "), "{}", stated.words);
    let bytes = std::fs::metadata(&to).unwrap().len();
    assert!((bytes as f64) < bytes_in(&stated.words), "{bytes} {}", stated.words);
    // Again: it is there already, and it stays.
    let before = std::fs::read(&to).unwrap();
    let dialog = made(&window, &of, video(), &to);
    assert!(said(&dialog).ends_with("is never replaced; choose another name"), "{}", said(&dialog));
    assert!(!opens(&dialog));
    dialog.close();
    assert_eq!(std::fs::read(&to).unwrap(), before);
    window.destroy();
}

/// The bytes at the end of a text.
fn bytes_in(words: &str) -> f64 {
    let units = [(" MB", 1e6), (" KB", 1e3)];
    let (words, unit) =
        units.iter().find_map(|(name, unit)| Some((words.strip_suffix(name)?, unit))).unwrap();
    words.rsplit(' ').next().unwrap().parse::<f64>().unwrap() * unit
}

#[gtk::test]
fn a_page_and_a_sheet_name_players_as_chosen_and_keep_what_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let (mut changed, _) = load(&path).unwrap();
    changed.player = "Mara Holt".into();
    if let Part::Clip(clip) = &mut changed.parts[1] {
        clip.caption = "Holt comes in".into();
    }
    let path = folder.path().join("holt.lesson.json");
    create(&path, &changed).unwrap();
    let window = open(&path);
    let of = source(&path);
    let page = |naming| Order::Page { limit: Some(5_000_000), naming };
    let to = folder.path().join(page(Naming::First).name(&of));
    let stated = page(Naming::First).stated(&of, &mut |_| std::ops::ControlFlow::Continue(())).unwrap();
    let dialog = made(&window, &of, page(Naming::First), &to);
    assert!(opens(&dialog), "{}", said(&dialog));
    dialog.close();
    let text = std::fs::read_to_string(to.join("index.html")).unwrap();
    assert!(text.contains("Mara comes in") && !text.contains("Holt comes in"), "{text}");
    let films = names(&to.join("clips"));
    assert_eq!(
        films.iter().filter(|n| Path::new(n).extension().is_some_and(|e| e == "mp4")).count(),
        3,
        "{films:?}"
    );
    assert!(stated.words.starts_with("3 clips, 0:02 in all"), "{}", stated.words);
    let full = folder.path().join("full");
    made(&window, &of, page(Naming::Full), &full).close();
    assert!(std::fs::read_to_string(full.join("index.html")).unwrap().contains("Holt comes in"));
    // A folder that is there is left alone.
    let dialog = made(&window, &of, page(Naming::Letters), &full);
    assert!(said(&dialog).contains("is there already"), "{}", said(&dialog));
    dialog.close();
    assert!(std::fs::read_to_string(full.join("index.html")).unwrap().contains("Holt comes in"));
    let sheet = Order::Sheet { naming: Naming::First };
    let to = folder.path().join(sheet.name(&of));
    let dialog = made(&window, &of, sheet, &to);
    assert!(opens(&dialog), "{}", said(&dialog));
    dialog.close();
    let before = std::fs::read(&to).unwrap();
    assert!(before.starts_with(b"%PDF"));
    let dialog = made(&window, &of, sheet, &to);
    assert!(said(&dialog).contains("is there already"), "{}", said(&dialog));
    dialog.close();
    assert_eq!(std::fs::read(&to).unwrap(), before);
    window.destroy();
}

#[gtk::test]
fn a_list_of_clips_is_made_says_what_it_lacks_and_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (mut odd, _) = load(&lesson(folder.path())).unwrap();
    if let Part::Clip(clip) = &mut odd.parts[1] {
        clip.caption = "=1+1, \"short\"\nand deep".into();
    }
    let path = folder.path().join("a b #1 é.lesson.json");
    create(&path, &odd).unwrap();
    let window = open(&path);
    let of = source(&path);
    let order = Order::List { format: Format::Csv };
    let to = folder.path().join(order.name(&of));
    assert_eq!(to.file_name().unwrap(), "a b #1 é-clips.csv");
    let dialog = made(&window, &of, order, &to);
    let lacks =
        "3 clips. Left out, because a list has only spans and words: 1 chapter, your notes on 3 parts.";
    assert!(said(&dialog).ends_with(lacks), "{}", said(&dialog));
    assert!(opens(&dialog));
    dialog.close();
    let before = std::fs::read_to_string(&to).unwrap();
    assert!(before.contains("one.mp4") && before.contains("'=1+1"), "{before}");
    let dialog = made(&window, &of, order, &to);
    assert!(said(&dialog).contains("is there already; choose another name"), "{}", said(&dialog));
    assert!(!opens(&dialog));
    dialog.close();
    assert_eq!(std::fs::read_to_string(&to).unwrap(), before);
    // The lesson itself is not written over either.
    let lesson_before = std::fs::read(&path).unwrap();
    made(&window, &of, order, &path).close();
    assert_eq!(std::fs::read(&path).unwrap(), lesson_before);
    let chapters = folder.path().join("chapters.xml");
    let dialog = made(&window, &of, Order::List { format: Format::Mkv }, &chapters);
    assert!(said(&dialog).contains("choose another format"), "{}", said(&dialog));
    dialog.close();
    let nowhere = folder.path().join("no/such/clips.csv");
    let dialog = made(&window, &of, order, &nowhere);
    assert!(!opens(&dialog) && !chapters.exists() && !nowhere.exists(), "{}", said(&dialog));
    dialog.close();
    window.destroy();
}

/// A talk of a second over the first clip: it plays, and stands from 0.6 s on.
fn spoken(path: &Path, of: &Lesson) -> Lesson {
    let mut take = TakeWriter::begin(path, None).unwrap();
    let clip = of.parts.iter().flat_map(Part::clips).next().unwrap().clone();
    let first = clip.from;
    take.show(Shown { chapter: String::new(), clip }).unwrap();
    for (at, does) in [
        (0, Deed::Clip { clip: 0, moment: first }),
        (0, Deed::Play { moment: first, pace: Pace(100) }),
        (600, Deed::Pause { moment: MatchTime::from_millis(1000) }),
    ] {
        take.act(Done { at: MatchTime::from_millis(at), does }).unwrap();
    }
    take.hear(&vec![900; VOICE_RATE as usize]).unwrap();
    let take = take.finish().unwrap().take;
    Lesson { talk: Some(Box::new(Talk::default().then(take))), ..of.clone() }
}

#[gtk::test]
fn a_lesson_with_a_talk_becomes_the_video_of_the_talk_unless_it_is_not_wanted() {
    let folder = tempfile::tempdir().unwrap();
    let (of, _) = load(&lesson(folder.path())).unwrap();
    let path = folder.path().join("spoken.lesson.json");
    create(&path, &spoken(&path, &of)).unwrap();
    let window = open(&path);
    // The key, and the dialog as it is then: Return makes the video with the talk.
    act(&window, Action::Export);
    let dialogs =
        || gtk::Window::list_toplevels().into_iter().filter_map(|w| w.downcast::<gtk::Window>().ok());
    let dialog = || dialogs().find(|w| w.title().as_deref() == Some("Export") && w.is_visible());
    turn_until("the dialog", || dialog().is_some());
    let dialog = dialog().unwrap();
    let talk = all::<gtk::CheckButton>(&dialog).remove(0);
    assert!(talk.is_visible() && talk.is_active() && talk.is_focusable());
    let states = |start: &str| {
        let starts = |l: &gtk::Label| l.is_visible() && l.label().starts_with(start);
        all::<gtk::Label>(&dialog).iter().any(starts)
    };
    turn_until("the length of the talk", || states("0:00:01, "));
    assert!(talk.grab_focus() && talk.activate(), "the space bar");
    turn_until("the length of the lesson", || states("0:00:04, "));
    dialog.destroy();
    let fields = LessonFields::attached(&grid(), 0, source(&path));
    let order = fields.order(Thing::Video, 0);
    assert_eq!(
        order,
        Order::Video { container: Container::Mp4, size: None, talk: true, naming: Naming::First }
    );
    let to = folder.path().join("talk.mp4");
    let dialog = made(&window, &source(&path), order, &to);
    assert!(opens(&dialog), "{}", said(&dialog));
    dialog.close();
    let plays = (10..25).chain(std::iter::repeat_n(25, 10));
    assert_eq!(numbers(&to), plays.collect::<Vec<usize>>());
    window.destroy();
}

#[gtk::test]
fn each_clip_becomes_a_file_of_its_frames() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let of = source(&path);
    let order = Order::Clips { naming: Naming::First };
    let to = folder.path().join(order.name(&of));
    let dialog = made(&window, &of, order, &to);
    assert!(said(&dialog).contains("3 clips"), "{}", said(&dialog));
    dialog.close();
    let files: Vec<PathBuf> = names(&to).iter().map(|n| to.join(n)).collect();
    assert_eq!(names(&to).first().unwrap(), "001 0-00-00 first.mp4");
    let shown: Vec<Vec<usize>> = files.iter().map(|f| numbers(f)).collect();
    assert_eq!(shown, [(10..30).collect::<Vec<_>>(), (20..40).collect(), (50..70).collect()]);
    // Clips whose footage is away are left out, and it is said.
    let gone = crate::making::Film {
        footage: folder.path().join("gone.mp4"),
        span: crate::time::Span::new(MatchTime::ZERO, MatchTime::from_secs(1)).unwrap(),
        title: "gone".into(),
    };
    let here = crate::making::Film { footage: folder.path().join("one.mp4"), ..gone.clone() };
    let two = folder.path().join("two");
    let work = move |to: &Path, watch: Watch<'_>| crate::making::cut_clips(&[gone, here], to, watch);
    let dialog = make(window.model(), &window, two.clone(), work);
    dialog.present();
    turn_until("the files", || two.exists() && opens(&dialog));
    assert!(
        said(&dialog).contains("1 clip, ") && said(&dialog).contains("1 clip left out"),
        "{}",
        said(&dialog)
    );
    dialog.close();
    window.destroy();
}

#[gtk::test]
fn work_that_is_cancelled_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    // Long enough to be cancelled in the middle of it.
    let (mut long, _) = load(&path).unwrap();
    let parts = long.parts.clone();
    (0..40).for_each(|_| long.parts.extend(parts.iter().cloned()));
    let path = folder.path().join("long.lesson.json");
    create(&path, &long).unwrap();
    let window = open(&path);
    let of = source(&path);
    for order in
        [video(), Order::Page { limit: None, naming: Naming::First }, Order::Clips { naming: Naming::First }]
    {
        let before = names(folder.path());
        let to = folder.path().join(order.name(&of));
        let of = of.clone();
        let work = move |to: &Path, watch: Watch<'_>| order.make(&of, to, watch);
        let dialog = make(window.model(), &window, to.clone(), work);
        dialog.present();
        let bar = all::<gtk::ProgressBar>(&dialog).remove(0);
        turn_until("some progress", || bar.fraction() > 0.02);
        assert!(bar.fraction() < 1.0 && names(folder.path()) != before, "it is under way");
        let buttons = all::<gtk::Button>(&dialog);
        buttons.iter().find(|b| b.label().as_deref() == Some("Cancel")).unwrap().emit_clicked();
        turn_until("nothing is left", || names(folder.path()) == before);
        assert!(!to.exists());
    }
    window.destroy();
}

#[gtk::test]
fn the_dialog_offers_what_the_lesson_can_become_and_states_its_size() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let dialog = export::dialog(window.model(), &window, Subject::Lesson(source(&path)));
    dialog.present();
    let mut drops = all::<gtk::DropDown>(&dialog);
    // What and how stand first, but come last into the grid.
    drops.rotate_right(2);
    let seen = |n: usize| drops[n].is_visible();
    let items = |n: usize| drops[n].model().unwrap().n_items();
    assert_eq!((items(0), items(1)), (5, 3));
    let talk = all::<gtk::CheckButton>(&dialog).remove(0);
    assert!(!talk.is_visible(), "there is no talk");
    let states = |start: &str| {
        let starts = |l: &gtk::Label| l.is_visible() && l.label().starts_with(start);
        all::<gtk::Label>(&dialog).iter().any(starts)
    };
    turn_until("the size of the video", || states("0:00:04, "));
    drops[2].set_selected(3);
    turn_until("the size of a smaller one", || states("0:00:04, 640 × 360, "));
    drops[0].set_selected(1);
    assert!(!seen(2) && seen(3) && seen(4), "a page has a limit and names");
    turn_until("the size of the page", || states("3 clips, 0:02 in all, "));
    drops[0].set_selected(2);
    assert!(!seen(3) && seen(4), "a sheet has names");
    drops[0].set_selected(3);
    turn_until("the size of the clips", || states("3 clips, 0:00:02, about "));
    drops[0].set_selected(4);
    assert!(!seen(3) && !seen(4), "a list has nothing to choose but its format");
    assert_eq!(items(1) as usize, Format::ALL.len());
    let left_out = "Left out, because a list has only spans and words: 1 chapter, your notes on 3 parts";
    turn_until("what a list does not hold", || states(&format!("3 clips.\n{left_out}")));
    let at = |format| Format::ALL.iter().position(|f| *f == format).unwrap() as u32;
    drops[1].set_selected(at(Format::Mkv));
    turn_until("why it has no chapters", || states("The clips come from 2 files"));
    drops[1].set_selected(at(Format::Otio));
    turn_until("why it has no timecodes", || states("The footage \"one.mp4\" has no constant frame rate"));
    dialog.destroy();
    window.destroy();
}

#[gtk::test]
fn the_key_keeps_a_caption_that_is_being_written_and_lists_have_files_of_clips() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    crate::gui::show::tests::choose(&window, 1);
    act(&window, Action::ClipCaption);
    let field = gtk::prelude::GtkWindowExt::focus(&window).and_downcast::<gtk::Text>();
    field.expect("the caption has the focus").set_text("written just now");
    act(&window, Action::Export);
    let dialogs =
        || gtk::Window::list_toplevels().into_iter().filter_map(|w| w.downcast::<gtk::Window>().ok());
    let dialog = || dialogs().find(|w| w.title().as_deref() == Some("Export") && w.is_visible());
    turn_until("the dialog", || dialog().is_some());
    let caption = window.model().lesson().unwrap().lesson.parts[1].clips().next().unwrap().caption.clone();
    assert_eq!(caption, "written just now");
    dialog().unwrap().destroy();
    let finds = crate::session::library::finds::Finds::default();
    let dialog = save_clips::dialog(window.model(), &window, finds);
    let formats = all::<gtk::DropDown>(&dialog).remove(0);
    assert_eq!(formats.model().unwrap().n_items() as usize, crate::export::Format::ALL.len() + 1);
    dialog.destroy();
    window.destroy();
}

#[gtk::test]
fn the_dialog_is_as_high_as_what_is_chosen_needs() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let dialog = export::dialog(window.model(), &window, Subject::Lesson(source(&path)));
    dialog.present();
    turn_until("the dialog", || dialog.is_mapped());
    let what = all::<gtk::DropDown>(&dialog)[3].clone();
    let page = dialog.child().unwrap();
    let (sides, ends) = (page.margin_start() + page.margin_end(), page.margin_top() + page.margin_bottom());
    // How high it is, and how high it should be.
    let height = || (page.height() + ends, page.measure(gtk::Orientation::Vertical, page.width() + sides).1);
    let mut heights = BTreeSet::new();
    for n in [1, 4, 0, 2, 3, 4, 1] {
        what.set_selected(n);
        let states =
            || all::<gtk::Label>(&dialog).iter().any(|l| l.is_visible() && l.label().starts_with("Opening"));
        turn_until("how large it will be", || !states());
        turn_until(&format!("the height for choice {n}"), || height().0 == height().1);
        heights.insert(height().0);
    }
    assert!(heights.len() > 2, "choices have other rows: {heights:?}");
    dialog.destroy();
    window.destroy();
}

/// To look at: `PICTURE=FOLDER` under a virtual display.
#[gtk::test]
#[ignore = "takes pictures for eyes"]
fn pictures_to_look_at() {
    let Ok(to) = std::env::var("PICTURE") else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let provider = gtk::CssProvider::new();
    provider.load_from_data(include_str!("../../../ui/style.css"));
    gtk::style_context_add_provider_for_display(&gtk::gdk::Display::default().unwrap(), &provider, 600);
    window.set_default_size(1366, 768);
    let shot = |name: &str| {
        turn_for(Duration::from_millis(1500));
        std::process::Command::new("import")
            .args(["-window", "root", &format!("{to}/{name}.png")])
            .status()
            .unwrap();
    };
    for colours in ["light", "dark"] {
        let dialog = export::dialog(window.model(), &window, Subject::Lesson(source(&path)));
        dialog.present();
        shot(&format!("video-{colours}"));
        all::<gtk::DropDown>(&dialog)[3].set_selected(1);
        shot(&format!("page-{colours}"));
        dialog.destroy();
        let dialog = made(&window, &source(&path), video(), &folder.path().join(format!("{colours}.mp4")));
        shot(&format!("made-{colours}"));
        dialog.close();
        shot(&format!("show-{colours}"));
        act(&window, Action::LightDark);
    }
    window.destroy();
}
