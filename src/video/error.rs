//! What can go wrong with footage, said so that the reader knows what to do next.

use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::system::{reading, shown};
use crate::time::MatchTime;

/// What went wrong, where, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum VideoError {
    /// GStreamer itself does not start.
    #[error("GStreamer does not start: {reason}; reinstall libgstreamer1.0-0 and gstreamer1.0-plugins-base")]
    Start {
        /// What GStreamer said.
        reason: String,
    },
    /// There is no such file.
    #[error(
        "{}: there is no such file; check the name, or whether the disk it is on is connected",
        shown(path)
    )]
    NotFound {
        /// The file asked for.
        path: PathBuf,
    },
    /// The path is a folder.
    #[error("{}: this is a folder; choose a video file in it", shown(path))]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// The file is there but may not be read.
    #[error("{}: the file cannot be read ({reason}); check its permissions", shown(path))]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// The file holds nothing.
    #[error("{}: the file is empty (0 bytes); copy it from the camera again", shown(path))]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// The file has no moving pictures in it.
    #[error("{}: this is not a video file ({found}); choose the footage itself", shown(path))]
    NotVideo {
        /// The file.
        path: PathBuf,
        /// What it seems to be.
        found: String,
    },
    /// The file is a picture, or an animation made of some.
    #[error("{}: this is {found}, not footage; choose a video file", shown(path))]
    Picture {
        /// The file.
        path: PathBuf,
        /// What it is, as "a still picture (PNG)".
        found: String,
    },
    /// A table of points.
    #[error(
        "{}: this is a table, not footage; to make a record of a table of points, use `changeover import` (its help \
         says how), then open the record",
        shown(path)
    )]
    Table {
        /// The file.
        path: PathBuf,
    },
    /// A workbook.
    #[error(
        "{}: this is a workbook, not footage; if it holds points, save its sheet as CSV and make a record of that with \
         `changeover import`",
        shown(path)
    )]
    Workbook {
        /// The file.
        path: PathBuf,
    },
    /// A transport stream by which no time can be told.
    #[error(
        "{}: this transport stream has no clock reference (PCR), so that no frame can be found by its time; convert it to MP4, which can \
         copy the pictures as they are, and open that",
        shown(path)
    )]
    NoClock {
        /// The file.
        path: PathBuf,
    },
    /// A transport stream that has its first clock reference too late.
    #[error(
        "{}: the clock reference (PCR) of this transport stream starts later than its sound or pictures, as where the pictures start \
         after the sound, so that no frame can be found by its time; convert it to MP4, which can copy the pictures as they are, and \
         open that",
        shown(path)
    )]
    LateClock {
        /// The file.
        path: PathBuf,
    },
    /// The file has sound but no pictures.
    #[error("{}: there are no pictures in this file, only {found}; choose a file with video", shown(path))]
    NoPictures {
        /// The file.
        path: PathBuf,
        /// What it has instead.
        found: String,
    },
    /// There is nothing in the file to be listened to.
    #[error(
        "{}: there is no sound to listen to ({reason}); strikes are heard only in footage with sound",
        shown(path)
    )]
    NoSound {
        /// The file.
        path: PathBuf,
        /// Why not.
        reason: String,
    },
    /// The file stops before the part that says where its frames are.
    #[error(
        "{}: the file is incomplete, the recording or the copy of it broke off ({reason}); copy it again, or \
         repair it with the camera's own software",
        shown(path)
    )]
    Incomplete {
        /// The file.
        path: PathBuf,
        /// What GStreamer said.
        reason: String,
    },
    /// No decoder for the pictures is installed.
    #[error(
        "{}: no {codec} is installed; install the package {package} and open the file again",
        shown(path)
    )]
    MissingCodec {
        /// The file.
        path: PathBuf,
        /// The decoder in words, as "H.264 (Main Profile) decoder".
        codec: String,
        /// The Debian package that has it.
        package: String,
    },
    /// A building block of GStreamer is not installed.
    #[error("the GStreamer element {element} is missing; install the package {package}")]
    MissingElement {
        /// Name of the element.
        element: String,
        /// The Debian package that has it.
        package: String,
    },
    /// There is no microphone, or it cannot be used.
    #[error(
        "no microphone can be used ({}{reason}); connect one, choose it in the settings of your desktop, and try again",
        by_name(name)
    )]
    NoMicrophone {
        /// The source that was asked for.
        name: String,
        /// What is wrong with it.
        reason: String,
    },
    /// The pictures cannot be decoded.
    #[error(
        "{}: the pictures cannot be decoded ({reason}); convert the file to MP4 with H.264 and open that",
        shown(path)
    )]
    Broken {
        /// The file.
        path: PathBuf,
        /// What GStreamer said.
        reason: String,
    },
    /// What was asked for comes after the last frame.
    #[error("{}: it ends at {end}, so there is nothing at {at}; give an earlier time", shown(path))]
    PastEnd {
        /// The file.
        path: PathBuf,
        /// The moment asked for.
        at: MatchTime,
        /// When its last frame is gone.
        end: MatchTime,
    },
    /// Nothing came out of the file in time.
    #[error(
        "{}: nothing could be read from the file within {seconds} s; copy it to this computer's own disk",
        shown(path)
    )]
    TooSlow {
        /// The file.
        path: PathBuf,
        /// How long was waited.
        seconds: u64,
    },
    /// Reading was given up on demand.
    #[error("{}: reading was stopped before the end of the file; start again to go on", shown(path))]
    Stopped {
        /// The file.
        path: PathBuf,
    },
    /// A file could not be written.
    #[error(
        "{}: cannot be written ({reason}); check the free space and the permissions of the folder",
        shown(path)
    )]
    Write {
        /// The file to be written.
        path: PathBuf,
        /// What the system or GStreamer said.
        reason: String,
    },
    /// What was asked of the encoder cannot be.
    #[error("cannot encode {what}; {allowed}")]
    Spec {
        /// What was asked.
        what: String,
        /// What is allowed.
        allowed: String,
    },
    /// A GStreamer call failed for a reason of its own.
    #[error("{what} failed: {reason}; close other programs that use the footage and try again")]
    Pipeline {
        /// What was tried.
        what: String,
        /// What GStreamer said.
        reason: String,
    },
}

impl VideoError {
    /// The same error with the file named as it was given.
    #[must_use]
    pub fn of(mut self, given: &Path) -> Self {
        if let Some(path) = self.path() {
            given.clone_into(path);
        }
        self
    }

    /// The same error with its file named otherwise, as by the name that it gets at the end.
    #[must_use]
    pub fn renamed(mut self, name: impl FnOnce(&Path) -> PathBuf) -> Self {
        if let Some(path) = self.path() {
            *path = name(path);
        }
        self
    }

    /// The file that an error is about.
    fn path(&mut self) -> Option<&mut PathBuf> {
        match self {
            Self::NotFound { path }
            | Self::IsFolder { path }
            | Self::Unreadable { path, .. }
            | Self::Empty { path }
            | Self::NotVideo { path, .. }
            | Self::Picture { path, .. }
            | Self::Table { path }
            | Self::Workbook { path }
            | Self::NoClock { path }
            | Self::LateClock { path }
            | Self::NoPictures { path, .. }
            | Self::NoSound { path, .. }
            | Self::Incomplete { path, .. }
            | Self::MissingCodec { path, .. }
            | Self::Broken { path, .. }
            | Self::PastEnd { path, .. }
            | Self::TooSlow { path, .. }
            | Self::Stopped { path }
            | Self::Write { path, .. } => Some(path),
            Self::Start { .. }
            | Self::MissingElement { .. }
            | Self::NoMicrophone { .. }
            | Self::Spec { .. }
            | Self::Pipeline { .. } => None,
        }
    }
}

/// The error for an element that is not installed.
/// The source of sound that GStreamer chooses by itself.
pub(super) const USUAL_SOURCE: &str = "autoaudiosrc";

/// The source of sound that was asked for by name. The usual one is nothing that a user has heard of.
fn by_name(source: &str) -> String {
    if source == USUAL_SOURCE { String::new() } else { format!("{source}: ") }
}

pub(super) fn missing_element(element: &str) -> VideoError {
    VideoError::MissingElement { element: element.to_owned(), package: package_of(element).to_owned() }
}

/// The Debian package of an element this room uses.
fn package_of(element: &str) -> &'static str {
    match element {
        "x264enc" => "gstreamer1.0-plugins-ugly",
        name if name.starts_with("av") => "gstreamer1.0-libav",
        "vp8enc" | "mp4mux" | "webmmux" | "scaletempo" | "videoflip" | "aacparse" | "autoaudiosink"
        | "autoaudiosrc" => "gstreamer1.0-plugins-good",
        "h264parse" | "webrtcdsp" => "gstreamer1.0-plugins-bad",
        "queue" | "fakesink" | "filesink" | "filesrc" => "libgstreamer1.0-0",
        _ => "gstreamer1.0-plugins-base",
    }
}

/// Refuses what is plainly no readable file, before GStreamer is asked.
///
/// # Errors
/// [`VideoError::NotFound`], [`VideoError::IsFolder`], [`VideoError::Unreadable`] or [`VideoError::Empty`].
pub(super) fn check_file(path: &Path) -> Result<(), VideoError> {
    let path_buf = path.to_path_buf();
    let unreadable = |e: &std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => VideoError::NotFound { path: path_buf.clone() },
        _ => VideoError::Unreadable { path: path_buf.clone(), reason: reading(e).to_string() },
    };
    let meta = std::fs::metadata(path).map_err(|e| unreadable(&e))?;
    if meta.is_dir() {
        return Err(VideoError::IsFolder { path: path_buf });
    }
    if !meta.is_file() {
        let found = "a device or pipe".to_owned();
        return Err(VideoError::NotVideo { path: path_buf, found });
    }
    std::fs::File::open(path).map_err(|e| unreadable(&e))?;
    if meta.len() == 0 { Err(VideoError::Empty { path: path_buf }) } else { Ok(()) }
}

/// What an error message on a pipeline's bus means for the file at `path`.
pub(super) fn from_gstreamer(message: &gst::MessageRef, path: &Path) -> VideoError {
    let path = path.to_path_buf();
    let gst::MessageView::Error(e) = message.view() else {
        return VideoError::Broken { path, reason: "unknown".to_owned() };
    };
    let reason = in_our_words(e.error().message().trim_end_matches('.'));
    match e.error().kind::<gst::StreamError>() {
        Some(gst::StreamError::TypeNotFound | gst::StreamError::WrongType) => {
            VideoError::NotVideo { path, found: "nothing in it is known to be video".to_owned() }
        }
        Some(gst::StreamError::CodecNotFound) => missing_codec(&path, "decoder for it"),
        Some(gst::StreamError::Demux) => VideoError::Incomplete { path, reason },
        _ if e.error().matches(gst::ResourceError::NotFound) => VideoError::NotFound { path },
        _ if e.error().is::<gst::ResourceError>() => VideoError::Unreadable { path, reason },
        _ => VideoError::Broken { path, reason },
    }
}

/// What GStreamer says of any file, in words that say something.
fn in_our_words(reason: &str) -> String {
    let any = |parts: &[&str]| parts.iter().any(|part| reason.contains(part));
    if any(&["no playable streams"]) {
        "no track in it can be played".to_owned()
    } else if any(&["Internal data stream error", "general stream error", "Internal data flow error"]) {
        "GStreamer does not say why".to_owned()
    } else {
        reason.to_owned()
    }
}

/// The error for a decoder that is not installed, by GStreamer's description of it.
pub(super) fn missing_codec(path: &Path, description: &str) -> VideoError {
    let package = codec_package(description).to_owned();
    VideoError::MissingCodec { path: path.to_path_buf(), codec: description.to_owned(), package }
}

/// The Debian package with the decoder or demuxer of a description such as "H.264 (Main Profile) decoder".
fn codec_package(description: &str) -> &'static str {
    let d = description.to_lowercase();
    let any = |names: &[&str]| names.iter().any(|n| d.contains(n));
    if any(&["vp8", "vp9", "quicktime", "iso mp4", "matroska", "webm", "avi ", "motion jpeg", "flv", "dv "]) {
        "gstreamer1.0-plugins-good"
    } else if any(&["av1", "mpeg-2 transport", "mpeg transport", "mxf"]) {
        "gstreamer1.0-plugins-bad"
    } else if any(&["mpeg-1", "mpeg-2 video"]) {
        "gstreamer1.0-plugins-ugly"
    } else if any(&["theora", "ogg", "vorbis", "opus"]) {
        "gstreamer1.0-plugins-base"
    } else {
        "gstreamer1.0-libav"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_non_files_are_named_before_gstreamer_is_asked() {
        let dir = tempfile::tempdir().unwrap();
        let empty = dir.path().join("empty.mp4");
        std::fs::write(&empty, "").unwrap();
        assert!(matches!(check_file(&empty), Err(VideoError::Empty { .. })));
        assert!(matches!(check_file(dir.path()), Err(VideoError::IsFolder { .. })));
        let missing = check_file(&dir.path().join("no.mp4")).unwrap_err();
        assert!(missing.to_string().contains("no.mp4: there is no such file; check"), "{missing}");
        assert!(matches!(check_file(Path::new("/dev/null")), Err(VideoError::NotVideo { .. })));
    }

    #[test]
    fn what_says_nothing_is_said_in_our_words() {
        assert_eq!(in_our_words("This file contains no playable streams"), "no track in it can be played");
        assert_eq!(in_our_words("Internal data stream error"), "GStreamer does not say why");
        assert_eq!(in_our_words("Not enough memory"), "Not enough memory");
    }

    #[test]
    fn a_path_in_a_message_cannot_drive_a_terminal() {
        let path = std::path::PathBuf::from("a\u{1b}[2Jb\u{202e}.mp4");
        let said = VideoError::NotFound { path: path.clone() }.to_string();
        assert!(said.starts_with("a\\u{1b}[2Jb\\u{202e}.mp4: there is no such file"), "{said}");
        let error = missing_codec(&path, "H.264 decoder").to_string();
        assert!(!error.contains('\u{1b}') && !error.contains('\u{202e}'), "{error}");
    }

    #[test]
    fn a_missing_codec_names_its_package() {
        for (codec, package) in [("H.264 (Main Profile) decoder", "libav"), ("VP9 decoder", "plugins-good")] {
            let text = missing_codec(Path::new("a.mp4"), codec).to_string();
            assert!(text.contains(codec) && text.contains(package), "{text}");
        }
    }

    #[test]
    fn a_missing_element_names_its_package() {
        assert!(
            missing_element("x264enc").to_string().ends_with("install the package gstreamer1.0-plugins-ugly")
        );
    }
}
