//! Where the record is kept: nowhere while a film is only looked at, elsewhere where its folder takes nothing, and in which
//! of two windows.

use std::path::{Path, PathBuf};
use std::process::Command;

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::tests::{act, empty_window, footage, points, settle, turn_until, window_on};
use crate::logging::Action;
use crate::record::{load, sidecar_for};
use crate::session::keeper::Ask;
use crate::time::MatchTime;

fn film(folder: &Path) -> PathBuf {
    let path = folder.join("holt okafor.mp4");
    footage(&path, &(0..100).map(|n| MatchTime::from_millis(n * 40)).collect::<Vec<_>>());
    path
}

fn names_in(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

/// A folder with a film that nothing can be written to: a file system mounted read-only where that is allowed, as it is for
/// the user that no permission binds; else one without permission.
struct Locked(tempfile::TempDir);

impl Locked {
    fn with_film() -> Option<(Self, PathBuf)> {
        let locked = Self(tempfile::tempdir().unwrap());
        let folder = locked.0.path();
        let mount = |words: &[&str]| {
            Command::new("mount").args(words).arg(folder).output().is_ok_and(|out| out.status.success())
        };
        let mounted = mount(&["-t", "tmpfs", "-o", "size=16m", "tmpfs"]);
        let path = film(folder);
        if !mounted || !mount(&["-o", "remount,ro"]) {
            #[cfg(unix)]
            {
                use std::os::unix::fs::PermissionsExt;
                std::fs::set_permissions(folder, std::fs::Permissions::from_mode(0o555)).unwrap();
            }
        }
        std::fs::write(folder.join("x"), "").is_err().then_some((locked, path))
    }
}

impl Drop for Locked {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).output();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let _ = std::fs::set_permissions(self.0.path(), std::fs::Permissions::from_mode(0o755));
        }
    }
}

fn choosers() -> usize {
    gtk::Window::list_toplevels()
        .iter()
        .filter(|w| w.is::<gtk::FileChooserDialog>() && w.is_visible())
        .count()
}

#[gtk::test]
fn a_film_that_is_only_looked_at_has_nothing_written_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = film(folder.path());
    let window = window_on(&path);
    for action in
        [Action::FrameForward, Action::FrameForward, Action::RoomStudy, Action::RoomLog, Action::Save]
    {
        act(&window, action);
    }
    assert_eq!(names_in(folder.path()), ["holt okafor.mp4"]);
    assert_eq!(window.imp().saved.words(), "saved");
    window.close();
    turn_until("the window is closed", || !window.is_visible());
    assert_eq!(names_in(folder.path()), ["holt okafor.mp4"]);
    // The first edit makes the record.
    let window = window_on(&path);
    act(&window, Action::PointStart);
    assert_eq!(load(&sidecar_for(&path)).unwrap().0.points.len(), 1);
    assert_eq!(load(&sidecar_for(&path)).unwrap().0.footage.len(), 1);
    window.destroy();
}

#[gtk::test]
fn on_a_locked_card_the_film_opens_and_the_program_asks_where_to_keep_the_record() {
    let Some((_locked, path)) = Locked::with_film() else {
        println!("skipped: nothing can be locked for this user");
        return;
    };
    let window = window_on(&path);
    window.model().ask(Ask::Choose(None));
    assert_eq!((choosers(), window.imp().saved.words().as_str()), (0, "saved"), "looking asks nothing");
    act(&window, Action::PointStart);
    act(&window, Action::FrameForward);
    act(&window, Action::WinnerA);
    assert_eq!(points(&window).len(), 1);
    assert_eq!(window.imp().saved.words(), "not on disk");
    let said = window.imp().message.text();
    assert!(said.contains("write-protected") && said.contains("save the record elsewhere"), "{said}");
    let bar = &window.imp().message;
    assert!(bar.wants_place() && bar.get_visible(), "it asks, with a button");
    assert_eq!(choosers(), 0, "and no dialog takes the next keys");
    WidgetExt::activate_action(&window, "win.save", None).unwrap();
    turn_until("a dialog asks where to keep it", || choosers() == 1);
    let elsewhere = tempfile::tempdir().unwrap();
    let new = elsewhere.path().join("holt okafor.points.json");
    window.model().ask(Ask::MoveTo(new.clone()));
    settle(&window);
    assert_eq!(load(&new).unwrap().0.points, points(&window));
    assert!(window.imp().message.text().contains("Copy the footage beside it"));
    assert!(!window.imp().message.wants_place());
    act(&window, Action::Undo);
    act(&window, Action::WinnerB);
    assert_eq!(load(&new).unwrap().0.points, points(&window), "logging goes on there");
    assert_eq!(window.imp().saved.words(), "saved");
    for chooser in gtk::Window::list_toplevels() {
        if chooser.is::<gtk::FileChooserDialog>() {
            chooser.downcast::<gtk::Window>().unwrap().destroy();
        }
    }
    window.destroy();
}

#[gtk::test]
fn a_second_window_takes_over_when_the_first_has_closed() {
    let folder = tempfile::tempdir().unwrap();
    let path = film(folder.path());
    let first = window_on(&path);
    act(&first, Action::PointStart);
    let second = empty_window();
    second.model().open(std::slice::from_ref(&path));
    turn_until("the second window has opened it", || second.model().session().borrow().is_some());
    assert_eq!(second.imp().saved.words(), "read-only");
    act(&first, Action::FrameForward);
    act(&first, Action::WinnerB);
    let logged = points(&first);
    first.close();
    turn_until("the second window has the record", || second.imp().saved.words() == "saved");
    assert_eq!(points(&second), logged);
    assert!(second.imp().message.text().contains("You can change the record here now"));
    act(&second, Action::Undo);
    act(&second, Action::DeletePoint);
    assert_eq!(load(&sidecar_for(&path)).unwrap().0.points.len(), 0);
    second.destroy();
}

#[gtk::test]
fn of_two_windows_on_a_new_film_the_first_to_log_has_the_record() {
    let folder = tempfile::tempdir().unwrap();
    let path = film(folder.path());
    let (first, late) = (window_on(&path), window_on(&path));
    act(&first, Action::PointStart);
    act(&late, Action::PointStart);
    assert_eq!(points(&late), points(&first));
    assert!(
        late.imp().message.text().contains("your last key changed nothing"),
        "{}",
        late.imp().message.text()
    );
    drop(first.model().close_session());
    first.destroy();
    turn_until("the late window has the record", || late.imp().saved.words() == "saved");
    late.destroy();
}
