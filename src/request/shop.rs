//! The shop, its stock and the estimates.

use std::collections::BTreeSet;

use super::build::{Builder, JUDGEMENT, PRACTICE};
use super::{Estimates, Shop, Stock, Tool};
use crate::diagnostic::{nearest, quoted};
use crate::length::{Length, Ruler, Unit, parse_measured};
use crate::library::reader::{Table, list};
use crate::library::{Library, MaterialKind, SheetGood};

/// Density of a blank of unknown wood: 45 lb/ft3 in kg/m3.
const USUAL_DENSITY: f64 = 720.8;
/// Heaviest carrier for one person: 30 lb in kg.
const ONE_PERSON: f64 = 13.608;

const TOOLS: [(&str, Tool); 11] = [
    ("table saw", Tool::TableSaw),
    ("mitre saw", Tool::MitreSaw),
    ("band saw", Tool::BandSaw),
    ("jigsaw", Tool::Jigsaw),
    ("drill press", Tool::DrillPress),
    ("router", Tool::Router),
    ("planer", Tool::Planer),
    ("drum sander", Tool::DrumSander),
    ("jointer", Tool::Jointer),
    ("carver", Tool::Carver),
    ("chisel", Tool::Chisel),
];

/// Tools taken to be there when none are listed.
const USUAL_TOOLS: [&str; 7] = ["table saw", "mitre saw", "router", "planer", "drum sander", "drill press", "chisel"];

/// Solid woods that count as soft.
const SOFTWOODS: [&str; 4] = ["pine", "fir", "redcedar", "softwood"];

/// The wood whose figures stand for any softwood board, and for any hardwood board.
const USUAL_SOFTWOOD: &str = "pine, ponderosa";
const USUAL_HARDWOOD: &str = "maple, red";

/// Rows that are also bought as two layers glued together, for a thickness no sheet has.
const DOUBLED: [&str; 2] = ["mdf 3/4 in", "mdf 18 mm"];

/// Where the strength of film tape comes from.
const FILM: &str = "judgement, not measured: half as much again as cloth tape, on flat, clean, planed wood";

impl Builder<'_, '_> {
    pub(super) fn shop(&mut self, cutter: Length, depth: Option<Length>) -> Shop {
        let job = self.job;
        let table = &job.shop;
        let (ruler, depth_ruler) = self.rulers(table);
        let inches = Length::inches;
        let micrometres = Length::micrometres;
        let tolerance = self.size_or(table, ("shop", "tolerance"), inches(1, 64), micrometres(400), PRACTICE);
        let kerf = self.size_or(table, ("shop", "kerf"), inches(1, 8), micrometres(3200), PRACTICE);
        let clearance = self.size_or(table, ("shop", "clearance"), inches(1, 64), micrometres(400), PRACTICE);
        let planer = self.size_or(table, ("shop", "planer-shortest"), inches(16, 1), inches(16, 1), PRACTICE);
        let sander = self.size_or(table, ("shop", "sander-shortest"), inches(6, 1), inches(6, 1), PRACTICE);
        let planer_thinnest =
            self.size_or(table, ("shop", "planer-thinnest"), inches(1, 4), micrometres(6500), PRACTICE);
        let planer_widest =
            self.size_or(table, ("shop", "planer-widest"), inches(12, 1), micrometres(300_000), PRACTICE);
        let sander_widest =
            self.size_or(table, ("shop", "sander-widest"), inches(16, 1), micrometres(400_000), PRACTICE);
        let saw_height = self.size_or(table, ("shop", "saw-height"), inches(3, 1), micrometres(75_000), PRACTICE);
        let mitre_width =
            self.size_or(table, ("shop", "mitre-saw-width"), inches(6, 1), micrometres(150_000), PRACTICE);
        let mitre_height =
            self.size_or(table, ("shop", "mitre-saw-height"), inches(7, 2), micrometres(88_000), PRACTICE);
        let pocket_cutter = self.size_or(table, ("shop", "pocket-cutter"), inches(1, 4), inches(1, 4), PRACTICE);
        let tools = table.texts("tools").unwrap_or_else(|| {
            self.assume("shop.tools", USUAL_TOOLS.join(", "), PRACTICE);
            USUAL_TOOLS.to_vec()
        });
        let tools: BTreeSet<Tool> =
            TOOLS.iter().filter(|(name, _)| tools.contains(name)).map(|(_, tool)| *tool).collect();
        Shop {
            ruler,
            depth_ruler,
            tolerance,
            kerf,
            clearance,
            tools,
            planer_shortest: planer,
            sander_shortest: sander,
            planer_thinnest,
            planer_widest,
            sander_widest,
            saw_height,
            mitre_width,
            mitre_height,
            pocket_cutter,
            estimates: self.estimates(cutter, depth),
        }
    }

    fn rulers(&mut self, table: &Table) -> (Ruler, Ruler) {
        let (usual, usual_depth) = match self.units {
            Unit::Inch => (Ruler::inch(32), Ruler::inch(64)),
            Unit::Millimetre => (Ruler::metric(500), Ruler::metric(100)),
        };
        for name in ["ruler", "depth-ruler"] {
            if let Some(ruler) = table.ruler(name)
                && ruler.unit != self.units
            {
                let (is, wants) = if ruler.unit == Unit::Inch { ("inches", "in") } else { ("millimetres", "mm") };
                let help = format!("set `units = \"{wants}\"` under `[job]`, or give the ruler in the job's units");
                self.reader.error(table.span_of(name), format!("`{name}` is in {is}, the job is not"), help);
            }
        }
        let ruler = table.ruler("ruler").unwrap_or_else(|| {
            self.assume("shop.ruler", usual.with_unit(usual.step), PRACTICE);
            usual
        });
        let depth = table.ruler("depth-ruler").unwrap_or_else(|| {
            let depth = if usual_depth.step > ruler.step { ruler } else { usual_depth };
            self.assume("shop.depth-ruler", depth.with_unit(depth.step), PRACTICE);
            depth
        });
        if depth.step > ruler.step {
            let help = "depths need at least the care that lengths get";
            self.reader.error(table.span_of("depth-ruler"), "`depth-ruler` is coarser than `ruler`", help);
        }
        (ruler, depth)
    }

    fn estimates(&mut self, cutter: Length, depth: Option<Length>) -> Estimates {
        let job = self.job;
        let table = &job.estimates;
        let quarter = Length::inches(1, 4);
        let side = if cutter <= Length::inches(1, 8) {
            4.0
        } else if cutter <= quarter {
            10.0
        } else {
            10.0 * (cutter / quarter)
        };
        let (wood_density, source) = match job.blank.text("wood").map(|name| self.library.woods_like(name)) {
            Some(woods) if woods.len() == 1 => match woods.first() {
                Some(wood) => (wood.density, wood.source.clone()),
                None => (USUAL_DENSITY, JUDGEMENT.to_owned()),
            },
            _ => (USUAL_DENSITY, "45 lb/ft3, a common hardwood: judgement".to_owned()),
        };
        let density = table.number("blank-density-kg-m3").unwrap_or(wood_density);
        let cutting = depth.map(|depth| self.cutting(cutter, depth, density));
        let side = self.side_force(table, side, cutting.as_ref());
        Estimates {
            bond_lift_psi: self.number_or(table, "bond-lift-psi", 2.0, "psi", JUDGEMENT),
            bond_slide_psi: self.number_or(table, "bond-slide-psi", 3.0, "psi", JUDGEMENT),
            film_lift_psi: self.film(table, ["film-lift-psi", "bond-lift-psi"], 3.0),
            film_slide_psi: self.film(table, ["film-slide-psi", "bond-slide-psi"], 4.5),
            side_force_lbf: side,
            lift_force_lbf: self.number_or(table, "lift-force-lbf", side / 2.0, "lbf", JUDGEMENT),
            guide_force_lbf: self.number_or(table, "guide-force-lbf", 10.0, "lbf", JUDGEMENT),
            one_person_kg: self.number_or(
                table,
                "one-person-kg",
                ONE_PERSON,
                "kg",
                "30 lb: common practice, no source",
            ),
            blank_density: self.number_or(table, "blank-density-kg-m3", wood_density, "kg/m3", &source),
            loads: self.loads(table, side, cutting),
        }
    }

    /// A strength of film tape: the job's own, else what it states for tape, else the usual one.
    fn film(&mut self, table: &Table, names: [&str; 2], usual: f64) -> f64 {
        let [own, tape] = names;
        match (table.number(own), table.number(tape)) {
            (Some(stated), _) | (None, Some(stated)) => stated,
            (None, None) => self.number_or(table, own, usual, "psi", FILM),
        }
    }

    pub(super) fn number_or(&mut self, table: &Table, name: &str, usual: f64, unit: &str, source: &str) -> f64 {
        table.number(name).unwrap_or_else(|| {
            let shown = (usual * 100.0).round() / 100.0;
            self.assume(&format!("estimates.{name}"), format!("{shown} {unit}"), source);
            usual
        })
    }

    /// Stock on hand, then what can be bought.
    pub(super) fn stock(&mut self) -> Vec<Stock> {
        let job = self.job;
        let mut stock = Vec::new();
        for (row, table) in job.stock.iter().enumerate() {
            if let Some(piece) = self.stock_row(table, row + 1) {
                stock.push(piece);
            }
        }
        let buy = job.shop.flag("buy").unwrap_or_else(|| {
            self.assume("shop.buy", "true: sheet goods may be bought", PRACTICE);
            true
        });
        if buy {
            let unit = match self.units {
                Unit::Inch => " in",
                Unit::Millimetre => " mm",
            };
            let mut rows: Vec<&SheetGood> =
                self.library.sheet_goods().iter().filter(|row| row.can_buy && row.nominal.ends_with(unit)).collect();
            rows.sort_by_key(|row| (buying_order(row.kind), row.thickness));
            let single = rows.iter().map(|row| bought(row, 1));
            let double = rows.iter().filter(|row| DOUBLED.contains(&row.id.as_str())).map(|row| bought(row, 2));
            stock.extend(single.chain(double));
        }
        stock
    }

    fn stock_row(&mut self, table: &Table, number: usize) -> Option<Stock> {
        let missing: Vec<&str> = ["material", "length", "width"].into_iter().filter(|name| !table.has(name)).collect();
        if !missing.is_empty() {
            let message = format!("stock row {number} does not state {}", list(&missing));
            self.reader.error(table.span.clone(), message, "a piece on hand needs its material, length and width");
        }
        let name = table.text("material")?;
        let Some(material) = self.material(table, name) else {
            let known = self.material_names();
            let help = match nearest(name, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("expected a wood or one of {}", list(&known)),
            };
            self.reader.error(table.span_of("material"), format!("unknown material {}", quoted(name)), help);
            return None;
        };
        let thickness = match (table.size("thickness"), material.thickness) {
            (Some(thickness), _) => thickness,
            (None, _) if table.has("thickness") => return None,
            (None, Some(actual)) => {
                let shown = self.show(actual);
                self.assume(&format!("stock {number}.thickness"), format!("{shown}: caliper it"), &material.source);
                actual
            }
            (None, None) => {
                let message = format!("stock row {number} does not state `thickness`");
                let help = "caliper it, or give the trade's name for it as `nominal`, such as \"3/4 in\"";
                self.reader.error(table.span.clone(), message, help);
                return None;
            }
        };
        let (length, width) = (table.size("length")?, table.size("width")?);
        let layers = table.count("layers").unwrap_or(1);
        let times = if layers > 1 { format!("{layers} x ") } else { String::new() };
        Some(Stock {
            name: format!("{} {times}{}", material.name, self.show(thickness)),
            kind: material.kind,
            thickness,
            layers,
            length: Some(length),
            width: Some(width),
            count: Some(table.count("count").unwrap_or(1)),
            calipered: table.flag("calipered").unwrap_or(false),
            density: material.density,
            elasticity: material.elasticity,
        })
    }

    /// The figures of a material by the name a job gives it.
    fn material(&self, table: &Table, name: &str) -> Option<Material> {
        material(self.library, self.units, (name, table.text("nominal"), table.size("thickness")))
    }

    fn material_names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for name in self.library.sheet_goods().iter().map(|row| row.material.as_str()).chain(["softwood", "hardwood"]) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    /// Solid board that rails and ends are planed from.
    pub(super) fn board(&mut self) -> Stock {
        let thickest = match self.units {
            Unit::Inch => Length::inches(7, 4),
            Unit::Millimetre => Length::micrometres(44_000),
        };
        let shown = self.show(thickest);
        let wood = self.library.wood(USUAL_SOFTWOOD);
        let source = wood.map_or(JUDGEMENT, |wood| wood.source.as_str()).to_owned();
        self.assume("board", format!("softwood board, planed to any thickness up to {shown}"), &source);
        Stock {
            name: "softwood board".to_owned(),
            kind: MaterialKind::Softwood,
            thickness: thickest,
            layers: 1,
            length: None,
            width: None,
            count: None,
            calipered: false,
            // The table's own figures, from USDA Wood Handbook Table 5-3b, should a user's table lack the row.
            density: wood.map_or(448.0, |wood| wood.density),
            elasticity: wood.and_then(|wood| wood.elasticity).unwrap_or(8900.0),
        }
    }
}

/// The figures of a material by the name a job or a pile gives it, its nominal thickness and its actual one.
pub fn material(
    library: &Library,
    units: Unit,
    (name, nominal, thickness): (&str, Option<&str>, Option<Length>),
) -> Option<Material> {
    let plain = |text: &str| text.trim().to_lowercase();
    let size = |text: &str| parse_measured(text, units).ok().map(|size| size.nominal);
    let goods = library.sheet_goods();
    let called = |row: &&SheetGood| [&row.material, &trade_name(row)].iter().any(|known| plain(known) == plain(name));
    let rows: Vec<&SheetGood> = goods.iter().filter(called).collect();
    let exact = goods.iter().find(|row| plain(&row.id) == plain(name)).or_else(|| {
        let wanted = size(nominal?)?;
        rows.iter().copied().find(|row| size(&row.nominal) == Some(wanted))
    });
    // Without a name in the trade, the row nearest in thickness lends its figures.
    let near = || rows.iter().copied().min_by_key(|row| thickness.map(|thickness| (row.thickness - thickness).abs()));
    if let Some(row) = exact {
        return Some(Material::of(row, Some(row.thickness)));
    }
    if let Some(row) = thickness.and_then(|_| near()).or_else(|| rows.first().copied()) {
        return Some(Material::of(row, None));
    }
    let usual = match plain(name).as_str() {
        "softwood" => USUAL_SOFTWOOD,
        "hardwood" => USUAL_HARDWOOD,
        other => other,
    }
    .to_owned();
    let wood = library.woods_like(&usual).into_iter().next()?;
    let soft = SOFTWOODS.iter().any(|soft| wood.id.split([' ', ',', '-']).any(|word| word == *soft));
    Some(Material {
        name: name.trim().to_owned(),
        kind: if soft { MaterialKind::Softwood } else { MaterialKind::Hardwood },
        thickness: None,
        density: wood.density,
        elasticity: wood.elasticity?,
        source: wood.source.clone(),
    })
}

/// What the material of a job or a pile turned out to be.
pub struct Material {
    /// Name as printed.
    pub name: String,
    /// What it is.
    pub kind: MaterialKind,
    /// Actual thickness, where the name settles it.
    pub thickness: Option<Length>,
    /// Density, kg/m3.
    pub density: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
    /// Where the figures come from.
    pub source: String,
}

impl Material {
    fn of(row: &SheetGood, thickness: Option<Length>) -> Material {
        Material {
            name: trade_name(row),
            kind: row.kind,
            thickness,
            density: row.density,
            elasticity: row.elasticity,
            source: row.source.clone(),
        }
    }
}

/// The cheapest thin sheets are tried first.
fn buying_order(kind: MaterialKind) -> u8 {
    match kind {
        MaterialKind::Hardboard => 0,
        MaterialKind::Plywood => 1,
        _ => 2,
    }
}

/// A material's name as the sheet prints it.
fn trade_name(row: &SheetGood) -> String {
    match row.material.as_str() {
        "mdf" => "MDF".to_owned(),
        other => match other.split_once(", ") {
            Some((noun, kind)) => format!("{kind} {noun}"),
            None => other.to_owned(),
        },
    }
}

fn bought(row: &SheetGood, layers: u32) -> Stock {
    let nominal = row.nominal.strip_suffix(" in").unwrap_or(&row.nominal);
    let name = trade_name(row);
    Stock {
        name: if layers > 1 { format!("{name} {layers} x {nominal}") } else { format!("{name} {nominal}") },
        kind: row.kind,
        thickness: row.thickness,
        layers,
        length: None,
        width: None,
        count: None,
        calipered: false,
        density: row.density,
        elasticity: row.elasticity,
    }
}
