//! Several matches of one file: a record for each, in a folder. They are written aside, on all processors, while the
//! points are read, and moved to the folder when all is right.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Mutex, PoisonError};

use super::args::Args;
use super::replacing::{may_write, reads, tell_kept};
use super::told::{Imported, Look, Written, Wrong};
use crate::cli::answer::{CliError, complain};
use crate::cli::reading::shown;
use crate::counted::{Counted, Noun};
use crate::import::{Broken, Chart, Charts, FileNames, Stage};
use crate::record::{MatchInfo, printable, to_bytes};
use crate::system::writing;
use crate::tennis::Side;

/// Matches that wait for being written, so that no more are held.
const WAITING: usize = 64;

fn unwritten(out: &Path, e: &io::Error) -> CliError {
    CliError::Failed(format!("cannot write in {}: {}; nothing is imported", shown(out), writing(e)))
}

/// Writes a record for each match, all or none.
pub(super) fn many(
    args: &Args,
    about: &MatchInfo,
    charts: Charts<Box<dyn Read>>,
    wrong: &mut Wrong,
) -> Result<Written, CliError> {
    let failed = |e: io::Error| unwritten(&args.out, &e);
    let stage = Stage::new(&args.out).map_err(failed)?;
    tell_broken(&args.out, stage.broken());
    let (send, receive) = sync_channel(WAITING);
    let desk = Desk::new(about, args.first_server(), stage.folder(), receive);
    let mut list = List {
        args,
        reads: reads(args),
        names: FileNames::default(),
        written: Vec::new(),
        files: Vec::new(),
    };
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, Into::into) {
            scope.spawn(|| desk.work());
        }
        for item in charts {
            match item.map(|chart| list.job(chart, wrong)) {
                // Who takes the jobs goes away only after this end does.
                Ok(job) => drop(job.map(|job| send.send(job))),
                Err(e) => wrong.add(|| e.to_string()),
            }
            if wrong.count > 0 {
                // Nothing will be kept: the rest is only looked through for more that is wrong.
                desk.stop.store(true, Ordering::Relaxed);
            }
            if lock(&desk.failed).is_some() {
                break;
            }
        }
        drop(send);
    });
    let looks = desk.done()?;
    if wrong.count == 0 {
        tell_kept(&stage.put(&list.files).map_err(failed)?);
    }
    Ok((list.written, looks))
}

/// Tells of an import before this one that was killed.
fn tell_broken(out: &Path, broken: &Broken) {
    if broken.back > 0 {
        let records = Counted(broken.back, Noun::Record);
        complain(&format!(
            "{}: an earlier import was interrupted; {records} {} as before that import",
            shown(out),
            records.is()
        ));
    }
    for path in &broken.left {
        let what = "an interrupted import wrote this file; it was changed since, or is open, so it is kept";
        complain(&format!("{}: {what}", shown(path)));
    }
}

/// What is written, and under which names.
struct List<'a> {
    args: &'a Args,
    reads: Vec<PathBuf>,
    names: FileNames,
    written: Vec<Imported>,
    files: Vec<String>,
}

impl List<'_> {
    /// The job of a match; none once something is wrong.
    fn job(&mut self, chart: Chart, wrong: &mut Wrong) -> Option<Job> {
        let name = chart.name.clone().unwrap_or_default();
        let file = self.names.of(&name);
        let path = self.args.out.join(&file);
        if let Err(e) = may_write(&path, self.args.force, &self.reads) {
            wrong.add(|| format!("line {}: {e}", chart.line));
        }
        if wrong.count > 0 {
            return None;
        }
        let record = path.to_string_lossy().into_owned();
        self.written.push(Imported { name: Some(name), record, points: chart.points.len() });
        self.files.push(file.clone());
        Some(Job { at: self.files.len() - 1, file, chart })
    }
}

/// A match on its way to its file.
struct Job {
    at: usize,
    file: String,
    chart: Chart,
}

/// What the threads that write share.
struct Desk<'a> {
    about: &'a MatchInfo,
    first_server: Option<Side>,
    folder: &'a Path,
    jobs: Mutex<Receiver<Job>>,
    looks: Mutex<Vec<Look>>,
    failed: Mutex<Option<CliError>>,
    stop: AtomicBool,
}

impl<'a> Desk<'a> {
    fn new(about: &'a MatchInfo, first_server: Option<Side>, folder: &'a Path, jobs: Receiver<Job>) -> Self {
        let (looks, failed, stop) = (Mutex::default(), Mutex::default(), AtomicBool::new(false));
        Self { about, first_server, folder, jobs: Mutex::new(jobs), looks, failed, stop }
    }

    fn work(&self) {
        loop {
            let job = lock(&self.jobs).recv();
            let Ok(job) = job else { return };
            if self.stop.load(Ordering::Relaxed) {
                continue;
            }
            if let Err(e) = self.write(job) {
                self.stop.store(true, Ordering::Relaxed);
                lock(&self.failed).get_or_insert(e);
            }
        }
    }

    fn write(&self, job: Job) -> Result<(), CliError> {
        let path = self.folder.join(&job.file);
        let record = job.chart.record(self.about.clone(), self.first_server);
        let bytes = to_bytes(Path::new(&job.file), &record)?;
        fs::write(&path, bytes).map_err(|e| {
            let file = printable(&job.file, 400);
            CliError::Failed(format!("cannot write {file}: {}; nothing is imported", writing(&e)))
        })?;
        lock(&self.looks).extend(Look::at(job.at, &record));
        Ok(())
    }

    /// What is to be looked at, in the order of the matches; or why not all could be written.
    fn done(self) -> Result<Vec<Look>, CliError> {
        if let Some(e) = self.failed.into_inner().unwrap_or_else(PoisonError::into_inner) {
            return Err(e);
        }
        let mut looks = self.looks.into_inner().unwrap_or_else(PoisonError::into_inner);
        looks.sort_by_key(|l| l.at);
        Ok(looks)
    }
}

fn lock<T>(what: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    what.lock().unwrap_or_else(PoisonError::into_inner)
}
