//! The order of the cuts of one board: rips while it is long, then crosscuts, short pieces as offcuts.

use super::parting::{Parting, Way, may_rip, parts};
use super::task::{Lay, Layout, Strip, Tree};
use crate::design::{Against, BoardCut, Direction, Extent, Leftover, PlacedPiece};
use crate::geometry::Rect;
use crate::length::Length;
use crate::request::{Shop, Tool};

/// Between blade and fence nearer than this there is no room for a hand. Common practice, no source.
const CLOSE: Length = Length::inches(4, 1);
/// A strip narrower than this needs a pushing block.
const NARROW: Length = Length::inches(3, 4);

/// What is cut, and what is known of the shop.
pub struct Bench<'a> {
    /// The shop.
    pub shop: &'a Shop,
    /// Name of the board.
    pub board: &'a str,
    /// Its thickness.
    pub thickness: Length,
    /// Its bad places.
    pub bad: &'a [Rect],
    /// Least length and width of a leftover that is kept.
    pub keep: (Length, Length),
    /// Names of the pieces that come out of it and their sizes as they lie, by kinds; taken from the end.
    pub names: Vec<Vec<(String, Length, Length)>>,
    /// Number of the last cut before.
    pub number: usize,
    /// Cuts.
    pub cuts: Vec<BoardCut>,
    /// Pieces.
    pub pieces: Vec<PlacedPiece>,
    /// Leftovers.
    pub leftovers: Vec<Leftover>,
    parts: usize,
    refused: Option<String>,
}

/// Wood on the bench.
#[derive(Clone)]
struct Wood {
    id: String,
    place: Rect,
}

/// What becomes of a part.
#[derive(Clone, Copy, PartialEq)]
enum Fate {
    /// It is cut further.
    Goes,
    /// It is left over, or waste where it is small.
    Left,
    /// It is a piece.
    Piece(Lay),
}

impl<'a> Bench<'a> {
    /// An empty bench.
    pub fn new(shop: &'a Shop, board: &'a str, thickness: Length, bad: &'a [Rect]) -> Bench<'a> {
        Bench {
            shop,
            board,
            thickness,
            bad,
            keep: (Length::ZERO, Length::ZERO),
            names: Vec::new(),
            number: 0,
            cuts: Vec::new(),
            pieces: Vec::new(),
            leftovers: Vec::new(),
            parts: 0,
            refused: None,
        }
    }

    /// Cuts a board up.
    ///
    /// # Errors
    /// What no saw of the shop can do.
    pub fn cut_up(&mut self, parting: &Parting, layout: &Layout) -> Result<(), String> {
        let wood = Wood { id: self.board.to_owned(), place: parting.wood };
        self.part(wood, parting, layout);
        self.refused.take().map_or(Ok(()), Err)
    }

    fn kerf(&self) -> Length {
        self.shop.kerf
    }

    fn say(&self, length: Length) -> String {
        self.shop.ruler.number(length)
    }

    fn rip_tool(&mut self) -> &'static str {
        let owns = |tool: Tool| self.shop.tools.contains(&tool);
        if owns(Tool::TableSaw) && self.thickness <= self.shop.saw_height {
            return "table saw";
        }
        if owns(Tool::BandSaw) {
            return "band saw with fence";
        }
        let text = format!("no saw of the shop rips {} {} thick", self.board, self.say(self.thickness));
        self.refused.get_or_insert(text);
        "saw"
    }

    fn crosscut_tool(&mut self, width: Length) -> &'static str {
        let owns = |tool: Tool| self.shop.tools.contains(&tool);
        if owns(Tool::MitreSaw) && width <= self.shop.mitre_width && self.thickness <= self.shop.mitre_height {
            return "mitre saw";
        }
        if owns(Tool::TableSaw) && self.thickness <= self.shop.saw_height {
            return "table saw with sled";
        }
        if owns(Tool::BandSaw) {
            return "band saw with mitre gauge";
        }
        let text = format!("no saw of the shop crosscuts {} {} wide", self.board, self.say(width));
        self.refused.get_or_insert(text);
        "saw"
    }

    /// A name for what is cut further: the board's with a letter, or two.
    fn part_name(&mut self) -> String {
        let letter = |number: usize| char::from(b'a' + u8::try_from(number % 26).unwrap_or(0));
        let name = if self.parts < 26 {
            format!("{}{}", self.board, letter(self.parts))
        } else {
            format!("{}{}{}", self.board, letter(self.parts / 26 - 1), letter(self.parts))
        };
        self.parts += 1;
        name
    }

    /// Whether wood may still be cut out of a part.
    fn uses(&self, parting: Option<&Parting>, layout: &Layout) -> bool {
        let Some(parting) = parting else { return false };
        match &parting.way {
            Way::Whole(place) => match layout {
                Layout::Strips(strips) => strips.iter().any(|strip| strip.clear == *place),
                Layout::Free(_) => *place == 0,
            },
            _ => parts(parting).into_iter().any(|part| self.uses(Some(part), layout)),
        }
    }

    /// Names what comes of a part, and writes it down where it is done with. `None` for waste.
    fn settle(&mut self, place: Rect, fate: Fate) -> Option<String> {
        match fate {
            Fate::Goes => Some(self.part_name()),
            Fate::Left => self.left(place),
            Fate::Piece(lay) => {
                let named = self.names.get_mut(lay.item).and_then(Vec::pop);
                let Some((id, ..)) = named else { return self.left(place) };
                self.pieces.push(PlacedPiece { id: id.clone(), place, turned: lay.turned });
                Some(id)
            }
        }
    }

    fn left(&mut self, place: Rect) -> Option<String> {
        let kept = place.length() >= self.keep.0 && place.width() >= self.keep.1;
        let inside = |bad: &&Rect| bad.x0 < place.x1 && place.x0 < bad.x1 && bad.y0 < place.y1 && place.y0 < bad.y1;
        let bad = self.bad.iter().filter(inside).map(|bad| {
            let clip = |low: Length, high: Length, at: Length| at.clamp(low, high) - low;
            Rect::new(
                clip(place.x0, place.x1, bad.x0),
                clip(place.y0, place.y1, bad.y0),
                clip(place.x0, place.x1, bad.x1),
                clip(place.y0, place.y1, bad.y1),
            )
        });
        let bad: Vec<Rect> = bad.collect();
        if !kept {
            return None;
        }
        let number = self.leftovers.len() + 1;
        let id = format!("{}-L{number}", self.board);
        self.leftovers.push(Leftover { id: id.clone(), place, bad });
        Some(id)
    }

    /// One cut through a piece, its kerf beginning at `at`; gives back both parts where they go on.
    fn cut(
        &mut self,
        wood: &Wood,
        direction: Direction,
        at: Length,
        against: Against,
        fates: (Fate, Fate),
    ) -> (Option<Wood>, Option<Wood>) {
        let place = wood.place;
        let kerf = self.kerf();
        let (start, end) = match direction {
            Direction::Rip => (place.y0, place.y1),
            Direction::Crosscut => (place.x0, place.x1),
        };
        let between = |from: Length, to: Length| match direction {
            Direction::Rip => Rect::new(place.x0, from, place.x1, to),
            Direction::Crosscut => Rect::new(from, place.y0, to, place.y1),
        };
        let near = (at > start).then(|| between(start, at));
        let far = (at + kerf < end).then(|| between(at + kerf, end));
        let (near_size, far_size) = ((at - start).or_zero(), (end - at - kerf).or_zero());
        let near_id = near.and_then(|place| self.settle(place, fates.0));
        let far_id = far.and_then(|place| self.settle(place, fates.1));
        let machine = match direction {
            Direction::Rip => self.rip_tool(),
            Direction::Crosscut => self.crosscut_tool(place.width()),
        };
        let held = match direction {
            Direction::Rip => place.length(),
            Direction::Crosscut => near_size.max(far_size),
        };
        let setting = if against == Against::Near { near_size } else { far_size };
        self.number += 1;
        let before = Extent { length: place.length(), width: place.width(), thickness: self.thickness };
        let mut cut = BoardCut {
            number: self.number,
            board: self.board.to_owned(),
            piece: wood.id.clone(),
            before,
            direction,
            machine,
            setting,
            against,
            near: near_id.clone(),
            far: far_id.clone(),
            held,
            line: between(at.max(start), (at + kerf).min(end)),
            note: String::new(),
        };
        cut.note = self.words(&cut, near_size, far_size);
        self.cuts.push(cut);
        let wood = |id: Option<String>, place: Option<Rect>| Some(Wood { id: id?, place: place? });
        (wood(near_id, near), wood(far_id, far))
    }

    fn words(&self, cut: &BoardCut, near: Length, far: Length) -> String {
        let Extent { length, width, .. } = cut.before;
        let name = |id: &Option<String>| id.as_deref().unwrap_or("waste").to_owned();
        let piece = format!("{} ({} x {})", cut.piece, self.say(length), self.say(width));
        match (cut.direction, cut.against) {
            (Direction::Rip, Against::Near) => {
                let close = match cut.setting {
                    setting if setting < NARROW => "; pushing block",
                    setting if setting < CLOSE => "; push stick, no hand between blade and fence",
                    _ => "",
                };
                format!(
                    "{}: rip {piece}, near edge against the fence, fence at {}: {} between blade and fence, {} beside it{close}",
                    cut.machine,
                    self.say(cut.setting),
                    name(&cut.near),
                    name(&cut.far)
                )
            }
            (Direction::Rip, Against::Far) => format!(
                "{}: rip the near edge of {piece} straight, best edge against the fence, fence at {}: {}",
                cut.machine,
                self.say(cut.setting),
                name(&cut.far)
            ),
            (Direction::Crosscut, Against::Near) if cut.near.is_none() => format!(
                "{}: square the near end of {piece}, {} off with the kerf; hold the long end",
                cut.machine,
                self.say(near + self.kerf())
            ),
            (Direction::Crosscut, _) => {
                let hold = if near >= far {
                    format!("hold {}; {} falls away", name(&cut.near), name(&cut.far))
                } else {
                    format!("hold {} ({} long); {} falls away", name(&cut.far), self.say(far), name(&cut.near))
                };
                let (id, size) = if cut.against == Against::Near { (&cut.near, near) } else { (&cut.far, far) };
                format!("{}: crosscut {piece} at {}: {}; {hold}", cut.machine, self.say(size), name(id))
            }
        }
    }

    fn part(&mut self, wood: Wood, parting: &Parting, layout: &Layout) {
        match &parting.way {
            Way::Whole(place) => match layout {
                Layout::Strips(strips) => {
                    let own: Vec<&Strip> = strips.iter().filter(|strip| strip.clear == *place).collect();
                    self.strips(wood, parting.clear, &own);
                }
                Layout::Free(tree) => self.free(wood, parting.clear, tree),
            },
            Way::Crosscut { bad, near, far } => self.cut_out(wood, bad, [near.as_deref(), far.as_deref()], layout),
            Way::Ripped { bad, near, far, band } => {
                let [before, behind] = band;
                let band = [before.as_deref(), behind.as_deref()];
                self.rip_out(wood, bad, [near.as_deref(), far.as_deref()], band, layout);
            }
        }
    }

    /// Crosscuts a bad place out: what is before it, then what is behind it.
    fn cut_out(&mut self, wood: Wood, bad: &Rect, [near, far]: [Option<&Parting>; 2], layout: &Layout) {
        let kerf = self.kerf();
        let (uses_near, uses_far) = (self.uses(near, layout), self.uses(far, layout));
        let fate = |uses: bool| if uses { Fate::Goes } else { Fate::Left };
        let mut rest = Some(wood);
        if let (true, Some(wood)) = (uses_near, rest.clone()) {
            let fates = (Fate::Goes, fate(uses_far));
            let (cut_off, left) = self.cut(&wood, Direction::Crosscut, bad.x0, Against::Near, fates);
            rest = left;
            if let (Some(cut_off), Some(part)) = (cut_off, near) {
                self.part(cut_off, part, layout);
            }
        }
        if let (true, Some(wood)) = (uses_far, rest) {
            let fates = (Fate::Left, Fate::Goes);
            let (_, cut_off) = self.cut(&wood, Direction::Crosscut, bad.x1 - kerf, Against::Far, fates);
            if let (Some(cut_off), Some(part)) = (cut_off, far) {
                self.part(cut_off, part, layout);
            }
        }
    }

    /// Rips a bad place out: what is near of it, what is beyond it, then the ends of the band between.
    fn rip_out(
        &mut self,
        wood: Wood,
        bad: &Rect,
        [near, far]: [Option<&Parting>; 2],
        band: [Option<&Parting>; 2],
        layout: &Layout,
    ) {
        let kerf = self.kerf();
        let (uses_near, uses_far) = (self.uses(near, layout), self.uses(far, layout));
        let uses_band = band.iter().any(|part| self.uses(*part, layout));
        let fate = |uses: bool| if uses { Fate::Goes } else { Fate::Left };
        let mut rest = Some(wood);
        let mut parts: Vec<(Wood, &Parting)> = Vec::new();
        if let (true, Some(wood)) =
            ((uses_near || uses_band) && rest.as_ref().is_some_and(|w| bad.y0 > w.place.y0), rest.clone())
        {
            let fates = (fate(uses_near), fate(uses_band || uses_far));
            let (cut_off, left) = self.cut(&wood, Direction::Rip, bad.y0, Against::Near, fates);
            rest = left;
            parts.extend(cut_off.filter(|_| uses_near).zip(near));
        }
        if let (true, Some(wood)) =
            ((uses_far || uses_band) && rest.as_ref().is_some_and(|w| bad.y1 < w.place.y1), rest.clone())
        {
            let fates = (fate(uses_band), fate(uses_far));
            let (band, cut_off) = self.cut(&wood, Direction::Rip, bad.y1 - kerf, Against::Near, fates);
            rest = band;
            parts.extend(cut_off.filter(|_| uses_far).zip(far));
        }
        for (wood, part) in parts {
            self.part(wood, part, layout);
        }
        if let (true, Some(wood)) = (uses_band, rest) {
            self.cut_out(wood, bad, band, layout);
        }
    }

    /// Takes the near edge off where it is not sound.
    fn straighten(&mut self, wood: Wood, clear: &Rect) -> Option<Wood> {
        if clear.y0 <= wood.place.y0 || !may_rip(&wood.place) {
            return Some(wood);
        }
        let at = clear.y0 - self.kerf();
        self.cut(&wood, Direction::Rip, at, Against::Far, (Fate::Left, Fate::Goes)).1
    }

    /// Squares the near end where it is not sound.
    fn square(&mut self, wood: Wood, clear: &Rect) -> Option<Wood> {
        if clear.x0 <= wood.place.x0 {
            return Some(wood);
        }
        let at = clear.x0 - self.kerf();
        self.cut(&wood, Direction::Crosscut, at, Against::Near, (Fate::Left, Fate::Goes)).1
    }

    fn strips(&mut self, wood: Wood, clear: Rect, strips: &[&Strip]) {
        if strips.is_empty() {
            return;
        }
        let mut strips = strips.to_vec();
        strips.sort_by_key(|strip| std::cmp::Reverse(strip.width));
        let mut ripped: Vec<(Wood, &Strip)> = Vec::new();
        if may_rip(&wood.place) || clear.y0 > wood.place.y0 {
            let mut rest = self.straighten(wood, &clear);
            for (place, strip) in strips.iter().enumerate() {
                let Some(wood) = rest.take() else { return };
                if wood.place.width() == strip.width {
                    ripped.push((wood, strip));
                    continue;
                }
                let last = place + 1 == strips.len();
                let fates = (Fate::Goes, if last { Fate::Left } else { Fate::Goes });
                let (cut_off, left) =
                    self.cut(&wood, Direction::Rip, wood.place.y0 + strip.width, Against::Near, fates);
                ripped.extend(cut_off.map(|wood| (wood, *strip)));
                rest = left.filter(|_| !last);
            }
        } else {
            ripped.extend(strips.first().map(|strip| (wood, *strip)));
        }
        for (wood, strip) in ripped {
            let Some(wood) = self.square(wood, &clear) else { continue };
            self.crosscuts(wood, strip);
        }
    }

    /// The size of a piece as it lies.
    fn size(&self, lay: Lay) -> Option<(Length, Length)> {
        self.names
            .get(lay.item)?
            .last()
            .map(|(_, length, width)| if lay.turned { (*width, *length) } else { (*length, *width) })
    }

    fn crosscuts(&mut self, wood: Wood, strip: &Strip) {
        let mut lays: Vec<(Lay, (Length, Length))> =
            strip.lays.iter().filter_map(|lay| Some((*lay, self.size(*lay)?))).collect();
        // The short ones first, so that the long end is what is held.
        lays.sort_by_key(|(_, size)| size.0);
        let mut rest = Some(wood);
        let count = lays.len();
        for (place, (lay, size)) in lays.into_iter().enumerate() {
            let Some(wood) = rest.take() else { return };
            let last = place + 1 == count;
            let own = if wood.place.width() > size.1 { Fate::Goes } else { Fate::Piece(lay) };
            if wood.place.length() == size.0 {
                self.rip_narrower(wood, lay, size.1);
                continue;
            }
            let fates = (own, if last { Fate::Left } else { Fate::Goes });
            let at = wood.place.x0 + size.0;
            let (cut_off, left) = self.cut(&wood, Direction::Crosscut, at, Against::Near, fates);
            if let (Fate::Goes, Some(cut_off)) = (own, cut_off) {
                self.rip_narrower(cut_off, lay, size.1);
            }
            rest = left.filter(|_| !last);
        }
    }

    /// Rips a piece that is wider than wanted.
    fn rip_narrower(&mut self, wood: Wood, lay: Lay, width: Length) {
        if wood.place.width() <= width || !may_rip(&wood.place) {
            // Over-wide wood that is too short to be ripped stays so: its carrier's own cut list goes on from it.
            let place = wood.place;
            if let Some(id) = self.settle(place, Fate::Piece(lay)) {
                self.rename(&wood.id, &id);
            }
            return;
        }
        let at = wood.place.y0 + width;
        self.cut(&wood, Direction::Rip, at, Against::Near, (Fate::Piece(lay), Fate::Left));
    }

    /// What was thought to go on is a piece already: the cuts that made it say so.
    fn rename(&mut self, from: &str, to: &str) {
        for cut in &mut self.cuts {
            for made in [&mut cut.near, &mut cut.far].into_iter().flatten() {
                if made == from {
                    to.clone_into(made);
                    cut.note = cut
                        .note
                        .replace(&format!("{from} "), &format!("{to} "))
                        .replace(&format!("{from};"), &format!("{to};"));
                    if let Some(start) = cut.note.strip_suffix(from) {
                        cut.note = format!("{start}{to}");
                    }
                }
            }
        }
    }

    fn free(&mut self, wood: Wood, clear: Rect, tree: &Tree) {
        let Some(wood) = self.straighten(wood, &clear) else { return };
        let Some(size) = self.extent(tree) else { return };
        let place = wood.place;
        let wood = if place.width() > size.1 {
            let fates = (Fate::Goes, Fate::Left);
            self.cut(&wood, Direction::Rip, place.y0 + size.1, Against::Near, fates).0
        } else {
            Some(wood)
        };
        let Some(wood) = wood.and_then(|wood| self.square(wood, &clear)) else { return };
        self.fit(wood, tree, size);
    }

    fn extent(&self, tree: &Tree) -> Option<(Length, Length)> {
        let kerf = self.kerf();
        match tree {
            Tree::Piece(lay) => self.size(*lay),
            Tree::Along(a, b) => {
                let (a, b) = (self.extent(a)?, self.extent(b)?);
                Some((a.0 + kerf + b.0, a.1.max(b.1)))
            }
            Tree::Across(a, b) => {
                let (a, b) = (self.extent(a)?, self.extent(b)?);
                Some((a.0.max(b.0), a.1 + kerf + b.1))
            }
        }
    }

    /// Brings wood to the size of a tree, then divides it.
    fn fit(&mut self, wood: Wood, tree: &Tree, size: (Length, Length)) {
        let mut wood = Some(wood);
        if let Some(wide) = wood.clone().filter(|wood| wood.place.width() > size.1) {
            let own = self.fate(tree, (wide.place.length(), size.1), size);
            wood = self.cut(&wide, Direction::Rip, wide.place.y0 + size.1, Against::Near, (own, Fate::Left)).0;
            if own != Fate::Goes {
                return;
            }
        }
        if let Some(long) = wood.clone().filter(|wood| wood.place.length() > size.0) {
            let own = self.fate(tree, size, size);
            wood = self.cut(&long, Direction::Crosscut, long.place.x0 + size.0, Against::Near, (own, Fate::Left)).0;
            if own != Fate::Goes {
                return;
            }
        }
        let Some(wood) = wood else { return };
        match tree {
            Tree::Piece(lay) => {
                if let Some(id) = self.settle(wood.place, Fate::Piece(*lay)) {
                    self.rename(&wood.id, &id);
                }
            }
            Tree::Along(a, b) => self.divide(&wood, Direction::Crosscut, (a, b)),
            Tree::Across(a, b) => self.divide(&wood, Direction::Rip, (a, b)),
        }
    }

    /// A tree that is a piece is one as soon as its wood has both of its sizes.
    fn fate(&self, tree: &Tree, has: (Length, Length), wants: (Length, Length)) -> Fate {
        match tree {
            Tree::Piece(lay) if has == wants => Fate::Piece(*lay),
            _ => Fate::Goes,
        }
    }

    fn divide(&mut self, wood: &Wood, direction: Direction, (a, b): (&Tree, &Tree)) {
        // Names are taken as pieces are cut, so sizes are asked for first.
        let (Some(first), Some(second)) = (self.extent(a), self.extent(b)) else { return };
        let place = wood.place;
        let (at, has) = match direction {
            Direction::Crosscut => (
                place.x0 + first.0,
                [(first.0, place.width()), (place.x1 - place.x0 - first.0 - self.kerf(), place.width())],
            ),
            Direction::Rip => (
                place.y0 + first.1,
                [(place.length(), first.1), (place.length(), place.y1 - place.y0 - first.1 - self.kerf())],
            ),
        };
        let fates = (self.fate(a, has[0], first), self.fate(b, has[1], second));
        let (near, far) = self.cut(wood, direction, at, Against::Near, fates);
        for (wood, tree, size, fate) in [(near, a, first, fates.0), (far, b, second, fates.1)] {
            if let (Some(wood), Fate::Goes) = (wood, fate) {
                self.fit(wood, tree, size);
            }
        }
    }
}
