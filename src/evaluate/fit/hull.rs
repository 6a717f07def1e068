//! Where a line of positive slope fits between corners that it must not pass above and corners that it
//! must not pass below.
//!
//! At slope b the room left is g(b) = min over the upper corners of (y − bx) − max over the lower ones. It is
//! concave and piecewise linear, so the slopes with g ≥ 0 are one interval; its corners are slopes of edges
//! of two convex hulls. One walk along both hulls, from upright to level, meets all of them in order: O(n log
//! n).

use std::cmp::Ordering;

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
    /// How much room the line with the most has, negative where none fits, and the corners that leave it no more:
    /// first the one that is alone on its side.
    pub(super) roomiest: (f64, [Corner; 3]),
}

/// How much room may be missing by rounding: of that size, and more so the steeper the line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slack {
    pub(super) level: f64,
    pub(super) by_slope: f64,
}

/// Two corners that count together from one slope down to another.
struct Stretch {
    pair: [Corner; 2],
    from: f64,
    to: f64,
    slack: Slack,
}

/// Walks the slopes from ∞ to 0. `None` where there is no end to the slopes that fit, or where there are no
/// corners.
pub(super) fn walk(upper: Vec<Corner>, lower: Vec<Corner>, slack: Slack) -> Option<Range> {
    let (mut above, mut below) = (Chain::new(lower_hull(upper), true), Chain::new(upper_hull(lower), false));
    if above.here()?.x <= below.here()?.x {
        return None;
    }
    let (mut fitting, mut roomiest, mut from) = (None, None, f64::INFINITY);
    loop {
        let (of_above, of_below) = (above.leaving(), below.leaving());
        let to = of_above.max(of_below).max(0.0).min(from);
        let stretch = Stretch { pair: [above.here()?, below.here()?], from, to, slack };
        match (fitting, stretch.fits_at(to)) {
            (None, true) => fitting = Some((stretch.beginning(), stretch.end())),
            (Some((greatest, _)), true) => fitting = Some((greatest, stretch.end())),
            (Some((greatest, _)), false) => {
                return Some(Range { fitting: Some((greatest, stretch.ending())), roomiest: roomiest? });
            }
            (None, false) => {}
        }
        let [up, down] = stretch.pair;
        let (next, edge, alone) =
            if of_above >= of_below { (&mut above, of_above, down) } else { (&mut below, of_below, up) };
        let [one, other] = if edge >= to { next.edge().unwrap_or(stretch.pair) } else { stretch.pair };
        let room = stretch.room(to);
        if roomiest.is_none_or(|(most, _)| room > most) {
            roomiest = Some((room, [alone, one, other]));
        }
        if to <= 0.0 {
            return Some(Range { fitting, roomiest: roomiest? });
        }
        next.next += 1;
        from = to;
    }
}

impl Stretch {
    /// What is left between the two corners for a line of the slope.
    fn room(&self, slope: f64) -> f64 {
        let [above, below] = self.pair;
        (above.y - below.y) - slope * (above.x - below.x)
    }

    fn fits_at(&self, slope: f64) -> bool {
        slope < f64::INFINITY && self.room(slope) >= -(self.slack.level + self.slack.by_slope * slope)
    }

    /// The line at the end of the stretch.
    const fn end(&self) -> Held {
        Held { slope: self.to, by: self.pair }
    }

    /// The first line that fits, where the end does: the beginning, or where the corners leave just no room.
    fn beginning(&self) -> Held {
        Held { slope: if self.fits_at(self.from) { self.from } else { self.touching() }, by: self.pair }
    }

    /// The last line that fits, where the end does not.
    fn ending(&self) -> Held {
        Held { slope: if self.fits_at(self.from) { self.touching() } else { self.from }, by: self.pair }
    }

    /// The slope of the line through both corners, which lies within the stretch but for rounding.
    fn touching(&self) -> f64 {
        let slope = ratio(self.pair);
        if slope.is_finite() { slope.max(self.to).min(self.from) } else { self.to }
    }
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
    /// A hull that the walk meets from the left, or backwards.
    fn new(mut corners: Vec<Corner>, backwards: bool) -> Self {
        if backwards {
            corners.reverse();
        }
        Self { corners, next: 0 }
    }

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
    // Finite coordinates compare; −0 and 0 as equals, which `total_cmp` does not.
    let order = |a: f64, b: f64| a.partial_cmp(&b).unwrap_or(Ordering::Equal);
    corners.sort_unstable_by(|a, b| order(a.x, b.x).then_with(|| order(a.y, b.y)));
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
