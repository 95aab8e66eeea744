//! The pocket table: number and datum corner of every pocket, the loads, and the layouts compared.

use super::flow::{Flow, Table};
use crate::design::{Design, Gang};
use crate::drawing::Weight;
use crate::geometry::{Lay, Outline, Point};
use crate::length::Length;
use crate::request::Request;

/// Pockets side by side in a line of the table.
const ABREAST: usize = 2;

/// The pocket sheets of a gang.
pub(super) fn pockets(flow: &mut Flow, request: &Request, design: &Design, gang: &Gang) {
    let n = |length: Length| request.shop.ruler.number(length);
    flow.heading("Pockets");
    let round = design.pockets.iter().any(|pocket| matches!(pocket.outline, Outline::Disc { .. }));
    // A nest has no corner of its own; its box is where the first one's is, moved.
    let nest = design.pockets.first().filter(|pocket| matches!(pocket.outline, Outline::Path(_)));
    let what = match nest {
        Some(_) => "Near corners of the boxes round the nests",
        None if round => "Centres",
        None => "Datum corners",
    };
    flow.paragraph(
        &format!("{what}, all from the lead end and from the fence edge: lay each out from these two, never from its neighbour."),
        Weight::Bold,
    );
    for words in crate::views::pitch_words(request, gang).iter().rev() {
        flow.paragraph(words, Weight::Regular);
    }
    for words in artwork(request, design, gang) {
        flow.paragraph(&words, Weight::Regular);
    }
    flow.gap(1.5);
    let mixed = gang.is_mixed();
    let cells: Vec<Vec<String>> = design
        .pockets
        .iter()
        .enumerate()
        .map(|(place, pocket)| {
            let bounds = pocket.outline.bounds();
            let at = match nest {
                // A box of arcs is rounded anew wherever it lies; its corner is on a mark.
                Some(_) if gang.is_free() => {
                    Point::new(bounds.x0.nearest(request.step()), bounds.y0.nearest(request.step()))
                }
                Some(first) => {
                    let there = Lay::between(&first.outline, &pocket.outline, gang.is_turned(place));
                    let room = there.rect(first.outline.bounds());
                    Point::new(room.x0, room.y0)
                }
                None if round => bounds.centre(),
                None => Point::new(bounds.x0, bounds.y0),
            };
            let turned = if gang.is_turned(place) { " turned" } else { "" };
            let kind = gang.kinds.get(gang.kind(place)).map(|kind| kind.name.clone());
            let mut line = vec![format!("{}{turned}", place + 1)];
            line.extend(kind.filter(|_| mixed));
            line.extend([n(at.x), n(at.y)]);
            line
        })
        .collect();
    let table = |abreast: usize| {
        let heads = if mixed {
            &["No.", "outline", "from lead", "from fence"][..]
        } else {
            &["No.", "from lead", "from fence"]
        };
        let mut table = Table::new(&heads.repeat(abreast));
        let lines = cells.len().div_ceil(abreast);
        for line in 0..lines {
            let none = || vec![String::new(); heads.len()];
            let cell = |column: usize| cells.get(line + column * lines).cloned().unwrap_or_else(none);
            table.rows.push((0..abreast).flat_map(cell).collect());
        }
        table
    };
    let several = table(ABREAST);
    let table = if flow.holds(&several) { several } else { table(1) };
    flow.table(&table);

    flow.heading("Loads");
    let (loads, last) = (gang.loads(), gang.last_load());
    flow.paragraph(
        &match loads {
            0 | 1 if last == gang.pockets => format!("{} blanks in one load.", gang.blanks),
            0 | 1 => format!("{} blanks in one load; the last {} pockets stay empty.", gang.blanks, gang.pockets - last),
            _ => format!(
                "{} blanks in {loads} loads: {} in each, {last} in the last. Make one carrier and load it {loads} times, or {loads} alike.",
                gang.blanks, gang.pockets
            ),
        },
        Weight::Regular,
    );
    if mixed {
        shares(flow, gang);
    }
    if gang.layouts.len() < 2 && gang.is_free() {
        flow.paragraph(&format!("Chosen for: {}.", gang.objective.words()), Weight::Regular);
        return;
    }
    flow.heading("Layouts compared");
    flow.paragraph(
        &format!("Chosen for: {}. Of each number of rows the best.", gang.objective.words()),
        Weight::Regular,
    );
    let mut table = Table::new(&["Rows x columns", "Pockets", "Loads", "Wide", "Long", "Area of one", ""]);
    for layout in &gang.layouts {
        if let Some(rule) = layout.refused {
            let none = String::new;
            table.rows.push(vec![
                format!("{} rows", layout.rows),
                none(),
                none(),
                n(layout.width),
                none(),
                none(),
                format!("NO: {}", rule.id()),
            ]);
            continue;
        }
        let kind = if layout.staggered { " staggered" } else { "" };
        let chosen = layout.rows == gang.rows
            && layout.columns == gang.columns
            && layout.staggered == (gang.shift > Length::ZERO)
            && layout.pockets == gang.pockets
            && (layout.rows == 0) == gang.is_free();
        let rows = format!("{} x {}{kind}", layout.rows, layout.columns);
        table.rows.push(vec![
            if layout.rows == 0 { "set freely".to_owned() } else { rows },
            layout.pockets.to_string(),
            layout.loads.to_string(),
            n(layout.width),
            n(layout.length),
            area(request, layout.area_mm2()),
            if chosen { "chosen" } else { "" }.to_owned(),
        ]);
    }
    flow.table(&table);
}

/// Where the artwork of a nest in no row begins: how far the box round its blank lies from its near corner.
fn artwork(request: &Request, design: &Design, gang: &Gang) -> Vec<String> {
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for (place, kind) in gang.kinds.iter().enumerate().filter(|_| gang.is_free()) {
        let lies = gang.nested.iter().zip(&design.pockets).find(|(nested, _)| nested.kind == place);
        let Some((nested, pocket)) = lies else { continue };
        let (blank, room) = (nested.blank.bounds(), pocket.outline.bounds());
        // Nests are drawn a hair smaller than asked for: no reader sets artwork that fine.
        let fine = request.shop.ruler.step.half();
        let off = |length: Length| request.shop.ruler.number(length.nearest(fine));
        let by = format!("{} along and {} across", off(blank.x0 - room.x0), off(blank.y0 - room.y0));
        match told.iter_mut().find(|(known, _)| *known == by) {
            Some((_, names)) => names.push(&kind.name),
            None => told.push((by, vec![&kind.name])),
        }
    }
    let several = told.len() > 1;
    let words = |(by, names): &(String, Vec<&str>)| {
        let whose = if several { format!("of {} ", names.join(", ")) } else { String::new() };
        format!("Artwork {whose}by the box round its blank, which begins {by} from that corner.")
    };
    told.iter().map(words).collect()
}

/// How many of each outline go into each load.
fn shares(flow: &mut Flow, gang: &Gang) {
    let mut table = Table::new(&["Outline", "Blanks", "Pockets", "Loads"]);
    for kind in &gang.kinds {
        let loads: Vec<String> = (0..gang.loads()).map(|load| gang.in_load(kind, load).to_string()).collect();
        // Full loads are all alike.
        let told = match loads.as_slice() {
            [first, .., last] if loads.len() > 4 => format!("{first} each, the last {last}"),
            _ => loads.join(", "),
        };
        table.rows.push(vec![kind.name.clone(), kind.blanks.to_string(), kind.pockets.to_string(), told]);
    }
    flow.table(&table);
}

fn area(request: &Request, square_mm: f64) -> String {
    match request.shop.ruler.unit {
        crate::length::Unit::Inch => format!("{:.1} sq in", square_mm / 645.16),
        crate::length::Unit::Millimetre => format!("{:.0} cm2", square_mm / 100.0),
    }
}
