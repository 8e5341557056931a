//! The size of the pictures in a stream that was not decoded.

/// Width and height in pixels, as stored.
pub(super) type Size = (u32, u32);

/// The size of a sample's picture: as its stream says, or as the picture itself does where streams do not say so again.
pub(super) fn size_of(sample: &gst::Sample) -> Option<Size> {
    let caps = sample.caps()?.structure(0)?;
    if caps.name() == "video/x-vp8" {
        return vp8(&sample.buffer()?.map_readable().ok()?);
    }
    let number = |name| caps.get::<i32>(name).ok().and_then(|n| u32::try_from(n).ok());
    Some((number("width")?, number("height")?))
}

/// The size of a VP8 key frame (RFC 6386, 9.1); other frames do not say it.
fn vp8(frame: &[u8]) -> Option<Size> {
    let is_key = frame.first()? & 1 == 0;
    let start: &[u8; 7] = frame.get(3..10)?.try_into().ok()?;
    let side = |low: u8, high: u8| u32::from(u16::from_le_bytes([low, high]) & 0x3FFF);
    (is_key && start[..3] == [0x9D, 0x01, 0x2A]).then(|| (side(start[3], start[4]), side(start[5], start[6])))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_size_of_a_vp8_key_frame_is_read() {
        let key = [0x10, 0, 0, 0x9D, 0x01, 0x2A, 0x40, 0x41, 0xB4, 0x00, 7];
        assert_eq!(vp8(&key), Some((320, 180)), "without the scale in the upper two bits");
        assert_eq!(vp8(&key[..9]), None);
        assert_eq!(vp8(&[&[0x11], &key[1..]].concat()), None);
    }
}
