//! Lists of a lesson's clips that are cancelled, or go to a disk that is full.

use std::cell::RefCell;
use std::ops::ControlFlow;
use std::path::Path;
use std::process::Command;
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_tests::all;
use super::made::make;
use super::made_tests::{made, names, said, source};
use crate::export::Format;
use crate::gui::show::tests::{lesson, open};
use crate::gui::window::tests::{turn_for, turn_until};
use crate::making::{MakingError, Order, Watch};

#[gtk::test]
fn a_list_that_is_cancelled_is_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let of = source(&lesson(folder.path()));
    let before = names(folder.path());
    for format in [Format::Csv, Format::Json, Format::Xspf] {
        let order = Order::List { format };
        let to = folder.path().join(order.name(&of));
        let why = order.make(&of, &to, &mut |_| ControlFlow::Break(())).unwrap_err();
        assert!(why.is_stop(), "{why}");
        assert_eq!(names(folder.path()), before);
    }
}

#[gtk::test]
fn the_button_that_cancels_a_list_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let (of, before) = (source(&path), names(folder.path()));
    for format in [Format::Csv, Format::Json, Format::Xspf] {
        let order = Order::List { format };
        let to = folder.path().join(order.name(&of));
        let (told, over) = channel();
        let of = of.clone();
        // A list is written in no time: the work waits for the button, at most ten seconds.
        let work = move |to: &Path, watch: Watch<'_>| {
            let end = Instant::now() + Duration::from_secs(10);
            while Instant::now() < end && watch(0.0).is_continue() {
                std::thread::sleep(Duration::from_millis(5));
            }
            let made = order.make(&of, to, watch);
            told.send(made.as_ref().err().is_some_and(MakingError::is_stop)).unwrap();
            made
        };
        let dialog = make(window.model(), &window, to, work);
        dialog.present();
        turn_until("the dialog", || dialog.is_mapped());
        let cancel = all::<gtk::Button>(&dialog).into_iter().find(|b| b.label().as_deref() == Some("Cancel"));
        cancel.unwrap().emit_clicked();
        turn_until("a closed dialog", || !dialog.is_visible());
        let was_stopped = RefCell::new(None);
        turn_until("the end of the work", || {
            if let Ok(stopped) = over.try_recv() {
                was_stopped.replace(Some(stopped));
            }
            was_stopped.borrow().is_some()
        });
        assert_eq!(was_stopped.take(), Some(true), "{format:?}");
        turn_for(Duration::from_millis(50));
        assert_eq!(names(folder.path()), before, "{format:?}");
        assert!(!window.imp().message.get_visible(), "{}", window.imp().message.text());
    }
    window.destroy();
}

/// A file system of 16 KiB in memory, all of it taken; `None` where this user may not mount one. Gone again when dropped.
struct Full(tempfile::TempDir);

impl Full {
    fn mounted() -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let run =
            Command::new("mount").args(["-t", "tmpfs", "-o", "size=16k", "tmpfs"]).arg(dir.path()).output();
        let full = run.is_ok_and(|out| out.status.success()).then(|| Self(dir))?;
        let ballast = std::fs::write(full.0.path().join("ballast"), vec![0; 64 * 1024]);
        assert!(ballast.is_err(), "there is no more room");
        Some(full)
    }
}

impl Drop for Full {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

#[gtk::test]
fn a_list_on_a_full_disk_leaves_nothing_and_says_why() {
    let Some(disk) = Full::mounted() else {
        println!("skipped: this user may not mount a file system");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let path = lesson(folder.path());
    let window = open(&path);
    let before = names(disk.0.path());
    for format in [Format::Csv, Format::Json, Format::Xspf] {
        let of = source(&path);
        let order = Order::List { format };
        let to = disk.0.path().join(order.name(&of));
        let dialog = made(&window, &of, order, &to);
        let why = said(&dialog);
        assert!(why.contains("the disk is full") && why.contains(&order.name(&of)), "{why}");
        assert_eq!(names(disk.0.path()), before, "{format:?}");
        dialog.close();
    }
    window.destroy();
}
