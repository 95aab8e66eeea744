//! The blank and the cut: what was measured, how sure it is, and whether it agrees with itself.

use super::build::{Builder, JUDGEMENT, Load, PRACTICE};
use super::outline::OUTLINE_KEYS;
use super::{Angle, Blank, Carve, Shape, Through};
use crate::diagnostic::{Severity, nearest, quoted};
use crate::geometry::Rect;
use crate::geometry::path::to_mm;
use crate::length::{Length, Measured, Note, Unit};
use crate::library::reader::{Table, list};
use crate::library::{Machine, MachineKind};

/// Error of a diagonal read by tape.
const DIAGONAL_ERROR: Length = Length::inches(1, 16);
/// Readings of one face of sound wood differ by this much anyhow.
const WOOD_VARIES: Length = Length::inches(1, 64);

/// Less wood than this under a cut is worth a word. Common practice, no source.
const THIN: Length = Length::inches(1, 16);
/// Readings of a plan size that differ by more than this, and by more than this share of the size,
/// are more likely a slip than the blank. Judgement.
const SLIP: Length = Length::inches(1, 4);
const SLIP_PERCENT: i64 = 3;
/// Most that two surfaces under a roller may differ.
const ROLLER_STEP: Length = Length::inches(1, 32);

impl Builder<'_, '_> {
    /// The blank; `None` when a size it cannot do without is missing or wrong.
    pub(super) fn blank(&mut self, load: &Load<'_>) -> Option<Blank> {
        let job = self.job;
        let table = &job.blank;
        let shape = table.text("shape").unwrap_or("rectangle");
        self.stray_keys(table, shape);
        if matches!(shape, "rod" | "half-round" | "spindle") {
            self.others(table, shape, load);
            // Reported where it is stated: a round lies along the feed.
            self.angle(table, shape);
            return self.round_blank(table, shape);
        }
        let needed: &[&str] = match shape {
            "disc" => &["diameter"],
            "outline" => &[],
            "taper" => &["length", "width", "narrow-width"],
            _ => &["length", "width"],
        };
        let missing: Vec<&str> = needed.iter().copied().filter(|name| !table.has(name)).collect();
        if !missing.is_empty() {
            let message = format!("[blank] does not state {}", list(&missing));
            let help = format!("a {shape} needs {}, each such as \"9-1/16\" or \"230 mm\"", list(needed));
            self.reader.error(table.span.clone(), message, help);
        }
        let error = self.reading_error(table, &missing);
        let angle = self.angle(table, shape);
        let drawn = if shape == "outline" { self.outline(table, "blank", load) } else { None };
        let (name, others) = self.others(table, shape, load);
        let (length, width) = match (&drawn, shape) {
            (Some(drawn), _) => {
                let (length, width) = self.boxed(table, drawn, error);
                (Some(length), Some(width))
            }
            (None, "outline") => (None, None),
            (None, "disc") => {
                let diameter = self.plan_size(table, "diameter", error);
                (diameter.clone(), diameter)
            }
            _ => (self.plan_size(table, "length", error), self.plan_size(table, "width", error)),
        };
        let narrow = if shape == "taper" { self.plan_size(table, "narrow-width", error) } else { None };
        let thickness = self.thickness(table, error);
        let (length, width) = (length?, width?);
        self.likely_millimetres(table, &length, &width, thickness.as_ref());
        let shape = match (shape, narrow) {
            ("disc", _) => Shape::Disc,
            ("taper", Some(narrow)) => self.taper(table, narrow, &width),
            ("taper", None) => return None,
            ("outline", _) => Shape::Outline(drawn?),
            _ => Shape::Rectangle,
        };
        if matches!(shape, Shape::Outline(_)) {
            self.readings_told(table, &[None, None, thickness.as_ref()]);
            self.cautions.push(
                "print template.pdf, check its bars, cut the nest out of one copy, and lay the blank in it, top up, before any wood is cut"
                    .to_owned(),
            );
        } else {
            self.readings_told(table, &[Some(&length), Some(&width), thickness.as_ref()]);
        }
        let corner_radius = table.size("corner-radius").unwrap_or(Length::ZERO);
        if corner_radius * 2 > length.nominal.min(width.nominal) {
            let help = "a radius is at most half of the smaller side";
            self.reader.error(table.span_of("corner-radius"), "`corner-radius` does not fit the blank", help);
        }
        let wood = self.wood(table);
        let ((growth_length, growth_width), moves) = self.growth(table, (&length, &width, thickness.as_ref()));
        let warp = if shape == Shape::Rectangle { self.warp(table, &length, &width) } else { None };
        let slope = if shape == Shape::Rectangle { self.slope(table, thickness.as_ref(), error) } else { None };
        let second_side = self.second_side(&length, &width, shape == Shape::Rectangle);
        if slope.is_some() && second_side.is_some() {
            let help = "plane the blank parallel first, or leave `[second-side]` out";
            self.reader.error(
                table.span_of("thin-thickness"),
                "a blank that tapers in thickness is not laid on a carved face",
                help,
            );
        }
        let length = if shape == Shape::Rectangle { self.squared(table, length, &width) } else { length };
        // Last of all, for everything before speaks of the rectangle itself.
        let (shape, length, width, angle) = match angle {
            Some(degrees) if second_side.is_none() => {
                let (drawn, along, across, angle) = Angle::set(degrees, &length, &width, self.units)?;
                self.cautions.push(format!(
                    "the blank lies at {}: sizes and margins along and across are those of the box round it",
                    angle.words()
                ));
                (Shape::Outline(drawn), along, across, Some(angle))
            }
            Some(_) => {
                let help = "set the blank in line with the feed";
                self.reader.error(table.span_of("angle"), "a carved face is not turned over at an angle", help);
                return None;
            }
            None => (shape, length, width, None),
        };
        Some(Blank {
            shape,
            length,
            width,
            thickness,
            count: table.count("count").unwrap_or(1),
            name,
            others,
            wood,
            turn_free: self.choice_or(table, "turn", "locked") == "free",
            corner_radius,
            relief_height: table.size("relief-height").unwrap_or(Length::ZERO),
            fragile: table.flag("fragile").unwrap_or(false),
            irreplaceable: table.flag("irreplaceable").unwrap_or(false),
            warp,
            slope,
            strip: None,
            angle,
            second_side,
            growth_length,
            growth_width,
            moves,
        })
    }

    /// Keys that another shape needs and this one does not know.
    fn stray_keys(&mut self, table: &Table, shape: &str) {
        let warped = ["cup", "bow", "twist", "gaps", "wanted-thickness", "thin-thickness", "thick-side"];
        for name in warped.into_iter().filter(|_| shape != "rectangle") {
            if let Some(entry) = table.get(name) {
                let message = format!("`{name}` belongs to a rectangle, but the shape is a {shape}");
                self.reader.error(entry.span.clone(), message, "leave it out: other shapes are taken as flat");
            }
        }
        let strays: &[(&str, &str)] = match shape {
            "disc" => &[
                ("length", "rectangle"),
                ("width", "rectangle"),
                ("narrow-width", "taper"),
                ("wide-end", "taper"),
                ("diagonals", "rectangle"),
                ("corner-radius", "rectangle"),
            ],
            "taper" => &[("diameter", "disc"), ("diagonals", "rectangle")],
            "outline" => &[
                ("diameter", "disc"),
                ("narrow-width", "taper"),
                ("wide-end", "taper"),
                ("diagonals", "rectangle"),
                ("corner-radius", "rectangle"),
            ],
            "rod" | "half-round" | "spindle" => super::round::STRAYS,
            _ => &[("diameter", "disc"), ("narrow-width", "taper"), ("wide-end", "taper")],
        };
        let outline: &[&str] = if shape == "outline" { &[] } else { &OUTLINE_KEYS };
        let strays = strays.iter().chain(super::round::strays_of(shape)).copied();
        let strays = strays.chain(outline.iter().map(|name| (*name, "outline")));
        for (name, belongs) in strays {
            if let Some(entry) = table.get(name) {
                let message = format!("`{name}` belongs to a {belongs}, but the shape is a {shape}");
                self.reader.error(entry.span.clone(), message, format!("leave it out or set `shape = \"{belongs}\"`"));
            }
        }
    }

    pub(super) fn choice_or<'t>(&mut self, table: &'t Table, name: &str, usual: &'static str) -> &'t str {
        table.text(name).unwrap_or_else(|| {
            self.assume(&format!("blank.{name}"), usual, PRACTICE);
            usual
        })
    }

    /// Plus or minus of one reading by a method.
    pub(super) fn error_of(&self, method: &str) -> Length {
        match (method, self.units) {
            ("rule", _) => Length::inches(1, 64),
            ("caliper", _) => Length::inches(5, 1000),
            ("tape", Unit::Millimetre) => Length::micrometres(500),
            _ => Length::inches(1, 32),
        }
    }

    pub(super) fn reading_error(&mut self, table: &Table, missing: &[&str]) -> Length {
        if let Some(stated) = table.size("uncertainty") {
            return stated;
        }
        let method = table.text("measured").unwrap_or("tape");
        let error = self.error_of(method);
        if missing.is_empty() {
            if !table.has("measured") {
                self.assume("blank.measured", "tape", PRACTICE);
            }
            let shown = self.show(error);
            self.assume("blank.uncertainty", format!("{shown} either way, by {method}"), PRACTICE);
        }
        error
    }

    /// A plan size with its uncertainty filled in, its readings compared.
    pub(super) fn plan_size(&mut self, table: &Table, name: &str, error: Length) -> Option<Measured> {
        let mut size = table.measured(name)?.clone();
        let error = *size.uncertainty.get_or_insert(error);
        self.readings_agree(table, name, &size, error);
        Some(size)
    }

    /// The rule `inputs-agree` for the readings of one dimension.
    pub(super) fn readings_agree(&mut self, table: &Table, name: &str, size: &Measured, error: Length) {
        let explained = (error * 2).max(WOOD_VARIES);
        let mark = if self.units == Unit::Inch { WOOD_VARIES } else { Length::micrometres(100) };
        let share = Length::from_ticks(size.largest.ticks() / 100 * SLIP_PERCENT).down(mark);
        // Under rollers a blank may not be thicker at one place than at another by more than a step.
        let allowed = if name == "thickness" { ROLLER_STEP.max(explained) } else { SLIP.max(share).max(explained) };
        let spread = self.show(size.spread());
        if size.spread() > allowed {
            let (small, large, allowed) = (self.show(size.smallest), self.show(size.largest), self.show(allowed));
            let message =
                format!("readings of `{name}` disagree: {small} and {large} differ by {spread}, more than {allowed}");
            let round = table.text("shape").is_some_and(|shape| matches!(shape, "rod" | "half-round" | "spindle"));
            let help = match name {
                _ if round => {
                    "measure again; a round that is thicker at one end is `shape = \"spindle\"`, one that is oval \
                     is turned or planed round first"
                }
                "thickness" => "measure again; plane the blank flat, or feed it wedged level on a sled",
                "diameter" => "measure again; if the disc really is not round, give it `shape = \"outline\"`",
                _ => "measure again; if the blank really differs, give it `shape = \"taper\"`, or the larger reading",
            };
            self.reader.report(Severity::Query, table.span_of(name), message, help);
        } else if size.spread() > explained {
            let look = match name {
                "thickness" => "set the depth from the thickest place",
                "diameter" => "look for a round that is not round",
                _ => "look for taper",
            };
            self.cautions.push(format!("{name}: readings differ by {spread}: {look}"));
        }
    }

    pub(super) fn thickness(&mut self, table: &Table, plan_error: Length) -> Option<Measured> {
        let Some(mut size) = table.measured("thickness").cloned() else {
            if !table.has("thickness") {
                self.cautions.push(
                    "thickness is not known: caliper it at three corners; until then there is no depth and no cut list"
                        .to_owned(),
                );
            }
            return None;
        };
        if size.notes.contains(&Note::Approximate) {
            self.cautions.push("thickness is only approximate: set the depth from the real piece".to_owned());
        }
        if size.uncertainty.is_none() {
            // Nobody reads thousandths, or tenths of a millimetre, off a tape.
            let decimal = size.text.contains('.') || (size.text.contains(',') && size.readings == 1);
            let method = table.text("thickness-measured").or_else(|| {
                let stated = table.text("measured").filter(|stated| *stated != "trace");
                if decimal && stated != Some("caliper") { Some("caliper") } else { stated }
            });
            let method = method.unwrap_or("tape");
            let plain = table.has("uncertainty") && !table.has("thickness-measured") && !decimal;
            let error = if plain { plan_error } else { self.error_of(method) };
            size.uncertainty = Some(error);
            if !table.has("thickness-measured") && !plain {
                let shown = self.show(error);
                self.assume("blank.thickness-measured", format!("{method}, {shown} either way"), PRACTICE);
            }
            if method != "caliper" && error > Length::inches(1, 100) {
                self.cautions.push(format!("thickness was read by {method}: caliper it before setting the depth"));
            }
        }
        let error = size.uncertainty.unwrap_or(plan_error);
        self.readings_agree(table, "thickness", &size, error);
        Some(size)
    }

    /// Bare numbers of inches that no machine could take were probably meant in millimetres.
    pub(super) fn likely_millimetres(
        &mut self,
        table: &Table,
        length: &Measured,
        width: &Measured,
        thickness: Option<&Measured>,
    ) {
        if self.units != Unit::Inch {
            return;
        }
        let machines = self.library.machines();
        let longest = machines.iter().map(|machine| machine.length.max).max();
        let widest = machines.iter().map(|machine| machine.width.max).max();
        let thickest = machines.iter().map(|machine| machine.thickness.max).max();
        let bare = |size: &Measured| {
            !size.text.is_empty() && !size.text.contains(|c: char| c.is_alphabetic() || "\"'″′”“’".contains(c))
        };
        for (name, size, limit) in
            [("length", Some(length), longest), ("width", Some(width), widest), ("thickness", thickness, thickest)]
        {
            let (Some(size), Some(limit)) = (size, limit) else { continue };
            let name =
                if table.has("diameter") && (name == "width" || !table.has("length")) { "diameter" } else { name };
            if bare(size) && size.nominal > limit && table.has(name) {
                let shown = self.show(size.nominal);
                let message = format!("`{name}` {shown} is beyond any machine here: were millimetres meant?");
                let help = format!("write `{0} mm`, or `{0} in` if inches are right", size.text.trim());
                self.reader.report(Severity::Query, table.span_of(name), message, help);
            }
        }
    }

    fn taper(&mut self, table: &Table, narrow: Measured, width: &Measured) -> Shape {
        if narrow.nominal >= width.nominal {
            let help = "`width` is the wide end, `narrow-width` the other; parallel edges make a rectangle";
            self.reader.error(table.span_of("narrow-width"), "`narrow-width` is not less than `width`", help);
        }
        let wide_leads = self.choice_or(table, "wide-end", "lead") == "lead";
        Shape::Taper { narrow, wide_leads }
    }

    /// What the readings themselves give cause to say.
    pub(super) fn readings_told(&mut self, table: &Table, sizes: &[Option<&Measured>]) {
        let names = if table.has("diameter") && !table.has("length") {
            ["diameter", "diameter", "thickness"]
        } else {
            ["length", "width", "thickness"]
        };
        let mut once: Vec<&str> = Vec::new();
        for (name, size) in names.into_iter().zip(sizes) {
            let Some(size) = size else { continue };
            if size.readings == 1 && !once.contains(&name) {
                once.push(name);
            }
            for note in &size.notes {
                let told = match note {
                    Note::NotARulerMark => "is no mark on a ruler",
                    Note::InchesOverTwelve => "has more than eleven inches beside feet",
                    Note::Approximate if name != "thickness" => "is only approximate",
                    Note::Approximate | Note::OneReading | Note::Shaded => continue,
                };
                let caution = format!("{name} {} {told}: taken as {}", quoted(&size.text), self.show(size.nominal));
                if !self.cautions.contains(&caution) {
                    self.cautions.push(caution);
                }
            }
        }
        if let Some((last, rest)) = once.split_last() {
            let names = if rest.is_empty() { (*last).to_owned() } else { format!("{} and {last}", rest.join(", ")) };
            self.cautions.push(format!("one reading only of {names}: measure at three places"));
        }
    }

    /// The name of the wood as its row has it, or as typed when the table has none.
    pub(super) fn wood(&mut self, table: &Table) -> Option<String> {
        let Some(name) = table.text("wood") else {
            self.assume("blank.wood", "not known", JUDGEMENT);
            return None;
        };
        let library = self.library;
        match library.woods_like(name).as_slice() {
            [only] => return Some(only.id.clone()),
            [] => {}
            several => {
                let ids: Vec<&str> = several.iter().map(|wood| wood.id.as_str()).collect();
                let message = format!("{} could be several woods", quoted(name));
                self.reader.error(table.span_of("wood"), message, format!("write one of {}", list(&ids)));
                return None;
            }
        }
        if let Some(near) = nearest(name, library.woods().iter().map(|wood| wood.id.as_str())) {
            let help = format!("did you mean `{near}`?");
            self.reader.error(table.span_of("wood"), format!("unknown wood {}", quoted(name)), help);
        } else {
            self.cautions.push(format!("wood {} is not in the table: usual figures are used for it", quoted(name)));
        }
        Some(name.to_owned())
    }

    /// The length of a rectangle with its lean added, from its diagonals (rule `inputs-agree`).
    ///
    /// In a parallelogram with sides L and W the squares of the diagonals add up to 2(L² + W²), and
    /// differ by 4 L s, where s is how far the far edge leans along the feed.
    fn squared(&mut self, table: &Table, mut length: Measured, width: &Measured) -> Measured {
        let Some((first, second)) = table.pair("diagonals") else {
            if !table.has("diagonals") {
                self.assume("blank.diagonals", "not measured: taken as square", PRACTICE);
            }
            return length;
        };
        let (l, w) = (length.nominal.to_mm(), width.nominal.to_mm());
        let (d1, d2) = (first.to_mm(), second.to_mm());
        let expected = libm::hypot(l, w);
        let found = ((d1 * d1 + d2 * d2) / 2.0).sqrt();
        let allowed = DIAGONAL_ERROR.to_mm();
        if (found - expected).abs() > allowed {
            let shown =
                |mm: f64| Length::from_mm(mm).map_or_else(String::new, |length| self.show(length.nearest(WOOD_VARIES)));
            let (expected, found) = (shown(expected), shown(found));
            let message =
                format!("the diagonals do not fit the sides: about {found} measured, {expected} by length and width");
            let help = "measure length, width and both diagonals again";
            self.reader.error(table.span_of("diagonals"), message, help);
            return length;
        }
        let lean = (d1 * d1 - d2 * d2).abs() / (4.0 * l);
        if lean > allowed
            && let Some(lean) = Length::from_mm(lean)
        {
            let lean = lean.up(Length::inches(1, 1024));
            length.largest += lean;
            let shown = self.show(lean.up(WOOD_VARIES));
            self.cautions.push(format!("blank is out of square by {shown} along its length: room is left for it"));
        }
        length
    }

    /// What is to be cut; sizes of a missing blank are taken as nothing and judged no further.
    pub(super) fn carve(&mut self, blank: Option<&Blank>, machine: Option<&Machine>) -> Carve {
        if let Some(machine) = machine.filter(|machine| machine.takes_whole_face()) {
            return self.whole_face(blank, machine);
        }
        let job = self.job;
        let table = &job.carve;
        let through = match table.text("through") {
            Some("inside") => Through::Inside,
            Some("all-round") => Through::AllRound,
            _ => Through::No,
        };
        if through != Through::No && self.reader.source.slice(&table.span_of("through")) == "true" {
            self.assume("carve.through", "all round: the part comes free", "the stricter reading of `true`");
        }
        let inches = Length::inches;
        let cutter = self.size_or(table, ("carve", "cutter"), inches(1, 4), inches(1, 4), PRACTICE);
        let overrun = self.size_or(table, ("carve", "overrun"), inches(1, 16), inches(1, 16), PRACTICE);
        let penetration = if through == Through::No {
            table.size("penetration").unwrap_or(Length::ZERO)
        } else {
            self.size_or(table, ("carve", "penetration"), inches(1, 32), inches(1, 32), PRACTICE)
        };
        let depth = self.depth(table, blank, through);
        let mut carve = Carve {
            length: Length::ZERO,
            width: Length::ZERO,
            margin_lead: Length::ZERO,
            margin_trail: Length::ZERO,
            margin_fence: Length::ZERO,
            margin_far: Length::ZERO,
            stated: false,
            depth,
            through,
            penetration,
            cutter,
            flute: table.size("flute"),
            overrun,
            finest: table.size("finest"),
        };
        if let Some(blank) = blank {
            self.area(table, blank, &mut carve);
        }
        carve
    }

    /// What knives or a drum take off: a depth over the whole face, and nothing else to be said.
    fn whole_face(&mut self, blank: Option<&Blank>, machine: &Machine) -> Carve {
        let job = self.job;
        let table = &job.carve;
        let what = match machine.kind {
            MachineKind::DrumSander => "a drum sander",
            MachineKind::Planer | MachineKind::Carver => "a thickness planer",
        };
        if table.text("through").is_some_and(|through| through != "no") {
            let help = "leave `through` out; saw the part free afterwards";
            self.reader.error(
                table.span_of("through"),
                format!("{what} takes a layer off: it cannot cut through"),
                help,
            );
        }
        for name in [
            "length",
            "width",
            "from-lead",
            "from-fence",
            "cutter",
            "flute",
            "overrun",
            "penetration",
            "feed",
            "speed",
            "pass",
            "finest",
        ] {
            if table.has(name) {
                let message = format!("{what} takes the whole face: `{name}` means nothing to it");
                self.reader.error(table.span_of(name), message, "leave it out; only `depth` counts");
            }
        }
        let (length, width) = blank.map_or((Length::ZERO, Length::ZERO), |blank| {
            self.assume("carve.length", "the whole face, carrier and all", PRACTICE);
            (blank.length.nominal, blank.width.nominal)
        });
        let depth = if table.has("depth") {
            self.depth(table, blank, Through::No)
        } else {
            let depth = Length::inches(1, 32).min(machine.depth);
            let shown = self.show(depth);
            self.assume("carve.depth", shown, "1/32 in, or the deepest pass if that is less: common practice");
            depth
        };
        Carve {
            length,
            width,
            margin_lead: Length::ZERO,
            margin_trail: Length::ZERO,
            margin_fence: Length::ZERO,
            margin_far: Length::ZERO,
            stated: false,
            depth,
            through: Through::No,
            penetration: Length::ZERO,
            cutter: Length::ZERO,
            flute: None,
            overrun: Length::ZERO,
            finest: None,
        }
    }

    fn depth(&mut self, table: &Table, blank: Option<&Blank>, through: Through) -> Length {
        let thickness = blank.and_then(Blank::thinnest);
        let relief = blank.map_or(Length::ZERO, |blank| blank.relief_height);
        let Some(depth) = table.size("depth") else {
            let quarter = Length::inches(1, 4);
            let third =
                thickness.map(|thickness| Length::from_ticks(thickness.ticks() / 3).down(Length::inches(1, 1024)));
            let depth = third.map_or(quarter, |third| third.min(quarter)) + relief;
            if !table.has("depth") {
                let shown = self.show(depth);
                self.assume("carve.depth", shown, "a quarter inch, or a third of the thickness if less: judgement");
            }
            return depth;
        };
        let left = thickness.map(|thickness| thickness + relief - depth);
        if let (Some(thickness), true) = (thickness, through == Through::No && left == Some(Length::ZERO)) {
            let thick = self.show(thickness + relief);
            let message = format!("`depth` leaves nothing of the blank, which is {thick} thick");
            let help = "carve less deep, or if the cut goes through, set `through = \"inside\"` or `\"all-round\"`";
            self.reader.error(table.span_of("depth"), message, help);
        }
        if let (Some(left), true) = (left.filter(|left| *left > Length::ZERO), through == Through::No) {
            let shown = self.show(left);
            if left < THIN {
                self.cautions.push(format!("only {shown} of wood is left under the deepest cut"));
            }
            if blank.is_some_and(|blank| blank.second_side.is_some()) {
                self.cautions.push(format!(
                    "the face below is cut already: {shown} less its deepest cut is all the wood left between the two"
                ));
            }
        }
        if let Some(thickness) = thickness
            && through == Through::No
            && depth > thickness + relief
        {
            let (deep, thick) = (self.show(depth), self.show(thickness + relief));
            let place = if blank.is_some_and(|blank| blank.slope.is_some()) { " at its thin end" } else { "" };
            let message = format!("`depth` {deep} is more than the blank is thick{place}, {thick}");
            let help = "if the cut goes through, set `through = \"inside\"` or `\"all-round\"`";
            self.reader.error(table.span_of("depth"), message, help);
        }
        depth
    }

    /// The carve area and its margins.
    fn area(&mut self, table: &Table, blank: &Blank, carve: &mut Carve) {
        let (whole_length, whole_width) = (blank.length.nominal, blank.width.nominal);
        carve.stated = table.has("length") || table.has("width");
        (carve.length, carve.width) = (whole_length, whole_width);
        for (place, size) in [("from-lead", "length"), ("from-fence", "width")] {
            if table.get(place).is_some() && !table.has(size) {
                let message = format!("`{place}` places an area whose `{size}` is not stated");
                self.reader.error(table.span_of(place), message, format!("state `{size}` under `[carve]` too"));
            }
        }
        if !carve.stated {
            self.assume("carve.length", "the whole blank: no margin is credited", PRACTICE);
            self.round_area(table, blank, carve);
            return;
        }
        carve.length = table.size("length").unwrap_or(whole_length);
        let spare = whole_length - carve.length;
        carve.margin_lead = table.size("from-lead").unwrap_or(spare.half());
        carve.margin_trail = spare - carve.margin_lead;
        // Of a taper only the width at the area's narrow end counts.
        let room = match &blank.shape {
            Shape::Taper { narrow, wide_leads } => {
                let margin = if *wide_leads { carve.margin_trail } else { carve.margin_lead };
                let from_narrow = margin.or_zero().to_mm() / whole_length.to_mm().max(1e-6);
                let gain = (whole_width - narrow.nominal).to_mm() * from_narrow.min(1.0);
                narrow.nominal + Length::from_mm(gain).unwrap_or(Length::ZERO).down(Length::inches(1, 1024))
            }
            Shape::Rectangle | Shape::Disc | Shape::Outline(_) | Shape::Round(_) => whole_width,
        };
        carve.width = table.size("width").unwrap_or(room);
        let spare = room - carve.width;
        carve.margin_fence = table.size("from-fence").unwrap_or(spare.half());
        let within_room = spare - carve.margin_fence;
        // Margins are measured from the blank's bounds, which a taper fills only at its wide end.
        carve.margin_far = within_room + (whole_width - room);
        for (size, place, of) in [("length", "from-lead", "lead end"), ("width", "from-fence", "fence edge")] {
            if !table.has(size) {
                self.assume(&format!("carve.{size}"), "the whole blank", PRACTICE);
            } else if !table.has(place) {
                self.assume(&format!("carve.{place}"), format!("centred, from the {of}"), PRACTICE);
            }
        }
        if let (Some(_), Shape::Outline(drawn)) = (&blank.angle, &blank.shape) {
            let area = Rect::sized(carve.margin_lead, carve.margin_fence, carve.length, carve.width);
            if area.corners().iter().any(|corner| !drawn.path.contains(to_mm(*corner))) {
                self.cautions.push(
                    "the carve area reaches past the blank's slanting edges: the cutter runs into the carrier there"
                        .to_owned(),
                );
            }
        }
        for (name, size, from, margin, room) in [
            ("length", carve.length, carve.margin_lead, carve.margin_trail, whole_length),
            ("width", carve.width, carve.margin_fence, within_room, room),
        ] {
            if margin < Length::ZERO || from < Length::ZERO {
                let (size, from, room) = (self.show(size), self.show(from.or_zero()), self.show(room));
                let message = format!(
                    "the carve area is not inside the blank: {name} {size}, begun {from} from the blank's edge, of {room}"
                );
                self.reader.error(table.span_of(name), message, "make the area smaller or move it");
                return;
            }
        }
        self.round_area(table, blank, carve);
    }
}
