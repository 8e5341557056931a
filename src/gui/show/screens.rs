//! On which screen a show goes when there are several. Pure.

/// A screen's place: left, top, width and height on the desktop.
pub type Place = (i32, i32, i32, i32);

/// Which screen the show goes to: the largest that shows nothing of the screen with the window. `own` is that of the window, if the
/// desktop tells. `None` if there is no other screen: two that show the same are one.
pub fn for_show(all: &[Place], own: Option<Place>) -> Option<usize> {
    let own = own.or_else(|| all.first().copied())?;
    let others = all.iter().enumerate().filter(|(_, place)| !overlap(**place, own));
    others.min_by_key(|(n, (_, _, w, h))| (-(i64::from(*w) * i64::from(*h)), *n)).map(|(n, _)| n)
}

const fn overlap(a: Place, b: Place) -> bool {
    a.0 < b.0 + b.2 && b.0 < a.0 + a.2 && a.1 < b.1 + b.3 && b.1 < a.1 + a.3
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAPTOP: Place = (0, 0, 1366, 768);
    const WALL: Place = (1366, 0, 1920, 1080);
    const SMALL: Place = (0, 768, 800, 600);

    #[test]
    fn a_show_goes_where_the_window_is_not() {
        assert_eq!(for_show(&[LAPTOP, WALL], Some(LAPTOP)), Some(1));
        assert_eq!(
            for_show(&[LAPTOP, WALL], Some(WALL)),
            Some(0),
            "also when the window was moved to the wall"
        );
        assert_eq!(for_show(&[WALL, LAPTOP], Some(LAPTOP)), Some(0), "in whatever order they are told");
        assert_eq!(for_show(&[LAPTOP, SMALL, WALL], Some(LAPTOP)), Some(2), "the largest of several");
        assert_eq!(
            for_show(&[LAPTOP, WALL], None),
            Some(1),
            "the window is on the first, as far as is known"
        );
    }

    #[test]
    fn one_screen_and_two_that_show_the_same_have_no_other() {
        assert_eq!(for_show(&[LAPTOP], Some(LAPTOP)), None);
        assert_eq!(for_show(&[], None), None);
        assert_eq!(for_show(&[LAPTOP, LAPTOP], Some(LAPTOP)), None);
        assert_eq!(for_show(&[LAPTOP, (0, 0, 1024, 768)], Some(LAPTOP)), None, "the same picture, smaller");
    }
}
