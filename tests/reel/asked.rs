//! Lessons about films on the disk, and reels of them.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use changeover::lesson::{Clip, Footage, Lesson, Part};
use changeover::reel::{Files, Plan, ReelError, Wish, render};
use changeover::time::MatchTime;
use changeover::video::{Container, Frame, FrameReader, probe};

use crate::film::{Film, HEIGHT, WIDTH};

pub const BLOCKS: u32 = 16;

pub fn ms(n: u64) -> MatchTime {
    MatchTime::from_millis(n)
}

pub fn clip(file: &str, from: u64, to: u64) -> Clip {
    let footage = Footage { file: file.into(), fingerprint: None, duration: ms(9000), rate: None };
    let text = serde_json::json!({ "footage": footage, "from": ms(from), "to": ms(to) });
    serde_json::from_value(text).unwrap()
}

pub fn part(clip: Clip) -> Part {
    Part::Clip(Box::new(clip))
}

pub fn lesson(parts: Vec<Part>) -> Lesson {
    Lesson { parts, ..Lesson::default() }
}

/// Films in a folder, opened.
pub struct Bench {
    pub dir: tempfile::TempDir,
    pub files: Files,
}

impl Bench {
    pub fn of(films: &[(&str, Film)]) -> Self {
        let dir = tempfile::tempdir().unwrap();
        for (name, film) in films {
            film.write(&dir.path().join(name));
        }
        let mut this = Self { dir, files: Files::new() };
        for (name, _) in films {
            this.open(name);
        }
        this
    }

    pub fn open(&mut self, name: &str) {
        let media = probe(&self.dir.path().join(name)).unwrap();
        self.files.insert(name.to_owned(), media);
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    pub fn plan(&self, lesson: &Lesson, size: (u32, u32)) -> Plan {
        Plan::new(lesson, &self.files, Wish { size: Some(size), rate: None }).unwrap()
    }

    pub fn render(&self, lesson: &Lesson, plan: &Plan, name: &str) -> Result<PathBuf, ReelError> {
        let out = self.path(name);
        render(lesson, &self.files, plan, (&out, container(&out)), &|_, _| None, &mut |_| {
            ControlFlow::Continue(())
        })?;
        Ok(out)
    }

    /// The names in its folder, without those of its films.
    pub fn others(&self) -> Vec<String> {
        let names = std::fs::read_dir(self.dir.path()).unwrap();
        let names = names.map(|e| e.unwrap().file_name().into_string().unwrap());
        names.filter(|n| !self.files.contains_key(n)).collect()
    }
}

pub fn container(path: &Path) -> Container {
    match path.extension().unwrap().to_str().unwrap() {
        "webm" => Container::WebM,
        "mkv" => Container::Matroska,
        _ => Container::Mp4,
    }
}

/// All frames of a file.
pub fn frames(path: &Path) -> Vec<Frame> {
    let media = probe(path).unwrap();
    let mut reader = FrameReader::open(&media).unwrap();
    (0..media.index.len())
        .map(|i| {
            let frame = reader.frame(i).unwrap();
            assert_eq!(frame.index, i);
            frame
        })
        .collect()
}

/// The number drawn into a film's frame that lies in this part of a picture: left, top, width.
pub fn number(frame: &Frame, (left, top, width): (u32, u32, u32)) -> usize {
    let data = frame.pixels.as_ref();
    let block = f64::from(width) / f64::from(BLOCKS);
    let level = |column: u32, row: u32| {
        let (mut sum, mut n) = (0, 0);
        for (dx, dy) in [(0.4, 0.4), (0.5, 0.5), (0.6, 0.6), (0.4, 0.6), (0.6, 0.4)] {
            let x = left as usize + ((f64::from(column) + dx) * block) as usize;
            let y = top as usize + ((f64::from(row) + dy) * block) as usize;
            sum += u32::from(data[y * frame.stride + x * 4]);
            n += 1;
        }
        sum / n
    };
    let mut number = 0;
    for bit in 0..BLOCKS {
        let (value, inverse) = (level(bit, 0), level(bit, 1));
        assert!(value.abs_diff(inverse) > 80, "block {bit} cannot be read: {value} against {inverse}");
        number |= usize::from(value > inverse) << bit;
    }
    number
}

/// Where the films' pictures lie in halves of a picture: the left and the right one.
pub fn halves((width, height): (u32, u32)) -> [(u32, u32, u32); 2] {
    let gap = (f64::from(width) / 200.0).round().max(1.0) as u32 * 2;
    let half = (width - gap) / 2;
    let high = (f64::from(half) / f64::from(WIDTH) * f64::from(HEIGHT)).round() as u32;
    [0, width - half].map(|left| (left, (height - high) / 2, half))
}
