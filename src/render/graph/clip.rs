//! What of a line or an area lies within a panel.

/// A place in the picture: from the left, from the top.
pub(super) type At = (f64, f64);

/// The parts of a line that lie between two heights.
pub(super) fn line(points: &[At], top: f64, bottom: f64) -> Vec<Vec<At>> {
    let mut parts: Vec<Vec<At>> = Vec::new();
    let ends = points.iter().zip(points.iter().skip(1));
    for (from, to) in ends.filter_map(|(&from, &to)| segment(from, to, top, bottom)) {
        match parts.last_mut() {
            Some(part) if part.last() == Some(&from) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts
}

/// The part of a straight line that lies between two heights.
fn segment(from: At, to: At, top: f64, bottom: f64) -> Option<(At, At)> {
    let (low, high) = (from.1.min(to.1), from.1.max(to.1));
    if high < top || low > bottom || !(low.is_finite() && high.is_finite()) {
        return None;
    }
    let within = |end: At| {
        let height = end.1.clamp(top, bottom);
        if height == end.1 { end } else { (crossing(from, to, height), height) }
    };
    Some((within(from), within(to)))
}

/// The part of an area that lies between two heights: cut off at the one, then at the other
/// (I. E. Sutherland, G. W. Hodgman, Commun. ACM 17 (1974) 32–42, from memory).
pub(super) fn area(corners: &[At], top: f64, bottom: f64) -> Vec<At> {
    let above = cut(corners, bottom, |height| height <= bottom);
    cut(&above, top, |height| height >= top)
}

fn cut(corners: &[At], edge: f64, keeps: impl Fn(f64) -> bool) -> Vec<At> {
    let mut kept = Vec::with_capacity(corners.len() + 2);
    let befores = corners.last().into_iter().chain(corners);
    for (&before, &corner) in befores.zip(corners) {
        if keeps(before.1) != keeps(corner.1) {
            kept.push((crossing(before, corner, edge), edge));
        }
        if keeps(corner.1) {
            kept.push(corner);
        }
    }
    kept
}

/// Where the line between two points is at that height, which lies between them.
fn crossing(from: At, to: At, height: f64) -> f64 {
    let share = (height - from.1) / (to.1 - from.1);
    if share.is_finite() { from.0 + share * (to.0 - from.0) } else { from.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_where_it_leaves() {
        let zigzag = [(0.0, 5.0), (10.0, 25.0), (20.0, 5.0), (30.0, -15.0)];
        let parts = line(&zigzag, 0.0, 20.0);
        assert_eq!(parts, [vec![(0.0, 5.0), (7.5, 20.0)], vec![(12.5, 20.0), (20.0, 5.0), (22.5, 0.0)]]);
        assert!(line(&[(0.0, -5.0), (9.0, -1.0)], 0.0, 20.0).is_empty());
        assert!(line(&[(0.0, f64::NEG_INFINITY), (9.0, 1.0)], 0.0, 20.0).is_empty());
    }

    #[test]
    fn an_area_is_cut_on_both_sides() {
        let square = [(0.0, -10.0), (10.0, -10.0), (10.0, 30.0), (0.0, 30.0)];
        let mut cut = area(&square, 0.0, 20.0);
        cut.sort_by(|a, b| a.partial_cmp(b).unwrap());
        assert_eq!(cut, [(0.0, 0.0), (0.0, 20.0), (10.0, 0.0), (10.0, 20.0)]);
    }
}
