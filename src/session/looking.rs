//! Examines the files to open, on a thread: their record, and the footage that can be shown.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use super::error::{LookError, ProbeError};
use super::question::{Together, stem_of};
use crate::frames::FootageFile;
use crate::record::footage::{OTHER, fingerprint, footage_path, name_text, others, relink};
use crate::record::store::{Store, sidecar_for};
use crate::record::{Edit, Footage, MatchInfo, Record, printable};
use crate::saving::{Replace, allowed};
use crate::time::MatchTime;

/// A record, and where on the match clock its footage lies.
#[derive(Debug)]
pub struct Found {
    /// The record.
    pub store: Store,
    /// The files that can be shown, and where they start.
    pub files: Vec<(Arc<FootageFile>, MatchTime)>,
    /// What the user should be told of the files.
    pub notices: Vec<String>,
    /// Files of which nobody said whether they are one match, in the order in which they would follow one another.
    pub asks: Option<Asks>,
    /// Films that were opened together with this one and have records of their own.
    pub rest: Vec<PathBuf>,
}

/// Files that were opened together, which may be one match.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asks {
    /// The files.
    pub paths: Vec<PathBuf>,
    /// Whether several of them have records of their own.
    pub own_records: bool,
}

impl Found {
    fn new(store: Store) -> Self {
        Self { store, files: Vec::new(), notices: Vec::new(), asks: None, rest: Vec::new() }
    }
}

/// Called with the part of the footage that has been read, from 0 to 1; a break stops the reading.
pub type Watch<'a> = &'a mut dyn FnMut(f64) -> ControlFlow<()>;

/// Reads what is known of a file of footage.
pub type Probe = fn(&Path, Watch<'_>) -> Result<FootageFile, ProbeError>;

/// How footage is read: by the video room, which this room does not know, while somebody watches how far it is.
pub struct FootageReader<'a> {
    /// Reads one file.
    pub probe: Probe,
    /// Is told how far all files are read.
    pub watch: Watch<'a>,
}

/// Opens a record, or footage with the record beside its first file, or with a new one. Several files are shown as one match
/// until somebody says that they are; nothing is written before. For a film each see [`super::each`].
///
/// # Errors
/// [`LookError`].
pub fn look(
    paths: &[PathBuf],
    together: Option<Together>,
    reader: &mut FootageReader<'_>,
) -> Result<Found, LookError> {
    match paths {
        [] => Err(LookError::NoFile),
        [one] if is_record(one) => record(one, reader),
        several if several.iter().any(|p| is_record(p)) => Err(LookError::RecordAmongOthers),
        footage => match_of(footage, together, reader),
    }
}

fn is_record(path: &Path) -> bool {
    path.to_string_lossy().ends_with(".points.json")
}

pub(super) fn record(path: &Path, reader: &mut FootageReader<'_>) -> Result<Found, LookError> {
    let store = Store::open(path)?;
    Ok(with_its_footage(path, store, reader))
}

/// Finds the footage of a record. Files that cannot be shown are reported and left out.
fn with_its_footage(path: &Path, mut store: Store, reader: &mut FootageReader<'_>) -> Found {
    relink(&mut store);
    let mut found = Found::new(store);
    let of = found.store.record().footage.len();
    let other = others(path, &found.store.record().footage).map(|(_, file)| printable(&file.file, 120));
    found.notices.extend(other.map(|name| format!("\"{name}\" {OTHER}.")).collect::<Vec<_>>());
    for (i, footage) in found.store.record().footage.iter().enumerate() {
        let file = footage_path(path, footage).map_err(LookError::from);
        let media = file.and_then(|file| seen(&file, (i, of), reader));
        match media {
            Ok(media) => {
                found.notices.extend(media.warnings.iter().cloned());
                found.files.push((Arc::new(media), footage.start));
            }
            Err(why) => found.notices.push(why.to_string()),
        }
    }
    found
}

/// Files as they were filmed: by their names where these differ in numbers alone, else by when they were written.
pub(super) fn in_order(paths: &[PathBuf]) -> Vec<PathBuf> {
    let mut paths = paths.to_vec();
    paths.sort_by_key(|p| by_name(p));
    paths.dedup();
    if !paths.windows(2).all(|two| stem_of(&two[0]) == stem_of(&two[1])) {
        let written = |p: &PathBuf| p.metadata().and_then(|m| m.modified()).ok();
        paths.sort_by_key(written);
    }
    paths
}

/// The match of these files in their order, each starting where the one before it ends.
fn match_of(
    paths: &[PathBuf],
    together: Option<Together>,
    reader: &mut FootageReader<'_>,
) -> Result<Found, LookError> {
    let paths = in_order(paths);
    if let Some(other) = paths.iter().find(|p| p.parent() != paths[0].parent()) {
        return Err(LookError::Folders { path: other.clone() });
    }
    let sidecar = sidecar_for(&paths[0]);
    if sidecar.exists() {
        let store = Store::open(&sidecar)?;
        let mut found = with_its_footage(&sidecar, store, reader);
        if found.store.record().about.clock_started.is_some() && found.store.record().footage.is_empty() {
            found.notices.push("This match was logged without footage: attach the footage.".into());
        } else if let (true, [one]) = (found.files.is_empty(), &paths[..]) {
            // The file has the record's name but another fingerprint: it was made again, so it counts as the record's footage.
            let start = found.store.record().footage.first().map_or(MatchTime::ZERO, |f| f.start);
            found.files.push((Arc::new(seen(one, (0, 1), reader)?), start));
        } else if together.is_none() && paths.len() > 1 && !knows(&found, &paths) {
            found.asks = Some(asks(&paths));
        } else {
            add_new(&mut found, &paths, reader)?;
        }
        return Ok(found);
    }
    let (mut files, mut footage, mut start) = (Vec::new(), Vec::new(), MatchTime::ZERO);
    for (i, path) in paths.iter().enumerate() {
        let media = seen(path, (i, paths.len()), reader)?;
        footage.push(entry(path, &media, start));
        start = start.later(media.duration - MatchTime::ZERO);
        files.push((Arc::new(media), footage[footage.len() - 1].start));
    }
    let mut notices: Vec<String> = files.iter().flat_map(|(m, _)| m.warnings.clone()).collect();
    if files.len() > 1 {
        notices.push(in_a_row(files.len()));
    }
    let new = Record { footage, ..Record::default() };
    // Watching footage creates no record: the first edit does.
    let store = Store::draft(&sidecar, new)?;
    let asks = Some(asks(&paths)).filter(|_| together.is_none() && paths.len() > 1);
    Ok(Found { files, notices, asks, ..Found::new(store) })
}

fn asks(paths: &[PathBuf]) -> Asks {
    let own = paths.iter().filter(|p| sidecar_for(p).exists()).count();
    Asks { paths: paths.to_vec(), own_records: own > 1 }
}

/// Whether a record has all of these files.
fn knows(found: &Found, paths: &[PathBuf]) -> bool {
    let real = |p: &PathBuf| p.canonicalize().ok();
    paths.iter().all(|p| found.files.iter().any(|(m, _)| Some(&m.path) == real(p).as_ref()))
}

/// A new record without footage, whose match clock shows 0 at `zero`. A name without `.points.json` gets it.
///
/// # Errors
/// [`LookError`], also when there is such a record already.
pub fn without_footage(path: &Path, zero: DateTime<FixedOffset>) -> Result<Found, LookError> {
    let about =
        MatchInfo { date: Some(zero.date_naive()), clock_started: Some(zero), ..MatchInfo::default() };
    let new = Record { about, ..Record::default() };
    allowed(path, Replace::Nothing, &[])?;
    let store = Store::create(path, new)?;
    Ok(Found::new(store))
}

/// The name with the ending of a record, of which a part may be there already, in whatever case.
pub fn record_name(path: &Path) -> PathBuf {
    if is_record(path) {
        return path.to_owned();
    }
    let name = path.file_name().unwrap_or_default();
    let text = name.to_string_lossy();
    let stem = [".points.json", ".points", ".json"].iter().find_map(|end| {
        let at = text.len().checked_sub(end.len()).filter(|at| *at > 0 && text.is_char_boundary(*at))?;
        text[at..].eq_ignore_ascii_case(end).then(|| text[..at].to_owned())
    });
    // A name that is not Unicode keeps all of itself.
    let mut new = stem.filter(|_| name.to_str().is_some()).map_or_else(|| name.to_owned(), Into::into);
    new.push(".points.json");
    path.with_file_name(new)
}

/// The films of one match in the order of their names, each where the one before it ends, to be attached to a record.
///
/// # Errors
/// [`LookError`].
pub fn films(
    record: &Path,
    paths: &[PathBuf],
    reader: &mut FootageReader<'_>,
) -> Result<Vec<(Footage, Arc<FootageFile>)>, LookError> {
    // A record that is in memory only has no file yet: its folder must do.
    let real = record.canonicalize().ok().and_then(|r| r.parent().map(Path::to_owned));
    let beside = record.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let home = real.or_else(|| beside.canonicalize().ok()).unwrap_or_else(|| beside.to_owned());
    let mut paths = paths.to_vec();
    paths.sort_by_key(|p| by_name(p));
    paths.dedup();
    let (mut films, mut start) = (Vec::new(), MatchTime::ZERO);
    for (i, path) in paths.iter().enumerate() {
        let media = seen(path, (i, paths.len()), reader)?;
        let name = media
            .path
            .strip_prefix(&home)
            .map(name_text)
            .map_err(|_| LookError::Outside { path: path.clone() })?;
        films.push((Footage { file: name, ..entry(path, &media, start) }, Arc::new(media)));
        start = films.iter().map(|(f, _)| f.start.later(f.duration - MatchTime::ZERO)).max().unwrap_or(start);
    }
    Ok(films)
}

/// Puts files that the record does not know after its last one.
fn add_new(found: &mut Found, paths: &[PathBuf], reader: &mut FootageReader<'_>) -> Result<(), LookError> {
    let mut footage = found.store.record().footage.clone();
    let known = footage.len();
    for (i, path) in paths.iter().enumerate() {
        let real = path.canonicalize().map_err(|why| LookError::Find { path: path.clone(), why })?;
        if found.files.iter().any(|(m, _)| m.path == real) {
            continue;
        }
        let media = seen(path, (i, paths.len()), reader)?;
        let ends = footage.iter().map(|f| f.start.later(f.duration - MatchTime::ZERO));
        let start = ends.max().unwrap_or_default();
        footage.push(entry(path, &media, start));
        found.files.push((Arc::new(media), start));
    }
    if footage.len() > known && found.store.read_only().is_none() {
        let all = footage.len();
        let _ = found.store.apply(Edit::SetFootage(footage))?;
        found.notices.push(in_a_row(all));
    }
    Ok(())
}

/// Reads one file, the `nth` of `of`.
pub(super) fn seen(
    path: &Path,
    (nth, of): (usize, usize),
    reader: &mut FootageReader<'_>,
) -> Result<FootageFile, LookError> {
    let watch = &mut *reader.watch;
    Ok((reader.probe)(path, &mut |part| watch((nth as f64 + part) / of as f64))?)
}

fn in_a_row(files: usize) -> String {
    format!("{files} files make one match. Each one starts where the one before it ends.")
}

pub(super) fn entry(path: &Path, media: &FootageFile, start: MatchTime) -> Footage {
    Footage {
        file: name_text(path.file_name().unwrap_or_default().as_ref()),
        fingerprint: fingerprint(path).ok(),
        duration: media.duration,
        rate: media.rate,
        rotation: media.rotation,
        start,
    }
}

/// Names in the order that people expect: `match-2` before `match-10`.
fn by_name(path: &Path) -> Vec<(u64, String)> {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    let mut parts: Vec<(u64, String)> = Vec::new();
    let mut digits = true;
    for c in name.chars() {
        let is = c.is_ascii_digit();
        if parts.is_empty() || (is && !digits) {
            parts.push((0, String::new()));
        }
        digits = is;
        if let Some(last) = parts.last_mut() {
            match c.to_digit(10).filter(|_| is) {
                Some(d) => last.0 = last.0.saturating_mul(10).saturating_add(d.into()),
                None => last.1.push(c),
            }
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_go_in_the_order_of_their_names() {
        let mut names = ["m-10.mp4", "m-9.mp4", "M-1.mp4", "a.mp4", "m.mp4", "m-1-2.mp4", "007.mp4", "8.mp4"];
        names.sort_by_key(|n| by_name(Path::new(n)));
        assert_eq!(
            names,
            ["a.mp4", "m-1-2.mp4", "M-1.mp4", "m-9.mp4", "m-10.mp4", "m.mp4", "007.mp4", "8.mp4"]
        );
    }

    #[test]
    fn a_record_without_footage_never_replaces_one() {
        let folder = tempfile::tempdir().unwrap();
        let zero = DateTime::parse_from_rfc3339("2026-05-09T10:00:00+02:00").unwrap();
        let path = record_name(&folder.path().join("holt.okafor"));
        assert_eq!(path.file_name().unwrap(), "holt.okafor.points.json");
        assert_eq!(record_name(&path), path);
        for (chosen, name) in [
            ("final.json", "final.points.json"),
            ("final.points", "final.points.json"),
            ("Final.Points.JSON", "Final.points.json"),
            (".json", ".json.points.json"),
            ("réyes", "réyes.points.json"),
        ] {
            assert_eq!(record_name(&folder.path().join(chosen)), folder.path().join(name));
        }
        let found = without_footage(&path, zero).unwrap();
        assert_eq!(found.store.record().about.clock_started, Some(zero));
        assert_eq!(found.store.record().about.date.unwrap().to_string(), "2026-05-09");
        let again = without_footage(&path, zero).unwrap_err().to_string();
        assert!(again.contains("holt.okafor.points.json"), "{again}");
    }

    #[test]
    fn what_makes_no_match_says_why() {
        let none = |paths: &[&str]| {
            let paths: Vec<_> = paths.iter().map(PathBuf::from).collect();
            let probe: Probe = |_, _| Err("no file is read here".into());
            let watch = &mut |_| ControlFlow::Continue(());
            look(&paths, None, &mut FootageReader { probe, watch }).unwrap_err().to_string()
        };
        assert!(none(&["a.mp4", "m.points.json"]).contains("by itself"));
        assert!(none(&["a/1.mp4", "b/2.mp4"]).contains("one folder"));
        assert!(none(&[]).contains("no file"));
    }
}
