//! A frame as a small JPEG picture.

use gst::prelude::*;

use super::base::{failed, init, make};
use super::error::VideoError;
use super::frame::Frame;
use super::tap::{stop, tap};

/// How good the picture is, of 100.
const QUALITY: i32 = 80;

/// The frame as a JPEG picture that fits into this width and height; never larger than the frame. Waits.
///
/// # Errors
/// [`VideoError`] when the encoder is not installed or fails.
pub fn jpeg(frame: &Frame, most: (u32, u32)) -> Result<Vec<u8>, VideoError> {
    init()?;
    let (w, h) = frame.display_size();
    let scale = (f64::from(most.0) / f64::from(w)).min(f64::from(most.1) / f64::from(h)).min(1.0);
    let side = |of: u32| ((f64::from(of) * scale).round() as i32).max(1);
    let caps = gst::Caps::builder("video/x-raw")
        .field("width", side(w))
        .field("height", side(h))
        .field("pixel-aspect-ratio", gst::Fraction::new(1, 1))
        .build();
    let source = gst_app::AppSrc::builder().caps(&caps_of(frame)).format(gst::Format::Time).build();
    let filter = make("capsfilter")?;
    filter.set_property("caps", &caps);
    let encoder = make("jpegenc")?;
    encoder.set_property("quality", QUALITY);
    let sink = tap().build();
    let pipeline = gst::Pipeline::new();
    let parts = [
        source.upcast_ref(),
        &make("videoconvert")?,
        &make("videoscale")?,
        &filter,
        &encoder,
        sink.upcast_ref(),
    ];
    let built = |e: gst::glib::BoolError| failed("building the picture's encoder", &e);
    pipeline.add_many(parts).and_then(|()| gst::Element::link_many(parts)).map_err(built)?;
    let made = encoded(&pipeline, &source, &sink, rows(frame));
    stop(&pipeline, &sink);
    made
}

fn encoded(
    pipeline: &gst::Pipeline,
    source: &gst_app::AppSrc,
    sink: &gst_app::AppSink,
    pixels: Vec<u8>,
) -> Result<Vec<u8>, VideoError> {
    let making = |e: &dyn std::fmt::Display| failed("making a small picture", &e);
    pipeline.set_state(gst::State::Playing).map_err(|e| making(&e))?;
    let mut buffer = gst::Buffer::from_mut_slice(pixels);
    if let Some(b) = buffer.get_mut() {
        b.set_pts(gst::ClockTime::ZERO);
    }
    source.push_buffer(buffer).and_then(|_| source.end_of_stream()).map_err(|e| making(&e))?;
    let sample = sink.try_pull_sample(gst::ClockTime::from_seconds(10));
    let bytes = sample.as_ref().and_then(|s| s.buffer()).and_then(|b| b.map_readable().ok());
    bytes.map(|b| b.to_vec()).ok_or_else(|| making(&"the encoder gave nothing"))
}

fn caps_of(frame: &Frame) -> gst::Caps {
    gst::Caps::builder("video/x-raw")
        .field("format", "BGRA")
        .field("width", frame.width as i32)
        .field("height", frame.height as i32)
        .field("framerate", gst::Fraction::new(0, 1))
        .field("pixel-aspect-ratio", gst::Fraction::new(frame.par.0.max(1) as i32, frame.par.1.max(1) as i32))
        .build()
}

/// The pixels without what lies between rows.
fn rows(frame: &Frame) -> Vec<u8> {
    let row = frame.width as usize * 4;
    frame.pixels.as_ref().chunks(frame.stride).filter_map(|r| r.get(..row)).flatten().copied().collect()
}
