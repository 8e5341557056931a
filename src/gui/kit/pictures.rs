//! Small pictures of footage, made in the background and kept in the user's cache folder: at most [`MOST`] of them.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use gtk::gdk;
use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::job::{Job, News};
use crate::session::folders::keep_newest;
use crate::session::recent::Known;
use crate::session::traces::picture_of;
use crate::video::{Frame, still};

/// Width of a picture, in pixels.
const WIDE: usize = 240;
/// How many pictures are kept; each is below 100 KiB.
const MOST: usize = 500;

/// Makes the pictures that are not there yet, one after another; `made` is called with the place in the list and the file, and
/// `done` after the last.
pub fn make(matches: Vec<Known>, made: impl Fn(usize, &Path) + 'static, done: impl Fn() + 'static) -> Job {
    Job::start(
        move |teller| {
            for (n, one) in matches.iter().enumerate() {
                let Some((footage, file)) = one.footage.as_ref().zip(file_of(one)) else { continue };
                // What cannot be played has no picture, and says why when it is opened.
                let there = file.is_file() || keep(footage, &file, &mut || teller.tell(None)).is_some();
                if there && teller.tell(Some((n, file))).is_break() {
                    return;
                }
            }
        },
        move |news| {
            match news {
                News::Progress(Some((n, file))) => made(n, &file),
                News::Progress(None) => {}
                News::Done(()) => done(),
            }
            ControlFlow::Continue(())
        },
    )
}

/// Where the picture of a match is kept, by the fingerprint of its footage.
fn file_of(one: &Known) -> Option<PathBuf> {
    one.fingerprint.as_deref().map(picture_of)
}

fn keep(footage: &Path, file: &Path, go_on: &mut dyn FnMut() -> ControlFlow<()>) -> Option<()> {
    let frame = still(footage, &mut |_| go_on()).ok()?;
    write(&small(&frame, (WIDE, usize::MAX)), file)?;
    keep_newest(file.parent()?, MOST);
    Some(())
}

/// Writes a picture to a file, completely or not at all.
pub fn write(picture: &gdk::MemoryTexture, file: &Path) -> Option<()> {
    let folder = file.parent()?;
    std::fs::create_dir_all(folder).ok()?;
    let new = tempfile::NamedTempFile::new_in(folder).ok()?;
    std::fs::write(new.path(), picture.save_to_png_bytes()).ok()?;
    new.persist(file).ok()?;
    Some(())
}

/// The frame, smaller, so that it fits into this size: each pixel the mean of those that it stands for.
pub fn small(frame: &Frame, (most_wide, most_high): (usize, usize)) -> gdk::MemoryTexture {
    let (wide, high) = frame.display_size();
    let (wide, high) = ((wide as usize).max(1), (high as usize).max(1));
    let width = most_wide.min(wide).min(most_high.saturating_mul(wide) / high).max(1);
    let height = (width * high / wide).max(1);
    let pixels = frame.pixels.as_ref();
    let mut small = Vec::with_capacity(width * height * 4);
    let part = |n: usize, of: usize, all: usize| n * all / of..((n + 1) * all / of).max(n * all / of + 1);
    for y in 0..height {
        for x in 0..width {
            let (mut sum, mut count) = ([0_u32; 4], 0_u32);
            for row in part(y, height, frame.height as usize) {
                for column in part(x, width, frame.width as usize) {
                    let at = row * frame.stride + column * 4;
                    for (s, p) in sum.iter_mut().zip(pixels.get(at..at + 4).unwrap_or(&[0, 0, 0, 255])) {
                        *s += u32::from(*p);
                    }
                    count += 1;
                }
            }
            small.extend(sum.map(|s| (s / count.max(1)) as u8));
        }
    }
    let bytes = glib::Bytes::from_owned(small);
    gdk::MemoryTexture::new(width as i32, height as i32, gdk::MemoryFormat::B8g8r8a8, &bytes, width * 4)
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;
    use std::rc::Rc;

    use super::*;
    use crate::gui::window::tests::{footage, times, turn_until};

    #[gtk::test]
    fn a_picture_is_made_in_the_background_and_kept() {
        crate::video::init().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("m.mp4");
        footage(&path, &times(30, 40));
        let known = Known {
            fingerprint: crate::record::footage::fingerprint(&path).ok(),
            footage: Some(path.clone()),
            opens: Some(path),
            ..Known::default()
        };
        let told = Rc::new(RefCell::new(None));
        let heard = Rc::clone(&told);
        let _job = make(
            vec![Known::default(), known.clone()],
            move |n, file| {
                heard.replace(Some((n, file.to_owned())));
            },
            || {},
        );
        turn_until("the picture", || told.borrow().is_some());
        let (n, file) = told.take().unwrap();
        assert_eq!((n, Some(&file)), (1, file_of(&known).as_ref()));
        let picture = gdk::Texture::from_filename(&file).unwrap();
        assert_eq!((picture.width(), picture.height()), (240, 135));
    }

    #[test]
    fn only_so_many_are_kept() {
        let folder = tempfile::tempdir().unwrap();
        for n in 0..MOST + 5 {
            std::fs::write(folder.path().join(format!("{n}.png")), "picture").unwrap();
        }
        keep_newest(folder.path(), MOST);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), MOST);
    }
}
