//! Memory for the pictures that go to the screen, used again for other pictures.
//!
//! A new picture of 3840 × 2160 is 33 MB that the system has to clear, page by page, before it is written. So the memory of a
//! picture that nobody holds any more goes to a short list that all pipelines share, and the next picture of that size takes it
//! from there. It comes from the system itself and goes back to it: glibc gives each of GStreamer's threads a heap of its own,
//! and these heaps keep what is freed.

use std::sync::{Mutex, MutexGuard, PoisonError};

use gst::glib;
use gst::prelude::*;
use memmap2::MmapMut;

/// How many pictures wait on the list at most, and how many bytes of them. More would not be needed: a picture goes when one comes.
const MOST: usize = 2;
const BYTES: usize = 96 << 20;

static FREE: Mutex<Vec<MmapMut>> = Mutex::new(Vec::new());

fn free() -> MutexGuard<'static, Vec<MmapMut>> {
    FREE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The memory of one picture. It goes to the list when it is dropped.
struct Slab(Option<MmapMut>);

impl Slab {
    fn of(bytes: usize) -> std::io::Result<Self> {
        let mut free = free();
        let found = free.iter().rposition(|slab| slab.len() == bytes).map(|i| free.remove(i));
        drop(free);
        found.map_or_else(|| MmapMut::map_anon(bytes), Ok).map(|slab| Self(Some(slab)))
    }
}

impl AsMut<[u8]> for Slab {
    fn as_mut(&mut self) -> &mut [u8] {
        self.0.as_deref_mut().unwrap_or_default()
    }
}

impl Drop for Slab {
    fn drop(&mut self) {
        let Some(slab) = self.0.take() else { return };
        let gone = put(&mut free(), slab, |slab| slab.len());
        // The system takes its time to take memory back: the list is open again meanwhile.
        drop(gone);
    }
}

/// Puts memory on a list; what has to leave it then, the oldest first.
fn put<T>(list: &mut Vec<T>, slab: T, size: impl Fn(&T) -> usize) -> Vec<T> {
    list.push(slab);
    let mut bytes: usize = list.iter().map(&size).sum();
    let mut gone = 0;
    while list.len() - gone > MOST || bytes > BYTES {
        bytes -= size(&list[gone]);
        gone += 1;
    }
    list.drain(..gone).collect()
}

mod imp {
    use gst::glib;
    use gst::subclass::prelude::*;

    use super::Slab;

    #[derive(Default)]
    pub struct PicturePool {
        bytes: std::sync::atomic::AtomicUsize,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PicturePool {
        const NAME: &'static str = "ChangeoverPicturePool";
        type Type = super::PicturePool;
        type ParentType = gst::BufferPool;
    }

    impl ObjectImpl for PicturePool {}
    impl GstObjectImpl for PicturePool {}

    impl BufferPoolImpl for PicturePool {
        fn set_config(&self, config: &mut gst::BufferPoolConfigRef) -> bool {
            let bytes = config.params().map_or(0, |(_, bytes, _, _)| bytes);
            self.bytes.store(bytes as usize, std::sync::atomic::Ordering::SeqCst);
            bytes > 0 && self.parent_set_config(config)
        }

        fn alloc_buffer(
            &self,
            _: Option<&gst::BufferPoolAcquireParams>,
        ) -> Result<gst::Buffer, gst::FlowError> {
            let bytes = self.bytes.load(std::sync::atomic::Ordering::SeqCst);
            let slab = Slab::of(bytes).map_err(|_| gst::FlowError::Error)?;
            Ok(gst::Buffer::from_mut_slice(slab))
        }
    }
}

glib::wrapper! {
    /// Gives buffers whose memory comes from the list.
    pub struct PicturePool(ObjectSubclass<imp::PicturePool>) @extends gst::BufferPool, gst::Object;
}

/// Has the pictures that come to a pad written into memory from the list.
pub(super) fn lend(pad: &gst::Pad) {
    pad.add_probe(gst::PadProbeType::QUERY_DOWNSTREAM, |_, info| {
        let Some(gst::QueryViewMut::Allocation(query)) = info.query_mut().map(gst::QueryRef::view_mut) else {
            return gst::PadProbeReturn::Ok;
        };
        let Some(picture) = query.caps().and_then(|caps| gst_video::VideoInfo::from_caps(caps).ok()) else {
            return gst::PadProbeReturn::Ok;
        };
        let Ok(bytes) = u32::try_from(picture.size()) else { return gst::PadProbeReturn::Ok };
        let pool = query.need_pool().then(glib::Object::new::<PicturePool>);
        query.add_allocation_pool(pool.as_ref(), bytes, 0, 0);
        gst::PadProbeReturn::Handled
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_keeps_the_newest_memory_up_to_its_limits() {
        const PART: usize = BYTES / 10;
        let mut list = Vec::new();
        let mut of = |slab: usize| {
            let gone = put(&mut list, slab * PART, |slab| *slab);
            (list.iter().map(|slab| slab / PART).collect::<Vec<_>>(), gone.len())
        };
        assert_eq!(of(3), (vec![3], 0));
        assert_eq!(of(7), (vec![3, 7], 0));
        assert_eq!(of(2), (vec![7, 2], 1));
        assert_eq!(of(9), (vec![9], 2));
        assert_eq!(of(11), (vec![], 2), "larger than the list");
        for n in 1..=MOST {
            assert_eq!(of(1), (vec![1; n], 0));
        }
        assert_eq!(of(1), (vec![1; MOST], 1), "as many as there may be");
    }

    /// The buffers of a stream of 40 pictures, of which so many are held at a time.
    fn places(held: usize) -> Vec<usize> {
        super::super::init().unwrap();
        // No other test has pictures of this size.
        let line = "videotestsrc num-buffers=40 ! video/x-raw,format=I420,width=94,height=38 ! videoconvert ! \
                    videoflip video-direction=auto ! appsink name=end sync=false caps=video/x-raw,format=BGRA";
        let pipeline = gst::parse::launch(line).unwrap().downcast::<gst::Pipeline>().unwrap();
        let sink = pipeline.by_name("end").unwrap().downcast::<gst_app::AppSink>().unwrap();
        sink.set_property("enable-last-sample", false);
        sink.set_property("max-buffers", 1u32);
        lend(&sink.static_pad("sink").unwrap());
        pipeline.set_state(gst::State::Playing).unwrap();
        let (mut kept, mut seen) = (std::collections::VecDeque::new(), Vec::new());
        while let Ok(sample) = sink.pull_sample() {
            // As a frame is kept: without the buffer, so that the pool does not know of it any more.
            let buffer = sample.buffer().unwrap().copy();
            assert_eq!(buffer.size(), 94 * 38 * 4);
            assert!(!buffer.peek_memory(0).is_type("SystemMemory"), "not lent");
            seen.push(buffer.map_readable().unwrap().as_ptr() as usize);
            kept.push_back(buffer);
            if kept.len() > held {
                kept.pop_front();
            }
        }
        pipeline.set_state(gst::State::Null).unwrap();
        seen
    }

    #[test]
    fn the_memory_of_pictures_that_are_gone_is_used_for_others() {
        let mut seen = places(3);
        assert_eq!(seen.len(), 40);
        seen.sort_unstable();
        seen.dedup();
        assert!(seen.len() <= 10, "{} places for 40 pictures", seen.len());
    }
}
