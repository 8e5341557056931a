//! Odd files out of ordinary ones: streams put into another container, spoilt or cut on the way.

use std::path::Path;

use gst::prelude::*;

/// Runs a pipeline, given as text, to its end. `prepare` may reach into it first.
pub fn run(line: &str, prepare: impl FnOnce(&gst::Pipeline)) {
    changeover::video::init().unwrap();
    let pipeline = gst::parse::launch(line).unwrap().downcast::<gst::Pipeline>().unwrap();
    prepare(&pipeline);
    pipeline.set_state(gst::State::Playing).unwrap();
    let kinds = [gst::MessageType::Eos, gst::MessageType::Error];
    let end = pipeline.bus().unwrap().timed_pop_filtered(gst::ClockTime::from_seconds(60), &kinds);
    pipeline.set_state(gst::State::Null).unwrap();
    let end = end.unwrap();
    assert!(end.type_() == gst::MessageType::Eos, "{line}: {end:?}");
}

/// The source pad of an element of that name.
pub fn source(pipeline: &gst::Pipeline, name: &str) -> gst::Pad {
    pipeline.by_name(name).unwrap().static_pad("src").unwrap()
}

/// `filesrc` for a path, quoted.
pub fn from(path: &Path) -> String {
    format!("filesrc location=\"{}\"", path.display())
}

/// `filesink` for a path, quoted.
pub fn to(path: &Path) -> String {
    format!("filesink location=\"{}\"", path.display())
}

/// A box of an MP4 file: four letters and a content.
pub fn boxed(kind: [u8; 4], content: &[u8]) -> Vec<u8> {
    [&(content.len() as u32 + 8).to_be_bytes()[..], &kind, content].concat()
}

/// The boxes in a content, each with its letters.
pub fn boxes(content: &[u8]) -> Vec<([u8; 4], Vec<u8>)> {
    let (mut found, mut at) = (Vec::new(), 0);
    while at + 8 <= content.len() {
        let number = |from: usize| u32::from_be_bytes(content[from..from + 4].try_into().unwrap()) as usize;
        // A size of 1 stands for one in eight bytes, whose upper half is nought in files this small.
        let (skip, size) = if number(at) == 1 { (16, number(at + 12)) } else { (8, number(at)) };
        let kind = content[at + 4..at + 8].try_into().unwrap();
        found.push((kind, content[at + skip..at + size].to_vec()));
        at += size;
    }
    found
}

/// The first box of that kind among boxes.
pub fn find(among: &[([u8; 4], Vec<u8>)], kind: [u8; 4]) -> &[u8] {
    &among.iter().find(|b| b.0 == kind).unwrap().1
}
