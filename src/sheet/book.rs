//! Sheets while they are being filled: text runs into the room that drawings leave, then over fresh sheets.

use super::flow::{Filled, Flow, Room};
use super::form::Form;
use super::frame::{Draft, block_height};
use crate::drawing::{Area, Line, Picture, at};
use crate::request::SheetStyle;

/// Clear distance between blocks, mm.
pub(super) const CLEAR: f64 = 5.0;
/// Clear room inside the frame of a card, mm.
const CARD: f64 = 3.0;

/// What the title block says of a sheet that nothing is drawn to scale on.
pub(super) const NO_SCALE: &str = "none";

/// One sheet.
#[derive(Clone)]
pub(super) struct Leaf {
    /// Its form.
    pub form: Form,
    /// What is on it.
    pub picture: Picture,
    /// Scale, as printed in the title block.
    pub scale: String,
    /// What kinds of content are on it, in order.
    pub names: Vec<&'static str>,
    /// Room that is left; none of it overlaps another.
    pub rooms: Vec<Area>,
}

impl Leaf {
    /// The same with nothing drawn on it.
    pub fn without_picture(&self) -> Leaf {
        Leaf {
            picture: Picture::default(),
            rooms: self.rooms.clone(),
            names: self.names.clone(),
            scale: self.scale.clone(),
            ..*self
        }
    }
}

/// Least size of the rooms of a bench sheet that a text is begun in, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Least {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Least {
    fn fits(&self, area: &Area) -> bool {
        area.width() >= self.width && area.height() >= self.height
    }
}

/// All sheets.
pub(super) struct Book {
    style: SheetStyle,
    leaves: Vec<Leaf>,
}

impl Book {
    /// A book that begins with these sheets.
    pub fn new(style: &SheetStyle, leaves: Vec<Leaf>) -> Book {
        Book { style: style.clone(), leaves }
    }

    /// How many sheets it has.
    pub fn len(&self) -> usize {
        self.leaves.len()
    }

    fn fresh(&self) -> Vec<Area> {
        apart(
            {
                let form = Form::of_text(&self.style);
                form.free(block_height(false))
            },
            Least { width: 60.0, height: 60.0 },
        )
    }

    /// Sets a text into the rooms that are large enough for it, then on fresh sheets, in columns of at
    /// least the ideal width where there is room for several.
    pub fn text(&mut self, name: &'static str, ideal: f64, least: Least, write: impl FnOnce(&mut Flow)) {
        let rooms = self.rooms(least, |_| true);
        self.set(name, ideal, &rooms, write);
    }

    /// The same on small paper into rooms of sheets of text alone: there the rooms beside drawings are
    /// narrow, and what is set in them is torn into many pieces.
    pub fn aside(&mut self, name: &'static str, ideal: f64, least: Least, write: impl FnOnce(&mut Flow)) {
        let small = self.style.paper.is_small();
        let rooms = self.rooms(least, |leaf| !small || leaf.scale == NO_SCALE);
        self.set(name, ideal, &rooms, write);
    }

    /// Takes the rooms that are large enough from the sheets that are wanted.
    fn rooms(&mut self, least: Least, wanted: impl Fn(&Leaf) -> bool) -> Vec<Room> {
        let mut rooms: Vec<Room> = Vec::new();
        for (place, leaf) in self.leaves.iter_mut().enumerate().filter(|(_, leaf)| wanted(leaf)) {
            let (large, small) = std::mem::take(&mut leaf.rooms).into_iter().partition(|room| least.fits(room));
            leaf.rooms = small;
            let mut large: Vec<Area> = large;
            // A text reads from the left; of what begins at one place, from the top down.
            large.sort_by(|a, b| libm::rint(a.x0).total_cmp(&libm::rint(b.x0)).then(b.y1.total_cmp(&a.y1)));
            rooms.extend(large.into_iter().map(|room| (place, room)));
        }
        rooms
    }

    fn set(&mut self, name: &'static str, ideal: f64, rooms: &[Room], write: impl FnOnce(&mut Flow)) {
        let mut flow = Flow::new(rooms, self.leaves.len(), self.fresh(), ideal);
        write(&mut flow);
        self.take(name, flow.finish());
    }

    fn take(&mut self, name: &'static str, filled: Filled) {
        for (place, piece) in filled.pieces {
            if piece.items.is_empty() {
                continue;
            }
            while self.leaves.len() <= place {
                let form = Form::of_text(&self.style);
                let scale = NO_SCALE.to_owned();
                self.leaves.push(Leaf {
                    form,
                    picture: Picture::default(),
                    scale,
                    names: Vec::new(),
                    rooms: Vec::new(),
                });
            }
            if let Some(leaf) = self.leaves.get_mut(place) {
                leaf.picture.add(piece, at(0.0, 0.0));
                if leaf.names.last() != Some(&name) {
                    leaf.names.push(name);
                }
            }
        }
        for (place, room) in filled.left {
            if let Some(leaf) = self.leaves.get_mut(place) {
                leaf.rooms.push(room);
            }
        }
    }

    /// Sets a card, which is cut off and taken along: whole, in a frame, in the first room that holds it,
    /// else on a fresh sheet. A card too high for any sheet is set as any text.
    pub fn card(&mut self, name: &'static str, widest: f64, least: f64, write: impl Fn(&mut Flow)) {
        let rooms =
            self.leaves.iter().enumerate().flat_map(|(place, leaf)| leaf.rooms.iter().map(move |room| (place, *room)));
        let fresh = self.fresh().into_iter().map(|room| (self.leaves.len(), room));
        let all: Vec<Room> = rooms.chain(fresh).collect();
        let ways = [false, true].into_iter().flat_map(|tight| all.iter().map(move |room| (tight, *room)));
        let found = ways.into_iter().find_map(|(tight, (place, room))| {
            let width = room.width().min(widest);
            if width < least {
                return None;
            }
            let mut flow = Flow::column(width - 2.0 * CARD);
            if tight {
                flow.tight();
            }
            write(&mut flow);
            let (picture, height) = flow.into_block();
            (height + 2.0 * CARD <= room.height()).then_some((place, room, width, height + 2.0 * CARD, picture))
        });
        let Some((place, room, width, height, card)) = found else {
            return self.text(name, widest, Least { width: widest, height: 100.0 }, |flow| write(flow));
        };
        let mut picture = Picture::default();
        picture.frame(Line::Edge, Area::new(room.x0, room.y1 - height, room.x0 + width, room.y1));
        picture.add(card, at(room.x0 + CARD, room.y1 - CARD));
        if let Some(leaf) = self.leaves.get_mut(place) {
            leaf.rooms.retain(|other| *other != room);
        }
        let left = [
            Area { y1: room.y1 - height - CLEAR, ..room },
            Area { x0: room.x0 + width + CLEAR, y0: room.y1 - height, ..room },
        ];
        let left = left.into_iter().filter(|room| room.width() > 1.0 && room.height() > 1.0);
        self.take(name, Filled { pieces: vec![(place, picture)], left: left.map(|room| (place, room)).collect() });
    }

    /// The sheets with their titles: what is on each, numbered where it goes on.
    pub fn into_drafts(self) -> Vec<Draft> {
        let all: Vec<&'static str> = self.leaves.iter().flat_map(|leaf| leaf.names.iter().copied()).collect();
        let mut told: Vec<&'static str> = Vec::new();
        let mut drafts = Vec::new();
        for leaf in self.leaves {
            let mut title = String::new();
            for name in leaf.names {
                told.push(name);
                let number = told.iter().filter(|other| **other == name).count();
                let several = all.iter().filter(|other| **other == name).count() > 1;
                let numbered = if several { format!("{name} ({number})") } else { name.to_owned() };
                if title.is_empty() {
                    title = numbered;
                } else {
                    title.push_str(", ");
                    title.push_str(&numbered.to_lowercase());
                }
            }
            drafts.push(Draft { title, form: leaf.form, scale: leaf.scale, picture: leaf.picture });
        }
        drafts
    }
}

/// Rooms that do not overlap, out of areas that may: the largest first, of the rest what is left, as long
/// as it is of some use.
pub(super) fn apart(mut free: Vec<Area>, least: Least) -> Vec<Area> {
    let mut rooms: Vec<Area> = Vec::new();
    while let Some(best) = free.iter().copied().filter(|area| least.fits(area)).reduce(|best, area| {
        if area.width() * area.height() > best.width() * best.height() + 1e-9 { area } else { best }
    }) {
        rooms.push(best);
        free = free.into_iter().flat_map(|area| super::pack::without(area, &best.grown(CLEAR))).collect();
    }
    // Read from the top down, and from the left.
    rooms.sort_by(|a, b| b.y1.total_cmp(&a.y1).then(a.x0.total_cmp(&b.x0)));
    rooms
}
