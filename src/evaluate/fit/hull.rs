//! Where a line of positive slope fits between corners that it must not pass above and corners that it
//! must not pass below.
//!
//! At slope b the room left is g(b) = min over the upper corners of (y − bx) − max over the lower ones. It is concave and
//! piecewise linear, so the slopes with g ≥ 0 are one interval; its corners are slopes of edges of two
//! convex hulls. One walk along both hulls, from upright to level, meets all of them in order: O(n log n).

/// A corner of an error bar, or the origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where it is.
    pub x: f64,
    /// Where it is.
    pub y: f64,
    /// Of which point; `None` of the origin.
    pub row: Option<usize>,
    /// 1, or −1 where it is the corner's image through the origin.
    pub(super) sign: f64,
}

/// A line held by two corners.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    pub(super) slope: f64,
    pub(super) by: [Corner; 2],
}

/// What the walk finds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    /// The lines of the greatest and of the least slope that fit; `None` where none does.
    pub(super) fitting: Option<(Held, Held)>,
    /// The line with the most room, and how much that is: negative, where none fits.
    pub(super) roomiest: (f64, Held),
}

/// Walks the slopes from ∞ to 0. `None` where there is no end to the slopes that fit, or where there are no corners.
pub(super) fn walk(upper: Vec<Corner>, lower: Vec<Corner>) -> Option<Range> {
    let mut above = Chain { corners: lower_hull(upper), next: 0 };
    above.corners.reverse();
    let mut below = Chain { corners: upper_hull(lower), next: 0 };
    if above.here()?.x <= below.here()?.x {
        return None;
    }
    let (mut fitting, mut roomiest, mut last) = (None, None, f64::INFINITY);
    loop {
        let pair = [above.here()?, below.here()?];
        let (of_above, of_below) = (above.leaving(), below.leaving());
        let slope = of_above.max(of_below).max(0.0).min(last);
        let gap = room(pair, slope);
        match fitting {
            None if gap >= 0.0 => {
                let held = Held { slope: touching(pair, slope, last), by: pair };
                fitting = Some((held, Held { slope, by: pair }));
            }
            Some((greatest, _)) if gap >= 0.0 => fitting = Some((greatest, Held { slope, by: pair })),
            Some((greatest, _)) => {
                let held = Held { slope: touching(pair, slope, last), by: pair };
                return Some(Range { fitting: Some((greatest, held)), roomiest: roomiest? });
            }
            None => {}
        }
        let edge = if of_above >= of_below { above.edge() } else { below.edge() };
        if roomiest.is_none_or(|(most, _)| gap > most) {
            roomiest = Some((gap, Held { slope, by: edge.filter(|_| slope > 0.0).unwrap_or(pair) }));
        }
        if slope <= 0.0 {
            return Some(Range { fitting, roomiest: roomiest? });
        }
        if of_above >= of_below {
            above.next += 1
        } else {
            below.next += 1
        }
        last = slope;
    }
}

/// What is left between two corners for a line of the slope.
fn room([above, below]: [Corner; 2], slope: f64) -> f64 {
    (above.y - below.y) - slope * (above.x - below.x)
}

/// The slope at which two corners leave no room, known to lie between two others.
fn touching(pair: [Corner; 2], least: f64, most: f64) -> f64 {
    let slope = ratio(pair);
    if slope.is_finite() { slope.max(least).min(most) } else { least }
}

/// The slope of the line through two corners.
fn ratio([one, other]: [Corner; 2]) -> f64 {
    (one.y - other.y) / (one.x - other.x)
}

/// A hull on the walk.
struct Chain {
    /// In the order in which the walk meets them.
    corners: Vec<Corner>,
    next: usize,
}

impl Chain {
    /// The corner that counts now.
    fn here(&self) -> Option<Corner> {
        self.corners.get(self.next).copied()
    }

    fn edge(&self) -> Option<[Corner; 2]> {
        Some([self.here()?, *self.corners.get(self.next + 1)?])
    }

    /// The slope at which the next corner takes over; −∞ at the end.
    fn leaving(&self) -> f64 {
        self.edge().map_or(f64::NEG_INFINITY, ratio)
    }
}

/// The hull from below, left to right.
fn lower_hull(mut corners: Vec<Corner>) -> Vec<Corner> {
    corners.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let mut hull: Vec<Corner> = Vec::new();
    for corner in corners {
        // Of corners one above the other only the lowest, which comes first, counts.
        if hull.last().is_some_and(|last| last.x == corner.x) {
            continue;
        }
        while let [.., before, last] = hull[..]
            && !turns_left(before, last, corner)
        {
            hull.pop();
        }
        hull.push(corner);
    }
    hull
}

/// The hull from above, left to right: that from below, of the corners upside down.
fn upper_hull(corners: Vec<Corner>) -> Vec<Corner> {
    let turned = |corner: Corner| Corner { y: -corner.y, ..corner };
    lower_hull(corners.into_iter().map(turned).collect()).into_iter().map(turned).collect()
}

fn turns_left(a: Corner, b: Corner, c: Corner) -> bool {
    (b.x - a.x) * (c.y - a.y) > (b.y - a.y) * (c.x - a.x)
}
