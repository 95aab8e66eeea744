//! Single operations: which tool can do them, what they leave, what is said of them.

use super::Spare;
use crate::design::{CutList, Extent, Operation, Parent, Part, Role, SawStep};
use crate::length::Length;
use crate::request::{Request, Tool};
use crate::rules::Rule;
use crate::trace::Conflict;

/// Between blade and a fence nearer than this there is no room for a hand. Common practice, no source.
const CLOSE: Length = Length::inches(4, 1);

/// A cut of one setting, made once or several times.
pub(super) struct Cut<'c> {
    /// What goes over the saw.
    pub piece: &'c str,
    /// Its size before.
    pub before: Extent,
    /// Fence or stop setting.
    pub to: Length,
    /// How often.
    pub times: usize,
    /// What comes off.
    pub makes: &'c str,
    /// Words that follow the setting.
    pub extra: &'c str,
}

/// Writes a cut list; remembers the first thing that cannot be done.
pub(super) struct Writer<'a> {
    pub request: &'a Request,
    pub spare: Spare,
    pub list: CutList,
    refused: Option<Conflict>,
}

impl<'a> Writer<'a> {
    pub fn new(request: &'a Request) -> Writer<'a> {
        Writer { request, spare: Spare::of(request), list: CutList::default(), refused: None }
    }

    pub fn done(self) -> Result<CutList, Conflict> {
        match self.refused {
            Some(conflict) => Err(conflict),
            None => Ok(self.list),
        }
    }

    pub fn say(&self, length: Length) -> String {
        self.request.shop.ruler.number(length)
    }

    pub fn kerf(&self) -> Length {
        self.request.shop.kerf
    }

    /// The next mark of the ruler: what a fence or a stop can be set to.
    pub fn mark(&self, length: Length) -> Length {
        length.up(self.request.step())
    }

    pub fn owns(&self, tool: Tool) -> bool {
        self.request.shop.tools.contains(&tool)
    }

    pub fn refuse(&mut self, rule: Rule, text: String) {
        self.refused.get_or_insert_with(|| Conflict::plain(rule, text));
    }

    pub fn step(&mut self, step: SawStep) {
        self.list.steps.push(step);
    }

    /// The saw that rips a piece this thick.
    pub fn rip_tool(&mut self, thickness: Length) -> &'static str {
        let reach = self.request.shop.saw_height;
        if self.owns(Tool::TableSaw) && thickness <= reach {
            return "table saw";
        }
        if self.owns(Tool::BandSaw) {
            return "band saw with fence";
        }
        let text = if self.owns(Tool::TableSaw) {
            let (thick, reach) = (self.say(thickness), self.say(reach));
            format!("ripping {thick} of wood: the table saw reaches {reach}, and there is no band saw")
        } else {
            "ripping needs a table saw or a band saw".to_owned()
        };
        self.refuse(Rule::ToolOwned, text);
        "saw"
    }

    /// The saw that crosscuts a piece of this section.
    pub fn crosscut_tool(&mut self, width: Length, thickness: Length) -> &'static str {
        let shop = &self.request.shop;
        if self.owns(Tool::MitreSaw) && width <= shop.mitre_width && thickness <= shop.mitre_height {
            return "mitre saw";
        }
        if self.owns(Tool::TableSaw) && thickness <= shop.saw_height {
            return "table saw with sled";
        }
        if self.owns(Tool::BandSaw) {
            return "band saw with mitre gauge";
        }
        let text = format!("crosscutting {} x {}: no saw in the shop takes it", self.say(width), self.say(thickness));
        self.refuse(Rule::ToolOwned, text);
        "saw"
    }

    pub fn is_planed(&self, part: &Part) -> bool {
        part.material == self.request.board.name
    }

    /// The machine that brings a piece to its thickness, and the shortest piece it takes.
    pub fn thicknesser(&self, width: Length, thickness: Length) -> Option<(&'static str, Length)> {
        let shop = &self.request.shop;
        if self.owns(Tool::Planer) && width <= shop.planer_widest && thickness >= shop.planer_thinnest {
            Some(("planer", shop.planer_shortest))
        } else if self.owns(Tool::DrumSander) && width <= shop.sander_widest {
            Some(("drum sander", shop.sander_shortest))
        } else {
            None
        }
    }

    /// Length to pull a parent in, so that `needed` is left of it: a planed one carries waste for
    /// snipe at both ends, and is at least as long as the planer takes.
    pub fn pull_length(&mut self, part: &Part, needed: Length, width: Length) -> Length {
        if !self.is_planed(part) {
            return self.mark(needed);
        }
        // Of a wedge shim the board's thickness is what it is wide.
        let thickness = if part.role == Role::WedgeShim { part.size.width } else { part.size.thickness };
        let Some((_, shortest)) = self.thicknesser(width, thickness) else {
            let text = format!(
                "no machine in the shop planes a piece {} wide to {}",
                self.say(width),
                self.request.shop.depth_ruler.number(thickness)
            );
            // Said as a want of stock, so that stock of the right thickness is tried instead.
            self.refuse(Rule::StockExists, text);
            return needed;
        };
        self.mark((needed + (self.spare.snipe + self.kerf()) * 2).max(shortest))
    }

    /// Writes down a parent, and the glue-up of its layers where it has several. Returns its name
    /// and its size.
    pub fn parent(
        &mut self,
        part: &Part,
        length: Length,
        width: Length,
        count: usize,
        yields: Vec<(String, usize)>,
    ) -> (String, Extent) {
        let id = format!("P{}", self.list.parents.len() + 1);
        let layers = part.layers.max(1);
        let layer = Length::from_ticks(part.size.thickness.ticks() / i64::from(layers));
        // A board is pulled thicker than it is planed to.
        let thickness = if self.is_planed(part) { layer + self.spare.planing } else { layer };
        let width = self.mark(width);
        let size = Extent { length, width, thickness };
        let count = count * usize::try_from(layers).unwrap_or(1);
        self.list.parents.push(Parent { id: id.clone(), material: part.material.clone(), size, count, yields });
        let before = Extent { length, width, thickness: part.size.thickness };
        if layers > 1 {
            let sets = usize::try_from(layers).map_or(1, |layers| count / layers);
            let what = if sets > 1 { format!("{layers} at a time, ") } else { String::new() };
            let note = format!(
                "{id}: glue its {count} pieces {what}face to face, flat under clamps; let them cure a day before they are worked"
            );
            self.step(SawStep {
                operation: Operation::GlueUp,
                tool: "clamps",
                piece: id.clone(),
                before,
                setting: part.size.thickness,
                makes: id.clone(),
                times: 1,
                held: length,
                careful: false,
                note,
            });
        }
        (id, before)
    }

    /// Planes a parent if its part is planed, and saws the sniped ends off. Returns what is left of it.
    pub fn plane(&mut self, part: &Part, piece: &str, before: Extent) -> Extent {
        if self.is_planed(part) { self.plane_to(piece, before) } else { before }
    }

    /// Planes a piece to the thickness it has in `before`, and saws the sniped ends off. Returns what is left of it.
    pub fn plane_to(&mut self, piece: &str, before: Extent) -> Extent {
        let Some((tool, _)) = self.thicknesser(before.width, before.thickness) else { return before };
        let thickness = self.request.shop.depth_ruler.number(before.thickness);
        let snipe = self.spare.snipe;
        self.step(SawStep {
            operation: Operation::Plane,
            tool,
            piece: piece.to_owned(),
            before,
            setting: before.thickness,
            makes: piece.to_owned(),
            times: 1,
            held: before.length,
            careful: false,
            note: format!("{tool}: {piece} to {thickness} thick while it is long, no metal and no dried glue in it"),
        });
        let left = before.length - (snipe + self.kerf()) * 2;
        let extra = " off each end";
        self.crosscut(Cut { piece, before, to: snipe, times: 2, makes: "waste", extra }, left);
        Extent { length: left, ..before }
    }

    /// Rips strips of one width off a piece.
    pub fn rip(&mut self, cut: Cut<'_>) {
        let Cut { piece, before, to: width, times, makes, extra } = cut;
        let tool = self.rip_tool(before.thickness);
        if before.length < before.width || before.length < self.spare.shortest_rip {
            let text = format!(
                "{piece} is {} long and {} wide: too short to be ripped",
                self.say(before.length),
                self.say(before.width)
            );
            self.refuse(Rule::RipSafe, text);
        }
        let narrow = width < self.spare.narrow;
        let block = match width {
            _ if narrow => "; pushing block",
            _ if width < CLOSE => "; push stick, no hand between blade and fence",
            _ => "",
        };
        let what = if makes == piece { format!("rip {piece}") } else { format!("rip {makes} from {piece}") };
        let often = if times > 1 { format!(", {times} cuts") } else { String::new() };
        self.step(SawStep {
            operation: Operation::Rip,
            tool,
            piece: piece.to_owned(),
            before,
            setting: width,
            makes: makes.to_owned(),
            times,
            held: before.length,
            careful: narrow,
            note: format!("{tool}: {what}, fence at {}{often}{extra}{block}", self.say(width)),
        });
    }

    /// Crosscuts pieces of one length; `held` stays under the hands after the last.
    pub fn crosscut(&mut self, cut: Cut<'_>, held: Length) {
        let Cut { piece, before, to: length, times, makes, extra } = cut;
        let tool = self.crosscut_tool(before.width, before.thickness);
        let what = if makes == "waste" {
            format!("crosscut {}", self.say(length))
        } else {
            format!("crosscut {makes} from {piece} at {}", self.say(length))
        };
        let often = if times > 1 && makes != "waste" { format!(", {times} times") } else { String::new() };
        let under = if makes == "waste" {
            String::new()
        } else {
            format!("; hand on the long end ({} or more stays)", self.say(held.down(self.request.step())))
        };
        let of = if makes == "waste" {
            format!(" of {piece}: the first and last of a planed board are thinner")
        } else {
            String::new()
        };
        self.step(SawStep {
            operation: Operation::Crosscut,
            tool,
            piece: piece.to_owned(),
            before,
            setting: length,
            makes: makes.to_owned(),
            times,
            held,
            careful: false,
            note: format!("{tool}: {what}{often}{extra}{of}{under}"),
        });
    }
}
