//! Points, rectangles, polylines.

/// A point of the picture, px, y downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
}

impl Point {
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    fn between(self, other: Self, share: f64) -> Self {
        Self::new(self.x + share * (other.x - self.x), self.y + share * (other.y - self.y))
    }

    fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// A rectangle of the picture, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rect {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Rect {
    pub fn width(self) -> f64 {
        self.right - self.left
    }

    pub fn height(self) -> f64 {
        self.bottom - self.top
    }

    /// The same, larger by `by` on every side.
    pub fn grown(self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }

    pub fn corners(self) -> [Point; 4] {
        [
            Point::new(self.left, self.top),
            Point::new(self.right, self.top),
            Point::new(self.right, self.bottom),
            Point::new(self.left, self.bottom),
        ]
    }

    pub fn overlaps(self, other: Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    pub fn holds(self, other: Self) -> bool {
        self.left <= other.left && other.right <= self.right && self.top <= other.top && other.bottom <= self.bottom
    }

    /// The point of the rectangle nearest to another one.
    pub fn nearest(self, to: Point) -> Point {
        Point::new(to.x.clamp(self.left, self.right), to.y.clamp(self.top, self.bottom))
    }

    /// Whether a straight line meets the rectangle (Liang and Barsky: the line's parameter is cut side by side).
    pub fn is_crossed(self, from: Point, to: Point) -> bool {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (p, q) in
            [(-dx, from.x - self.left), (dx, self.right - from.x), (-dy, from.y - self.top), (dy, self.bottom - from.y)]
        {
            if p == 0.0 {
                if q < 0.0 {
                    return false;
                }
            } else if p < 0.0 {
                enter = enter.max(q / p);
            } else {
                leave = leave.min(q / p);
            }
        }
        enter <= leave
    }
}

/// The part of a polyline, whose points go from left to right, between two places of the horizontal axis.
pub(super) fn between(points: &[Point], left: f64, right: f64) -> Vec<Point> {
    let mut part: Vec<Point> = Vec::new();
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if b.x < left || a.x > right {
            continue;
        }
        let at = |x: f64| if b.x > a.x { a.between(b, (x - a.x) / (b.x - a.x)) } else { a };
        let ends = if b.x > a.x { [at(a.x.max(left)), at(b.x.min(right))] } else { [a, b] };
        part.extend(ends.into_iter().filter(|point| part.last() != Some(point)).collect::<Vec<_>>());
    }
    part
}

/// A polyline without the points that lie within `within` px of the line through those that stay (Ramer, Douglas and
/// Peucker).
pub(super) fn thin(points: &[Point], within: f64) -> Vec<Point> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; points.len()];
    keep[0] = true;
    keep[points.len() - 1] = true;
    let mut spans = vec![(0, points.len() - 1)];
    while let Some((from, to)) = spans.pop() {
        let farthest = (from + 1..to)
            .map(|i| (i, from_segment(points[i], points[from], points[to])))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((i, _)) = farthest.filter(|(_, distance)| *distance > within) {
            keep[i] = true;
            spans.extend([(from, i), (i, to)]);
        }
    }
    points.iter().zip(keep).filter_map(|(point, keep)| keep.then_some(*point)).collect()
}

fn from_segment(point: Point, from: Point, to: Point) -> f64 {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let square = dx * dx + dy * dy;
    let share = if square > 0.0 { ((point.x - from.x) * dx + (point.y - from.y) * dy) / square } else { 0.0 };
    point.distance(from.between(to, share.clamp(0.0, 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_corners_and_drops_the_rest() {
        let points: Vec<_> = (0..=100).map(|i| Point::new(f64::from(i), f64::from((i - 50_i32).abs()))).collect();
        assert_eq!(thin(&points, 0.2), [points[0], points[50], points[100]]);
        assert_eq!(thin(&points[..1], 0.2), points[..1]);
        // every dropped point stays within the limit
        let wave: Vec<_> =
            (0..=4000).map(|i| Point::new(0.2 * f64::from(i), 40.0 * (0.01 * f64::from(i)).sin())).collect();
        let kept = thin(&wave, 0.2);
        assert!(kept.len() < 400, "{}", kept.len());
        for point in &wave {
            let near = kept.windows(2).map(|pair| from_segment(*point, pair[0], pair[1])).fold(f64::INFINITY, f64::min);
            assert!(near <= 0.2 + 1e-9);
        }
    }

    #[test]
    fn a_part_of_a_line_is_cut_at_both_ends() {
        let points = [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (20.0, 0.0)].map(|(x, y)| Point::new(x, y));
        let part = between(&points, 5.0, 15.0);
        let expected = [(5.0, 5.0), (10.0, 10.0), (10.0, 0.0), (15.0, 0.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(part, expected);
        assert_eq!(between(&points, 30.0, 40.0), []);
    }

    #[test]
    fn lines_meet_rectangles() {
        let rect = Rect { left: 10.0, top: 10.0, right: 20.0, bottom: 20.0 };
        assert!(rect.is_crossed(Point::new(0.0, 0.0), Point::new(30.0, 30.0)));
        assert!(rect.is_crossed(Point::new(12.0, 12.0), Point::new(13.0, 13.0)));
        assert!(!rect.is_crossed(Point::new(0.0, 0.0), Point::new(30.0, 5.0)));
        assert!(!rect.is_crossed(Point::new(0.0, 25.0), Point::new(9.0, 16.0)));
    }
}
