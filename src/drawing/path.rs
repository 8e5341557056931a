//! Lines in one plane, whether of the ground or of the picture: smoothed, cut to length, in small steps.

/// A place in a plane: metres on the ground, pixels on the picture.
pub(super) type At = [f64; 2];

/// Steps between two places of a smooth line.
const SMOOTH: usize = 10;

pub(super) fn minus(a: At, b: At) -> At {
    [a[0] - b[0], a[1] - b[1]]
}

/// `a` and so much of `by`.
pub(super) fn along(a: At, by: At, times: f64) -> At {
    [a[0] + by[0] * times, a[1] + by[1] * times]
}

pub(super) fn length(a: At) -> f64 {
    a[0].hypot(a[1])
}

/// The direction of `a` with length 1; to the right if it has none.
pub(super) fn unit(a: At) -> At {
    let l = length(a);
    if l > 1e-9 { [a[0] / l, a[1] / l] } else { [1.0, 0.0] }
}

/// How long a line is.
pub(super) fn whole(line: &[At]) -> f64 {
    line.windows(2).map(|w| length(minus(w[1], w[0]))).sum()
}

/// A curve through all of the places: Catmull and Rom's spline, which passes through each of them.
pub(super) fn smooth(line: &[At]) -> Vec<At> {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut curve = vec![line[0]];
    for i in 0..line.len() - 1 {
        let (b, c) = (line[i], line[i + 1]);
        let a = if i > 0 { line[i - 1] } else { b };
        let d = line.get(i + 2).copied().unwrap_or(c);
        // The tangents are never longer than the piece, so that a short piece beside a long one makes no loop.
        let most = length(minus(c, b));
        let tangent = |from: At, to: At| {
            let t = along([0.0, 0.0], minus(to, from), 0.5);
            let l = length(t);
            if l > most { along([0.0, 0.0], t, most / l) } else { t }
        };
        let (from, to) = (tangent(a, c), tangent(b, d));
        for n in 1..SMOOTH {
            let t = n as f64 / SMOOTH as f64;
            let (t2, t3) = (t * t, t * t * t);
            let weights = [2.0 * t3 - 3.0 * t2 + 1.0, t3 - 2.0 * t2 + t, 3.0 * t2 - 2.0 * t3, t3 - t2];
            let axis =
                |k: usize| weights[0] * b[k] + weights[1] * from[k] + weights[2] * c[k] + weights[3] * to[k];
            curve.push([axis(0), axis(1)]);
        }
        curve.push(c);
    }
    curve
}

/// The line without its last `less`; its first place alone if it is not longer.
pub(super) fn shortened(line: &[At], less: f64) -> Vec<At> {
    let mut keep = line.to_vec();
    let mut less = less;
    while let [.., a, b] = keep.as_slice() {
        let (a, piece) = (*a, minus(*b, *a));
        let l = length(piece);
        keep.pop();
        if l > less {
            keep.push(along(a, piece, 1.0 - less / l));
            break;
        }
        less -= l;
    }
    keep
}

/// The line with places between, at most `step` apart but never more than 64 between two.
pub(super) fn stepped(line: &[At], step: f64) -> Vec<At> {
    let mut fine: Vec<At> = line.first().copied().into_iter().collect();
    for w in line.windows(2) {
        let piece = minus(w[1], w[0]);
        let steps = (length(piece) / step).ceil().clamp(1.0, 64.0) as usize;
        fine.extend((1..=steps).map(|n| along(w[0], piece, n as f64 / steps as f64)));
    }
    fine
}

/// A circle, its last place beside its first.
pub(super) fn circle(middle: At, radius: f64) -> Vec<At> {
    let place = |n: usize| {
        let (s, c) = (n as f64 / 96.0 * std::f64::consts::TAU).sin_cos();
        [middle[0] + radius * c, middle[1] + radius * s]
    };
    (0..96).map(place).collect()
}

/// The corners of the smallest area without dents that holds all of the places: Andrew's monotone chain.
pub(super) fn hull(of: &[At]) -> Vec<At> {
    let mut sorted = of.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let half = |order: &mut dyn Iterator<Item = &At>| {
        let mut chain: Vec<At> = Vec::new();
        for p in order {
            while let [.., a, b] = chain.as_slice()
                && cross(minus(*b, *a), minus(*p, *a)) <= 0.0
            {
                chain.pop();
            }
            chain.push(*p);
        }
        chain.pop();
        chain
    };
    let mut corners = half(&mut sorted.iter());
    corners.extend(half(&mut sorted.iter().rev()));
    corners
}

fn cross(a: At, b: At) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Twice the area of a polygon would be the sum of these; the area, without its sign.
pub(super) fn area(corners: &[At]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    (corners.iter().zip(next).map(|(a, b)| cross(*a, *b)).sum::<f64>() / 2.0).abs()
}
