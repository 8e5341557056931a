//! A pinhole camera behind the near end: where a place in the world is in the picture.

use nalgebra::Vector3;

/// A camera: where it is, where it looks, and how wide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Camera {
    position: Vector3<f64>,
    right: Vector3<f64>,
    down: Vector3<f64>,
    ahead: Vector3<f64>,
    focal: f64,
    middle: [f64; 2],
}

/// A place in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seen {
    /// Pixels from the left edge.
    pub x: f64,
    /// Pixels from the top edge.
    pub y: f64,
    /// Pixels that one metre across the line of sight takes there.
    pub scale: f64,
}

impl Camera {
    /// The demo's camera, 12 m behind the near baseline and 5 m up, 60° wide, for a picture of this size in pixels.
    pub fn behind_the_court(width: f64, height: f64) -> Self {
        Self::looking([0.0, -23.8872, 5.0], [0.0, -2.0, 0.0], 60.0, [width, height])
    }

    /// A level camera at `position` (metres) that looks at a place, `wide` degrees from left to right.
    pub fn looking(position: [f64; 3], at: [f64; 3], wide: f64, size: [f64; 2]) -> Self {
        let position = Vector3::from(position);
        let ahead = (Vector3::from(at) - position).normalize();
        let right = ahead.cross(&Vector3::z()).normalize();
        let focal = size[0] / 2.0 / (wide.to_radians() / 2.0).tan();
        let middle = [size[0] / 2.0, size[1] / 2.0];
        Self { position, right, down: ahead.cross(&right), ahead, focal, middle }
    }

    /// The same camera turned to the right, down, and about the line of sight (clockwise as it sees it), in radians.
    #[must_use]
    pub fn turned(self, [yaw, pitch, roll]: [f64; 3]) -> Self {
        let turn = |a: Vector3<f64>, b: Vector3<f64>, by: f64| {
            let (s, c) = by.sin_cos();
            [a * c + b * s, b * c - a * s]
        };
        let [ahead, right] = turn(self.ahead, self.right, yaw);
        let [ahead, down] = turn(ahead, self.down, pitch);
        let [right, down] = turn(right, down, roll);
        Self { right, down, ahead, ..self }
    }

    /// Where it is, its axes (right, down, forward), and its focal length in pixels.
    pub fn pose(&self) -> ([f64; 3], [[f64; 3]; 3], f64) {
        (self.position.into(), [self.right, self.down, self.ahead].map(Into::into), self.focal)
    }

    /// How far before the camera's plane a place is, metres.
    pub fn depth(&self, at: [f64; 3]) -> f64 {
        (Vector3::from(at) - self.position).dot(&self.ahead)
    }

    /// Where a place is seen, if it is before the camera.
    pub fn see_before(&self, at: [f64; 3]) -> Option<[f64; 2]> {
        let seen = self.see(at);
        (self.depth(at) > 0.05).then_some([seen.x, seen.y])
    }

    /// Where a place in the world (metres) is seen. Places behind the camera are taken to be close before it.
    pub fn see(&self, at: [f64; 3]) -> Seen {
        let d = Vector3::from(at) - self.position;
        let scale = self.focal / d.dot(&self.ahead).max(0.05);
        Seen {
            x: self.middle[0] + scale * d.dot(&self.right),
            y: self.middle[1] + scale * d.dot(&self.down),
            scale,
        }
    }

    /// How far a place is from the camera, metres.
    pub fn distance(&self, at: [f64; 3]) -> f64 {
        (Vector3::from(at) - self.position).norm()
    }

    /// Where the horizon is straight ahead of the near end, pixels from the left and the top edge.
    pub fn horizon(&self) -> [f64; 2] {
        let seen = self.see([self.position[0], 1e7, self.position[2]]);
        [seen.x, seen.y]
    }

    /// How much larger things far away are than in the picture of the demo's still camera at this width.
    pub fn enlarges(&self) -> f64 {
        self.focal / (self.middle[0] / 30.0_f64.to_radians().tan())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tennis::court::LANDMARKS;

    /// Vectors: Hartley & Zisserman alg. 4.2, recomputed with OpenCV; camera C, in the order of `LANDMARKS`.
    const SEEN: [[f64; 2]; 14] = [
        [165.315, 550.513],
        [283.986, 550.513],
        [996.014, 550.513],
        [1114.685, 550.513],
        [388.837, 419.823],
        [640.0, 419.823],
        [891.163, 419.823],
        [491.136, 292.315],
        [640.0, 292.315],
        [788.864, 292.315],
        [471.013, 264.739],
        [513.26, 264.739],
        [766.74, 264.739],
        [808.987, 264.739],
    ];

    #[test]
    fn the_court_is_seen_where_the_vectors_say() {
        let camera = Camera::behind_the_court(1280.0, 720.0);
        for (mark, want) in LANDMARKS.iter().zip(SEEN) {
            let at = camera.see([mark.spot.x.0, mark.spot.y.0, 0.0]);
            assert!((at.x - want[0]).abs() < 0.01 && (at.y - want[1]).abs() < 0.01, "{}: {at:?}", mark.name);
        }
    }

    /// Same source: the homography of camera C.
    #[test]
    fn the_ground_maps_by_the_homography() {
        const H: [[f64; 3]; 3] = [
            [45.429_317_413_723_15, 25.569_909_217_931_826, 640.0],
            [0.0, 4.265_657_840_204_323, 339.765_167_810_235_3],
            [0.0, 0.039_952_983_153_018_48, 1.0],
        ];
        let camera = Camera::behind_the_court(1280.0, 720.0);
        for (x, y) in [(0.0, 0.0), (-3.0, 9.5), (5.0, -11.0), (2.5, 17.0)] {
            let [u, v, w] = H.map(|r| r[0] * x + r[1] * y + r[2]);
            let at = camera.see([x, y, 0.0]);
            assert!((at.x - u / w).abs() < 1e-6 && (at.y - v / w).abs() < 1e-6);
        }
    }

    #[test]
    fn a_larger_picture_shows_the_same() {
        let (a, b) = (Camera::behind_the_court(1280.0, 720.0), Camera::behind_the_court(1920.0, 1080.0));
        let (p, q) = (a.see([2.0, 5.0, 1.0]), b.see([2.0, 5.0, 1.0]));
        assert!((p.x * 1.5 - q.x).abs() < 1e-9 && (p.y * 1.5 - q.y).abs() < 1e-9);
        assert!((100.0..115.0).contains(&a.horizon()[1]));
    }
}
