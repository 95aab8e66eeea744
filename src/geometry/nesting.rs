//! Free nesting: outlines of any shape set close together on whole marks of a ruler.
//!
//! For every two outlines, each at a turn, the collision library is asked how far apart they are wherever
//! one may stand beside the other. The marks at which they are too near are kept as runs in rows (the
//! no-fit raster; dotted board of Toledo, Carravilla, Ribeiro, Oliveira and Gomes, 2013, from memory).
//! Outlines are then laid one after the other on the mark where they take least, in several orders, and
//! the best of them is improved by small changes and by laying it again from the far end (jostling,
//! Dowsland, Dowsland and Bennell, 1998, from memory). Work is counted in outlines laid, never in time, and
//! nothing is drawn by lot: the same task has the same answer everywhere.
//!
//! What comes out is a proposal: whoever uses it proves every distance by its own means.

use parry2d_f64::math::{Pose, Vector};
use parry2d_f64::query;
use parry2d_f64::shape::Polyline;

use super::path::{Mm, distance_to_line, in_ring};

/// Outlines are looked at on no more marks than this in a row or in a column.
const MOST_MARKS: i32 = 4096;
/// Points along either side of a box that are tried as the deepest of an outline.
const DEEP: u32 = 24;

/// A closed ring of chords that others are kept away from.
pub struct Body {
    ring: Vec<Mm>,
    line: Polyline,
    /// Least and greatest x and y.
    bounds: [f64; 4],
    /// A place well inside, and its distance from the ring.
    deep: (Mm, f64),
}

impl Body {
    /// The body of a ring; `None` of fewer than three points.
    pub fn of(ring: Vec<Mm>) -> Option<Body> {
        if ring.len() < 3 {
            return None;
        }
        let points: Vec<Vector> = ring.iter().map(|p| Vector::new(p.0, p.1)).collect();
        let count = u32::try_from(points.len()).ok()?;
        let edges: Vec<[u32; 2]> = (0..count).map(|place| [place, (place + 1) % count]).collect();
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let bounds =
            ring.iter().fold(start, |[x0, y0, x1, y1], p| [x0.min(p.0), y0.min(p.1), x1.max(p.0), y1.max(p.1)]);
        let deep = deepest(&ring, bounds);
        Some(Body { line: Polyline::new(points, Some(edges)), ring, bounds, deep })
    }

    /// How far a place lies inside; negative outside.
    fn depth(&self, p: Mm) -> f64 {
        depth(&self.ring, p)
    }

    /// Distance from another, moved; where they overlap, less than nothing: no smaller move parts them.
    fn apart(&self, other: &Body, by: Mm) -> f64 {
        let (p, radius) = self.deep;
        let theirs = other.depth((p.0 - by.0, p.1 - by.1)) + radius;
        let (q, radius) = other.deep;
        let deep = theirs.max(self.depth((q.0 + by.0, q.1 + by.1)) + radius);
        if deep > 0.0 {
            return -deep;
        }
        let within = |ring: &[Mm], p: Option<&Mm>, by: Mm| p.is_some_and(|p| in_ring(ring, (p.0 + by.0, p.1 + by.1)));
        if within(&self.ring, other.ring.first(), by) || within(&other.ring, self.ring.first(), (-by.0, -by.1)) {
            return 0.0;
        }
        // What the library cannot answer counts as too near.
        let there = Pose::translation(by.0, by.1);
        query::distance(&Pose::identity(), &self.line, &there, &other.line).map_or(0.0, |found| found.distance)
    }

    /// Distance of the boxes: no more than that of the bodies.
    fn boxes_apart(&self, other: &Body, by: Mm) -> f64 {
        let ([x0, y0, x1, y1], [u0, v0, u1, v1]) = (self.bounds, other.bounds);
        let x = (u0 + by.0 - x1).max(x0 - u1 - by.0).max(0.0);
        let y = (v0 + by.1 - y1).max(y0 - v1 - by.1).max(0.0);
        libm::hypot(x, y)
    }
}

/// How far a place lies inside a ring; negative outside.
fn depth(ring: &[Mm], p: Mm) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let off = sides.map(|(a, b)| distance_to_line(p, *a, *b)).fold(f64::INFINITY, f64::min);
    if in_ring(ring, p) { off } else { -off }
}

/// Of a lattice of places in the box of a ring the one deepest inside, and how deep.
fn deepest(ring: &[Mm], [x0, y0, x1, y1]: [f64; 4]) -> (Mm, f64) {
    let mut best = ((x0, y0), f64::NEG_INFINITY);
    for row in 0..DEEP {
        for column in 0..DEEP {
            let share = |at: u32| (f64::from(at) + 0.5) / f64::from(DEEP);
            let p = (x0 + (x1 - x0) * share(column), y0 + (y1 - y0) * share(row));
            let deep = depth(ring, p);
            if deep > best.1 {
                best = (p, deep);
            }
        }
    }
    best
}

/// An outline at one turn: what is kept a web apart, and what is cut beyond it and kept apart by less. The
/// near corner of its box lies at zero.
pub struct Figure {
    body: Body,
    cuts: Vec<Body>,
    /// Of its box, mm.
    size: Mm,
    area: f64,
}

impl Figure {
    /// The figure of a ring and of what is cut beyond it, moved so that the ring's box begins at zero.
    pub fn of(ring: &[Mm], cuts: &[Vec<Mm>]) -> Option<Figure> {
        let least = ring.iter().fold((f64::INFINITY, f64::INFINITY), |least, p| (least.0.min(p.0), least.1.min(p.1)));
        let moved = |ring: &[Mm]| Body::of(ring.iter().map(|p| (p.0 - least.0, p.1 - least.1)).collect());
        let body = moved(ring)?;
        let area = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>();
        let [_, _, x1, y1] = body.bounds;
        let cuts = cuts.iter().filter_map(|cut| moved(cut)).collect();
        Some(Figure { body, cuts, size: (x1, y1), area: area.abs() / 2.0 })
    }

    /// Area of the outline, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.area
    }

    /// Least and greatest x and y of all of it.
    fn reach(&self) -> [f64; 4] {
        let start = self.body.bounds;
        self.cuts.iter().fold(start, |all, cut| {
            let [x0, y0, x1, y1] = cut.bounds;
            [all[0].min(x0), all[1].min(y0), all[2].max(x1), all[3].max(y1)]
        })
    }
}

/// What is kept between two figures, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// Between two outlines.
    pub web: f64,
    /// Between what is cut beyond one and all of another.
    pub left: f64,
}

/// How much more than is wanted lies between two figures, the second moved; negative where they are too
/// near.
fn spare(a: &Figure, b: &Figure, by: Mm, kept: Kept) -> f64 {
    let mut least = a.body.apart(&b.body, by) - kept.web;
    let mut look = |one: &Body, other: &Body| {
        if one.boxes_apart(other, by) - kept.left < least {
            least = least.min(one.apart(other, by) - kept.left);
        }
    };
    a.cuts.iter().for_each(|cut| look(cut, &b.body));
    b.cuts.iter().for_each(|cut| look(&a.body, cut));
    a.cuts.iter().for_each(|mine| b.cuts.iter().for_each(|theirs| look(mine, theirs)));
    least
}

/// Where the second of two figures may not stand, in marks off the first: runs of x for each y.
struct NoFit {
    from: i32,
    rows: Vec<Vec<(i32, i32)>>,
}

impl NoFit {
    fn of(a: &Figure, b: &Figure, kept: Kept, mark: f64) -> NoFit {
        let most = kept.web.max(kept.left);
        let ([a0, b0, a1, b1], [u0, v0, u1, v1]) = (a.reach(), b.reach());
        let marks = |mm: f64| (mm / mark).clamp(-f64::from(MOST_MARKS), f64::from(MOST_MARKS));
        let low = |mm: f64| libm::floor(marks(mm)) as i32;
        let high = |mm: f64| libm::ceil(marks(mm)) as i32;
        let (x0, x1) = (low(a0 - u1 - most), high(a1 - u0 + most));
        let (y0, y1) = (low(b0 - v1 - most), high(b1 - v0 + most));
        let wide = (x1 - x0 + 1).max(0) as usize;
        let mut near = vec![false; wide * (y1 - y0 + 1).max(0) as usize];
        let mut cells = vec![(x0, x1, y0, y1)];
        while let Some((left, right, bottom, top)) = cells.pop() {
            let at = |one: i32, other: i32| (f64::from(one) + f64::from(other)) / 2.0 * mark;
            let half = |one: i32, other: i32| f64::from(other - one) / 2.0 * mark;
            // No mark of the cell is farther from its middle; a figure moved so far comes no nearer than that.
            let round = libm::hypot(half(left, right), half(bottom, top));
            let spare = spare(a, b, (at(left, right), at(bottom, top)), kept);
            if spare >= round {
                continue;
            }
            if spare < -round {
                for y in bottom..=top {
                    let start = (y - y0) as usize * wide;
                    if let Some(row) = near.get_mut(start + (left - x0) as usize..=start + (right - x0) as usize) {
                        row.fill(true);
                    }
                }
                continue;
            }
            let (x, y) = ((left + right).div_euclid(2), (bottom + top).div_euclid(2));
            let halves = if right - left >= top - bottom {
                [(left, x, bottom, top), (x + 1, right, bottom, top)]
            } else {
                [(left, right, bottom, y), (left, right, y + 1, top)]
            };
            cells.extend(halves.into_iter().filter(|(l, r, b, t)| l <= r && b <= t));
        }
        let rows = near.chunks(wide.max(1)).map(|row| runs(row, x0)).collect();
        NoFit { from: y0, rows }
    }
}

/// The runs of a row that are set, its first place being `from`.
fn runs(row: &[bool], from: i32) -> Vec<(i32, i32)> {
    let mut found: Vec<(i32, i32)> = Vec::new();
    for (x, _) in (from..).zip(row).filter(|(_, near)| **near) {
        match found.last_mut() {
            Some((_, last)) if *last + 1 == x => *last = x,
            _ => found.push((x, x)),
        }
    }
    found
}

/// Where a figure was laid: the near corner of its box, in marks from the near corner of the field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Laid {
    /// The outline.
    pub outline: usize,
    /// Which of its figures.
    pub figure: usize,
    /// Along the field.
    pub x: i32,
    /// Across it.
    pub y: i32,
}

/// A room that figures are laid in, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Along, from x = 0; what is taken of it is to be as short as can be.
    pub long: f64,
    /// Across.
    pub wide: f64,
}

/// What decides between places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    /// Where the figure ends.
    End,
    /// Where it begins.
    Start,
    /// Where its middle lies.
    Middle,
}

const RULES: [Rule; 3] = [Rule::End, Rule::Start, Rule::Middle];

/// One outline to be laid, at any of its turns or at the one named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Turn {
    outline: usize,
    only: Option<usize>,
}

/// A finished try: where all lie, how far along they reach, and the sum of their ends, which tells apart
/// tries that reach equally far.
#[derive(Debug, Clone)]
struct Try {
    laid: Vec<Laid>,
    score: (i64, i64),
}

/// Outlines to be nested: each with its figures, one for every turn it may lie at.
pub struct Nester {
    figures: Vec<Figure>,
    turns: Vec<Vec<usize>>,
    near: Vec<NoFit>,
    mark: f64,
}

impl Nester {
    /// The outlines, each as its figures, kept apart on marks so far from each other, mm.
    pub fn of(outlines: Vec<Vec<Figure>>, kept: Kept, mark: f64) -> Nester {
        let mut figures = Vec::new();
        let mut turns = Vec::new();
        for outline in outlines {
            turns.push((figures.len()..figures.len() + outline.len()).collect());
            figures.extend(outline);
        }
        let pairs = figures.iter().enumerate().flat_map(|(place, a)| figures.iter().skip(place).map(move |b| (a, b)));
        let near = pairs.map(|(a, b)| NoFit::of(a, b, kept, mark)).collect();
        Nester { figures, turns, near, mark }
    }

    /// Area of one of each outline, mm2.
    pub fn area_mm2(&self, outline: usize) -> f64 {
        let figure = self.turns.get(outline).and_then(|turns| self.figures.get(*turns.first()?));
        figure.map_or(0.0, Figure::area_mm2)
    }

    /// Where one figure may not stand beside another, and whether the table is of the two the other way
    /// about.
    fn near(&self, one: usize, other: usize) -> Option<(&NoFit, bool)> {
        let (a, b) = (one.min(other), one.max(other));
        let before = a * self.figures.len() - a * a.saturating_sub(1) / 2;
        Some((self.near.get(before + b - a)?, one > other))
    }

    /// Lays so many of every outline in a field, as short as a search of `work` outlines laid finds.
    /// `None` where it finds no room for all of them.
    pub fn nest(&self, counts: &[usize], field: Field, work: usize) -> Option<Vec<Laid>> {
        let mut spent = 0;
        let mut best: Option<(Try, Rule, Vec<Turn>)> = None;
        for order in self.orders(counts) {
            for rule in RULES {
                if spent > work && best.is_some() {
                    break;
                }
                spent += order.len();
                let Some(found) = self.lay(&order, field, rule, false) else { continue };
                if best.as_ref().is_none_or(|(least, ..)| found.score < least.score) {
                    best = Some((found, rule, order.clone()));
                }
            }
        }
        let (mut found, rule, order) = best?;
        self.improved(&mut found, field, (rule, order), work, &mut spent);
        self.jostled(&mut found, field, work + work / 2, &mut spent);
        Some(found.laid)
    }

    /// Orders to begin with: the largest first, the longest, the widest, and all outlines in turn.
    fn orders(&self, counts: &[usize]) -> Vec<Vec<Turn>> {
        let all: Vec<usize> =
            counts.iter().enumerate().flat_map(|(outline, count)| std::iter::repeat_n(outline, *count)).collect();
        let figure = |outline: &usize| self.turns.get(*outline).and_then(|turns| self.figures.get(*turns.first()?));
        let by = |size: fn(&Figure) -> f64| {
            let mut order = all.clone();
            let size = |outline: &usize| figure(outline).map_or(0.0, size);
            order.sort_by(|a, b| size(b).total_cmp(&size(a)).then(a.cmp(b)));
            order
        };
        let mut evenly: Vec<(usize, usize)> = Vec::new();
        for (outline, count) in counts.iter().enumerate() {
            // Each outline spread evenly over the whole order.
            evenly.extend((0..*count).map(|place| ((2 * place + 1) * 100_000 / (2 * count), outline)));
        }
        evenly.sort_unstable();
        let orders = [
            by(|figure| figure.area),
            by(|figure| figure.size.0),
            by(|figure| figure.size.1),
            evenly.into_iter().map(|(_, outline)| outline).collect(),
        ];
        let mut kept: Vec<Vec<Turn>> = Vec::new();
        for order in orders {
            let order: Vec<Turn> = order.into_iter().map(|outline| Turn { outline, only: None }).collect();
            if !kept.contains(&order) {
                kept.push(order);
            }
        }
        kept
    }

    /// Lays outlines in an order, each where it takes least; from the far end of the field if asked.
    fn lay(&self, order: &[Turn], field: Field, rule: Rule, from_far: bool) -> Option<Try> {
        let mut rooms: Vec<Option<Room>> =
            self.figures.iter().map(|figure| Room::of(figure, field, self.mark, from_far)).collect();
        let thousandths = |marks: f64| (marks * 1000.0) as i64;
        let mut laid: Vec<Laid> = Vec::with_capacity(order.len());
        let mut score = (0, 0);
        for turn in order {
            let mut least: Option<((i64, i32, usize), Laid)> = None;
            for figure in self.turns.get(turn.outline)? {
                let (Some(Some(room)), Some(shape)) = (rooms.get(*figure), self.figures.get(*figure)) else { continue };
                if turn.only.is_some_and(|only| only != *figure) {
                    continue;
                }
                let long = shape.size.0 / self.mark;
                for (y, x) in (0..).zip(&room.next) {
                    if *x < 0 || *x >= room.columns {
                        continue;
                    }
                    let near = if from_far { f64::from(-*x) - long } else { f64::from(*x) };
                    let at = match rule {
                        Rule::End => near + long,
                        Rule::Start => near,
                        Rule::Middle => near + long / 2.0,
                    };
                    let key = (thousandths(at), y, *figure);
                    if least.as_ref().is_none_or(|(known, _)| key < *known) {
                        least = Some((key, Laid { outline: turn.outline, figure: *figure, x: *x, y }));
                    }
                }
            }
            let (_, place) = least?;
            for (other, room) in rooms.iter_mut().enumerate() {
                let (Some(room), Some((near, back))) = (room, self.near(place.figure, other)) else { continue };
                room.block(near, back, place);
            }
            laid.push(place);
        }
        let begin = laid.iter().map(|place| place.x).min().unwrap_or(0);
        for place in &mut laid {
            place.x -= begin;
            let end = f64::from(place.x) + self.figures.get(place.figure)?.size.0 / self.mark;
            score = (score.0.max(thousandths(end)), score.1 + thousandths(end));
        }
        Some(Try { laid, score })
    }

    /// Changes an order little by little as long as that is no worse; then begins again from the best with
    /// a stretch of it put elsewhere.
    fn improved(&self, best: &mut Try, field: Field, start: (Rule, Vec<Turn>), work: usize, spent: &mut usize) {
        let (mut rule, mut order) = start;
        let (mut now, mut kept) = (best.clone(), order.clone());
        let count = order.len();
        // Of one outline that may not be turned there is one order only.
        let one = order.first().map(|turn| turn.outline);
        let turns = one.and_then(|outline| self.turns.get(outline)).map_or(0, Vec::len);
        if turns < 2 && order.iter().all(|turn| Some(turn.outline) == one) {
            return;
        }
        for kick in 0.. {
            self.settled(&mut now, &mut order, (field, rule), work, spent);
            if now.score < best.score {
                (*best, kept) = (now, order);
            }
            if *spent >= work || count < 2 {
                return;
            }
            // A stretch of the best order moved to its front, another one each time.
            order = kept.clone();
            let from = kick * 7 % count;
            let to = (from + 2 + kick % (count / 2 + 1)).min(count);
            if let Some(head) = order.get_mut(..to) {
                head.rotate_left(from);
            }
            rule = RULES.get(kick % RULES.len()).copied().unwrap_or(Rule::End);
            *spent += count;
            now = match self.lay(&order, field, rule, false) {
                Some(next) => next,
                None => best.clone(),
            };
        }
    }

    /// Exchanges two outlines, or turns one, as long as any such change is better.
    fn settled(
        &self,
        now: &mut Try,
        order: &mut Vec<Turn>,
        (field, rule): (Field, Rule),
        work: usize,
        spent: &mut usize,
    ) {
        let count = order.len();
        loop {
            let before = now.score;
            for distance in 1..count.max(2) {
                for place in 0..count {
                    let other = (place + distance) % count;
                    let (Some(one), Some(two)) = (order.get(place).copied(), order.get(other).copied()) else {
                        continue;
                    };
                    let mut changed = order.clone();
                    if one != two {
                        changed.swap(place, other);
                    } else if let (Some(turned), Some(slot)) = (self.turned(one, distance), changed.get_mut(place)) {
                        *slot = turned;
                    } else {
                        continue;
                    }
                    *spent += count;
                    if let Some(next) = self.lay(&changed, field, rule, false).filter(|next| next.score <= now.score) {
                        (*now, *order) = (next, changed);
                    }
                    if *spent >= work {
                        return;
                    }
                }
            }
            if now.score >= before {
                return;
            }
        }
    }

    /// The same outline at another turn: of all turns, and any of them, the one `step` further.
    fn turned(&self, turn: Turn, step: usize) -> Option<Turn> {
        let turns = self.turns.get(turn.outline).filter(|turns| turns.len() > 1)?;
        let now = turn.only.and_then(|only| turns.iter().position(|figure| *figure == only)).map_or(0, |at| at + 1);
        let next = (now + 1 + (step - 1) % turns.len()) % (turns.len() + 1);
        Some(Turn { only: next.checked_sub(1).and_then(|at| turns.get(at).copied()), ..turn })
    }

    /// Lays all again from the far end, the last first, and back, as long as that gains.
    fn jostled(&self, best: &mut Try, field: Field, work: usize, spent: &mut usize) {
        let mut now = best.clone();
        let mut seen: Vec<Vec<Laid>> = Vec::new();
        let mut far = true;
        while *spent < work {
            let end = |place: &Laid| {
                let size = self.figures.get(place.figure).map_or(0.0, |figure| figure.size.0);
                ((f64::from(place.x) + size / self.mark) * 1000.0) as i64
            };
            let mut sorted = now.laid.clone();
            if far {
                sorted.sort_by_key(|place| (-end(place), place.y));
            } else {
                sorted.sort_by_key(|place| (place.x, place.y));
            }
            let turns: Vec<Turn> = sorted.iter().map(|place| Turn { outline: place.outline, only: None }).collect();
            let tight = Field { long: (now.score.0 as f64 / 1000.0 * self.mark + 1e-6).min(field.long), ..field };
            let mut next: Option<Try> = None;
            for rule in RULES {
                *spent += turns.len();
                let found = self.lay(&turns, tight, rule, far);
                next = match (next, found) {
                    (Some(one), Some(other)) => Some(if other.score < one.score { other } else { one }),
                    (one, other) => one.or(other),
                };
            }
            let Some(next) = next.filter(|next| !seen.contains(&next.laid)) else { break };
            seen.push(next.laid.clone());
            if next.score < best.score {
                *best = next.clone();
            }
            now = next;
            far = !far;
        }
    }
}

/// Marks at which a figure may still be laid: a bit for each that is taken, and in each row the next
/// free one.
struct Room {
    taken: Vec<u64>,
    words: usize,
    columns: i32,
    next: Vec<i32>,
    from_far: bool,
}

impl Room {
    fn of(figure: &Figure, field: Field, mark: f64, from_far: bool) -> Option<Room> {
        let marks = |room: f64, size: f64| {
            // A hair over, so that what just fits does.
            let most = libm::floor((room - size) / mark + 1e-6);
            (most >= 0.0).then(|| most.min(f64::from(MOST_MARKS)) as i32 + 1)
        };
        let (columns, rows) = (marks(field.long, figure.size.0)?, marks(field.wide, figure.size.1)?);
        let words = (columns as usize).div_ceil(64);
        let start = if from_far { columns - 1 } else { 0 };
        let next = vec![start; rows as usize];
        Some(Room { taken: vec![0; words * rows as usize], words, columns, next, from_far })
    }

    /// Takes away the marks that are too near to a figure that was laid.
    fn block(&mut self, near: &NoFit, back: bool, place: Laid) {
        for (up, runs) in (near.from..).zip(&near.rows) {
            let y = place.y + if back { -up } else { up };
            let Some(next) = usize::try_from(y).ok().and_then(|y| self.next.get_mut(y)) else { continue };
            let start = y as usize * self.words;
            let Some(row) = self.taken.get_mut(start..start + self.words) else { continue };
            for (from, to) in runs {
                let (from, to) = if back { (-to, -from) } else { (*from, *to) };
                let (from, to) = ((place.x + from).max(0), (place.x + to).min(self.columns - 1));
                if from <= to {
                    set(row, from as usize, to as usize);
                }
            }
            let step = if self.from_far { -1 } else { 1 };
            while (0..self.columns).contains(next)
                && row.get(*next as usize / 64).is_some_and(|word| word & (1 << (*next as usize % 64)) != 0)
            {
                *next += step;
            }
        }
    }
}

/// Sets the bits from one to another.
fn set(row: &mut [u64], from: usize, to: usize) {
    let (first, last) = (from / 64, to / 64);
    let low = u64::MAX << (from % 64);
    let high = u64::MAX >> (63 - to % 64);
    if first == last {
        if let Some(word) = row.get_mut(first) {
            *word |= low & high;
        }
        return;
    }
    if let Some(word) = row.get_mut(first) {
        *word |= low;
    }
    if let Some(words) = row.get_mut(first + 1..last) {
        words.fill(u64::MAX);
    }
    if let Some(word) = row.get_mut(last) {
        *word |= high;
    }
}
