//! Plane shapes in exact lengths.

pub mod closure;
pub mod contour;
pub mod cradle;
pub mod fit;
pub mod heights;
pub mod hull;
pub mod nesting;
pub mod offset;
pub mod path;
pub mod plane;
pub mod relief;

use crate::length::Length;
use path::Path;

/// A point in plan: x along the feed from the lead end, y from the fence edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Point {
    /// Along the feed.
    pub x: Length,
    /// From the fence edge.
    pub y: Length,
}

impl Point {
    /// The point at `x`, `y`.
    pub const fn new(x: Length, y: Length) -> Point {
        Point { x, y }
    }
}

/// An upright rectangle in plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Rect {
    /// Nearest to the lead end.
    pub x0: Length,
    /// Nearest to the fence edge.
    pub y0: Length,
    /// Farthest from the lead end.
    pub x1: Length,
    /// Farthest from the fence edge.
    pub y1: Length,
}

impl Rect {
    /// The rectangle between two corners, the first nearest to lead end and fence edge.
    pub const fn new(x0: Length, y0: Length, x1: Length, y1: Length) -> Rect {
        Rect { x0, y0, x1, y1 }
    }

    /// The rectangle with its near corner at `x`, `y`.
    pub fn sized(x: Length, y: Length, length: Length, width: Length) -> Rect {
        Rect { x0: x, y0: y, x1: x + length, y1: y + width }
    }

    /// Extent along the feed.
    pub fn length(&self) -> Length {
        self.x1 - self.x0
    }

    /// Extent across the feed.
    pub fn width(&self) -> Length {
        self.y1 - self.y0
    }

    /// Middle of the rectangle, to the tick below.
    pub fn centre(&self) -> Point {
        Point::new((self.x0 + self.x1).half(), (self.y0 + self.y1).half())
    }

    /// The rectangle grown by `by` on every side.
    pub fn grown(&self, by: Length) -> Rect {
        Rect { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    /// The rectangle set off by `x` along the feed and `y` across it.
    #[must_use]
    pub fn moved(&self, x: Length, y: Length) -> Rect {
        Rect::new(self.x0 + x, self.y0 + y, self.x1 + x, self.y1 + y)
    }

    /// Whether the insides of both have a place in common.
    pub fn meets(&self, other: &Rect) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// The four corners, counter-clockwise from lead/fence.
    pub fn corners(&self) -> [Point; 4] {
        [
            Point::new(self.x0, self.y0),
            Point::new(self.x1, self.y0),
            Point::new(self.x1, self.y1),
            Point::new(self.x0, self.y1),
        ]
    }
}

/// The outline of a part, a pocket or a blank in plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outline {
    /// An upright rectangle.
    Rect(Rect),
    /// A disc.
    Disc {
        /// Its centre.
        centre: Point,
        /// Its diameter.
        diameter: Length,
    },
    /// A simple polygon, counter-clockwise.
    Polygon(Vec<Point>),
    /// A closed path of lines and arcs.
    Path(Path),
}

impl Outline {
    /// The smallest upright rectangle round the outline.
    pub fn bounds(&self) -> Rect {
        match self {
            Outline::Rect(rect) => *rect,
            Outline::Disc { centre, diameter } => {
                let half = diameter.half();
                let near = Point::new(centre.x - half, centre.y - half);
                Rect::sized(near.x, near.y, *diameter, *diameter)
            }
            Outline::Polygon(points) => {
                let first = points.first().copied().unwrap_or_default();
                points.iter().fold(Rect::new(first.x, first.y, first.x, first.y), |r, p| {
                    Rect::new(r.x0.min(p.x), r.y0.min(p.y), r.x1.max(p.x), r.y1.max(p.y))
                })
            }
            Outline::Path(path) => path.bounds(),
        }
    }

    /// A point that moves with the outline to the tick: the near corner of its box, or the first vertex
    /// of a path, as the box of an arc is rounded anew wherever it lies.
    pub fn anchor(&self) -> Point {
        match self {
            Outline::Path(path) => path.vertices().first().map(|vertex| vertex.point).unwrap_or_default(),
            other => Point::new(other.bounds().x0, other.bounds().y0),
        }
    }

    /// The outline turned half round about the origin, to the tick.
    #[must_use]
    pub fn half_turned(&self) -> Outline {
        let turn = |p: &Point| Point::new(-p.x, -p.y);
        match self {
            Outline::Rect(r) => Outline::Rect(Rect::new(-r.x1, -r.y1, -r.x0, -r.y0)),
            Outline::Disc { centre, diameter } => Outline::Disc { centre: turn(centre), diameter: *diameter },
            Outline::Polygon(points) => Outline::Polygon(points.iter().map(turn).collect()),
            Outline::Path(path) => Outline::Path(path.turned(180.0)),
        }
    }

    /// The outline set off by `x` along the feed and `y` across it.
    #[must_use]
    pub fn moved(&self, x: Length, y: Length) -> Outline {
        let to = |point: &Point| Point::new(point.x + x, point.y + y);
        match self {
            Outline::Rect(rect) => Outline::Rect(rect.moved(x, y)),
            Outline::Disc { centre, diameter } => Outline::Disc { centre: to(centre), diameter: *diameter },
            Outline::Polygon(points) => Outline::Polygon(points.iter().map(to).collect()),
            Outline::Path(path) => Outline::Path(path.moved(x, y)),
        }
    }

    /// Area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        match self {
            Outline::Rect(rect) => rect.length().to_mm() * rect.width().to_mm(),
            Outline::Disc { diameter, .. } => std::f64::consts::FRAC_PI_4 * diameter.to_mm() * diameter.to_mm(),
            Outline::Polygon(points) => {
                let doubled: f64 = points
                    .iter()
                    .zip(points.iter().cycle().skip(1))
                    .map(|(a, b)| a.x.to_mm() * b.y.to_mm() - b.x.to_mm() * a.y.to_mm())
                    .sum();
                doubled.abs() / 2.0
            }
            Outline::Path(path) => path.area_mm2(),
        }
    }
}

/// How an outline lies off another of the same shape: turned half round about the origin, or not, then
/// moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Lay {
    /// Whether it is turned half round.
    pub turned: bool,
    /// How far it is moved after that.
    pub by: Point,
}

impl Lay {
    /// How `there` lies off `first`, which has its shape.
    pub fn between(first: &Outline, there: &Outline, turned: bool) -> Lay {
        let (from, to) = (first.anchor(), there.anchor());
        if !turned {
            return Lay { turned, by: Point::new(to.x - from.x, to.y - from.y) };
        }
        // Of what has no vertices the corner turned is the far one of the box.
        let to = match there {
            Outline::Path(_) => to,
            other => Point::new(other.bounds().x1, other.bounds().y1),
        };
        Lay { turned, by: Point::new(to.x + from.x, to.y + from.y) }
    }

    /// An outline laid so.
    pub fn outline(&self, outline: &Outline) -> Outline {
        if self.turned {
            outline.half_turned().moved(self.by.x, self.by.y)
        } else {
            outline.moved(self.by.x, self.by.y)
        }
    }

    /// A rectangle laid so.
    pub fn rect(&self, rect: Rect) -> Rect {
        self.outline(&Outline::Rect(rect)).bounds()
    }
}
