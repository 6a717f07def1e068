//! Which of very many points are drawn: of those on one spot one, and all that stand out.

/// So many points are drawn whatever lies where.
pub(super) const MOST: usize = 1000;

/// How wide a strip is in which the outermost points are kept.
const STRIP: f64 = 2.0;
/// How high a cell of it is in which one point is kept.
const CELL: f64 = 12.0;
/// What a point can be the outermost in: height of the point, ends of its bars.
const ENDS: usize = 6;

/// A point in the picture, with the ends of its bars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    /// The smaller of the two: heights count downwards.
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Spot {
    /// How far out it is, each way.
    fn ends(&self) -> [f64; ENDS] {
        [self.y, -self.y, self.bottom, -self.top, self.right, -self.left]
    }
}

/// What is drawn: the numbers of points, ascending.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Drawn {
    pub(super) points: Vec<usize>,
    /// Those of them that have their bars drawn.
    pub(super) bars: Vec<usize>,
}

/// All of few points. Of many, those that are the outermost of their strip in height or by a bar, with their bars,
/// and one of each cell, whose bars lie behind those.
pub(super) fn drawn(spots: &[Spot]) -> Drawn {
    if spots.len() <= MOST {
        let all: Vec<usize> = (0..spots.len()).collect();
        return Drawn { points: all.clone(), bars: all };
    }
    let edge = |of: fn(&Spot) -> f64| spots.iter().map(of).fold(f64::INFINITY, f64::min);
    let (left, top) = (edge(|spot| spot.x), edge(|spot| spot.y));
    let strip = |spot: &Spot| index((spot.x - left) / STRIP);
    let strips = spots.iter().map(strip).max().map_or(0, |last| last + 1);
    let mut outermost: Vec<[Option<(f64, usize)>; ENDS]> = vec![[None; ENDS]; strips];
    let mut taken: Vec<Vec<bool>> = vec![Vec::new(); strips];
    let mut keep = vec![false; spots.len()];
    for (n, spot) in spots.iter().enumerate() {
        let strip = strip(spot);
        if let Some(best) = outermost.get_mut(strip) {
            for (best, end) in best.iter_mut().zip(spot.ends()) {
                if best.is_none_or(|(most, _)| end > most) {
                    *best = Some((end, n));
                }
            }
        }
        if let Some(cells) = taken.get_mut(strip) {
            let cell = index((spot.y - top) / CELL);
            cells.resize(cells.len().max(cell + 1), false);
            keep[n] = !std::mem::replace(&mut cells[cell], true);
        }
    }
    let mut bars: Vec<usize> = outermost.into_iter().flatten().flatten().map(|(_, n)| n).collect();
    bars.sort_unstable();
    bars.dedup();
    bars.iter().for_each(|&n| keep[n] = true);
    Drawn { points: (0..spots.len()).filter(|&n| keep[n]).collect(), bars }
}

/// Which strip or cell; a picture has no more than some hundreds.
fn index(share: f64) -> usize {
    const MOST: f64 = 10_000.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 10 000")]
    let index = share.clamp(0.0, MOST) as usize;
    index
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn cloud(count: usize) -> impl Strategy<Value = Vec<Spot>> {
        let spot = (40.0..460.0, 30.0..280.0, 0.0..40.0, 0.0..40.0);
        let spot = spot.prop_map(|(x, y, ux, uy): (f64, f64, f64, f64)| Spot {
            x,
            y,
            left: x - ux,
            right: x + ux,
            top: y - uy,
            bottom: y + uy,
        });
        proptest::collection::vec(spot, count)
    }

    #[test]
    fn few_points_are_all_drawn() {
        let spot = Spot { x: 1.0, y: 1.0, left: 1.0, right: 1.0, top: 1.0, bottom: 1.0 };
        assert_eq!(drawn(&vec![spot; MOST]).points.len(), MOST);
        assert_eq!(drawn(&vec![spot; MOST + 1]).points, [0]);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

        #[test]
        fn what_stands_out_is_kept(spots in cloud(3000)) {
            let drawn = drawn(&spots);
            let left = spots.iter().map(|spot| spot.x).fold(f64::INFINITY, f64::min);
            let ends: [fn(&Spot) -> f64; ENDS] =
                [|s| s.y, |s| -s.y, |s| s.bottom, |s| -s.top, |s| s.right, |s| -s.left];
            for end in ends {
                let most = |spots: &mut dyn Iterator<Item = &Spot>| {
                    let mut most = std::collections::BTreeMap::<usize, f64>::new();
                    for spot in spots {
                        let best = most.entry(index((spot.x - left) / STRIP)).or_insert(f64::NEG_INFINITY);
                        *best = best.max(end(spot));
                    }
                    most
                };
                prop_assert_eq!(most(&mut drawn.bars.iter().map(|&n| &spots[n])), most(&mut spots.iter()));
            }
            prop_assert!(drawn.bars.iter().all(|n| drawn.points.contains(n)));
        }

        #[test]
        fn no_point_is_far_from_one_that_is_drawn(spots in cloud(2000)) {
            let drawn = drawn(&spots);
            for spot in &spots {
                let near = drawn.points.iter().map(|&n| &spots[n]);
                prop_assert!(near.clone().any(|d| (d.x - spot.x).abs() <= STRIP && (d.y - spot.y).abs() <= CELL));
            }
        }
    }

    #[test]
    fn what_is_drawn_has_a_bound() {
        // A plane filled evenly, by a sequence that repeats nothing.
        let share = |n: usize, by: f64| (crate::evaluate::statistics::count(n) * by).fract();
        let spots: Vec<Spot> = (0..200_000)
            .map(|n| {
                let (x, y) = (40.0 + 420.0 * share(n, 0.618_033_988_749), 30.0 + 256.0 * share(n, 0.414_213_562_373));
                Spot { x, y, left: x - 3.0, right: x + 3.0, top: y - 9.0, bottom: y + 9.0 }
            })
            .collect();
        let drawn = drawn(&spots);
        assert!(drawn.points.len() < 6500 && drawn.bars.len() <= 211 * ENDS, "{}", drawn.points.len());
    }
}
