//! Random jobs written as job files and read again: the designs are the same as without the detour.

use sledwright::length::{Length, Measured, Unit};
use sledwright::library::MachineKind;
use sledwright::request::{Request, Shape, Through, Tool, from_toml};
use sledwright::solve::solve;

use crate::jobs;

const MICROMETRE: Length = Length::micrometres(1);

/// A length as somebody might type it, exactly; `None` for one that no ruler and no caliper shows.
fn spell(length: Length) -> Option<String> {
    let (sixty_fourth, thousandth) = (Length::inches(1, 64), Length::inches(1, 1000));
    if length.is_multiple_of(sixty_fourth) {
        let parts = length.ticks() / sixty_fourth.ticks();
        let (whole, parts) = (parts / 64, parts % 64);
        return Some(match (whole, parts) {
            (whole, 0) => format!("{whole} in"),
            (0, parts) => format!("{parts}/64 in"),
            (whole, parts) => format!("{whole}-{parts}/64 in"),
        });
    }
    if length.is_multiple_of(MICROMETRE) {
        let micrometres = length.ticks() / MICROMETRE.ticks();
        return Some(format!("{}.{:03} mm", micrometres / 1000, micrometres % 1000));
    }
    length.is_multiple_of(thousandth).then(|| {
        let parts = length.ticks() / thousandth.ticks();
        format!("{}.{:03} in", parts / 1000, parts % 1000)
    })
}

/// The readings of one size: two at the smaller end where there are three, as they were made.
fn readings(size: &Measured) -> Option<String> {
    let (small, large) = (spell(size.smallest)?, spell(size.largest)?);
    let spread =
        if size.readings == 1 { format!("\"{small}\"") } else { format!("[\"{small}\", \"{small}\", \"{large}\"]") };
    Some(spread)
}

fn tool_name(tool: Tool) -> &'static str {
    match tool {
        Tool::TableSaw => "table saw",
        Tool::MitreSaw => "mitre saw",
        Tool::BandSaw => "band saw",
        Tool::Jigsaw => "jigsaw",
        Tool::DrillPress => "drill press",
        Tool::Router => "router",
        Tool::Planer => "planer",
        Tool::DrumSander => "drum sander",
        Tool::Jointer => "jointer",
        Tool::Carver => "carver",
        Tool::Chisel => "chisel",
    }
}

/// The job as a file; `None` where one of its figures has no exact spelling.
fn write(request: &Request) -> Option<String> {
    let (machine, shop, blank, carve) = (&request.machine, &request.shop, &request.blank, &request.carve);
    let mut lines: Vec<String> = Vec::new();
    let units = if request.units == Unit::Inch { "in" } else { "mm" };
    lines.push(format!("[job]\nname = \"{}\"\nunits = \"{units}\"\n[machine]\nkind = \"carver\"", request.name));
    let sizes = |table: &[(&str, Length)]| -> Option<String> {
        let lines: Option<Vec<String>> =
            table.iter().map(|(key, size)| Some(format!("{key} = \"{}\"", spell(*size)?))).collect();
        Some(lines?.join("\n"))
    };
    lines.push(sizes(&[
        ("length-min", machine.length.min),
        ("length-max", machine.length.max),
        ("width-min", machine.width.min),
        ("width-max", machine.width.max),
        ("thickness-min", machine.thickness.min),
        ("thickness-max", machine.thickness.max),
        ("length-guard", machine.length_guard),
        ("width-guard", machine.width_guard),
        ("thickness-guard", machine.thickness_guard),
        ("cutter-to-roller", machine.cutter_to_roller),
        ("grip-wanted", machine.grip_wanted),
        ("grip-least", machine.grip_least),
        ("roller-radius", machine.roller_radius),
        ("strip", machine.strip),
        ("window-near", machine.window.min),
        ("window-far", machine.window.max),
        ("depth", machine.depth),
        ("stick-out", machine.stick_out),
        ("holder-radius", machine.holder_radius),
        ("guide-gap", machine.guide_gap),
        ("bed-length", machine.bed_length),
        ("bed-gap", machine.bed_gap),
    ])?);
    lines.push(format!("strip-joint-tolerated = {}\n[shop]", machine.strip_joint_tolerated));
    let ruler = |ruler: &sledwright::length::Ruler| -> Option<String> {
        Some(match ruler.unit {
            Unit::Inch if ruler.decimal => format!("{:.3}", ruler.step.to_inches()),
            Unit::Inch => format!("1/{}", Length::INCH.ticks() / ruler.step.ticks()),
            Unit::Millimetre => spell(ruler.step)?,
        })
    };
    lines.push(format!("ruler = \"{}\"\ndepth-ruler = \"{}\"", ruler(&shop.ruler)?, ruler(&shop.depth_ruler)?));
    lines.push(sizes(&[
        ("tolerance", shop.tolerance),
        ("kerf", shop.kerf),
        ("clearance", shop.clearance),
        ("planer-shortest", shop.planer_shortest),
        ("sander-shortest", shop.sander_shortest),
        ("planer-thinnest", shop.planer_thinnest),
        ("planer-widest", shop.planer_widest),
        ("sander-widest", shop.sander_widest),
        ("saw-height", shop.saw_height),
        ("mitre-saw-width", shop.mitre_width),
        ("mitre-saw-height", shop.mitre_height),
        ("pocket-cutter", shop.pocket_cutter),
    ])?);
    let tools: Vec<String> = shop.tools.iter().map(|tool| format!("\"{}\"", tool_name(*tool))).collect();
    lines.push(format!("tools = [{}]\n[blank]", tools.join(", ")));
    match &blank.shape {
        Shape::Disc => lines.push(format!("shape = \"disc\"\ndiameter = {}", readings(&blank.length)?)),
        shape => {
            lines.push(format!("length = {}\nwidth = {}", readings(&blank.length)?, readings(&blank.width)?));
            lines.push(format!("corner-radius = \"{}\"", spell(blank.corner_radius)?));
            if let Shape::Taper { narrow, wide_leads } = shape {
                let end = if *wide_leads { "lead" } else { "trail" };
                lines.push(format!("shape = \"taper\"\nnarrow-width = {}\nwide-end = \"{end}\"", readings(narrow)?));
            }
        }
    }
    lines.push(format!("uncertainty = \"{}\"", spell(blank.length.uncertainty?)?));
    if let Some(thickness) = &blank.thickness {
        lines.push(format!("thickness = {}", readings(thickness)?));
    }
    lines.push(format!("turn = \"{}\"", if blank.turn_free { "free" } else { "locked" }));
    lines.push(format!("relief-height = \"{}\"\nfragile = {}", spell(blank.relief_height)?, blank.fragile));
    lines.push(format!("count = {}\nirreplaceable = {}\n[carve]", blank.count, blank.irreplaceable));
    if carve.stated {
        lines.push(sizes(&[
            ("length", carve.length),
            ("width", carve.width),
            ("from-lead", carve.margin_lead),
            ("from-fence", carve.margin_fence),
        ])?);
    }
    let through = match carve.through {
        Through::No => "no",
        Through::Inside => "inside",
        Through::AllRound => "all-round",
    };
    lines.push(sizes(&[
        ("depth", carve.depth),
        ("penetration", carve.penetration),
        ("cutter", carve.cutter),
        ("overrun", carve.overrun),
    ])?);
    lines.push(format!("through = \"{through}\""));
    if let Some(flute) = carve.flute {
        lines.push(format!("flute = \"{}\"", spell(flute)?));
    }
    if let Some(hold) = request.hold {
        lines.push(format!("[hold]\nby = \"{}\"", hold.id()));
        if let Some(thickness) = request.hold_thickness {
            lines.push(format!("thickness = \"{}\"", spell(thickness)?));
        }
    }
    lines.push(format!("[carrier]\nobjective = \"{}\"", request.objective.id()));
    if let Some(construction) = &request.construction {
        lines.push(format!("construction = \"{construction}\""));
    }
    Some(lines.join("\n") + "\n")
}

#[test]
fn a_job_written_down_and_read_again_gives_the_same_designs() {
    let (mut compared, mut wrong, mut refused) = (0, Vec::new(), Vec::new());
    for number in 0..crate::JOBS / 2 {
        let mut request = jobs::job(number);
        if request.machine.kind != MachineKind::Carver {
            continue;
        }
        // Growth follows from moisture in a file, and a thickness is read as the rest is.
        request.blank.growth_width = Length::ZERO;
        request.blank.moves = Default::default();
        let uncertainty = request.blank.length.uncertainty;
        if let Some(thickness) = &mut request.blank.thickness {
            thickness.uncertainty = uncertainty;
        }
        let Some(text) = write(&request) else { continue };
        let read = match from_toml(&text, "job.toml", &|_| Err("no other files".to_owned())) {
            Ok(read) => read,
            Err(report) => {
                refused.push(format!("job {number}: {report:?}"));
                continue;
            }
        };
        // What the library lists is its own; estimates and thickness rules follow from the file.
        request.stock.clone_from(&read.stock);
        request.board.clone_from(&read.board);
        request.screws.clone_from(&read.screws);
        request.shop.estimates = read.shop.estimates;
        request.assumptions.clone_from(&read.assumptions);
        request.cautions.clone_from(&read.cautions);
        if let (Some(ours), Some(theirs)) = (&mut request.blank.thickness, &read.blank.thickness) {
            ours.uncertainty = theirs.uncertainty;
        }
        compared += 1;
        if solve(&request).designs != solve(&read).designs {
            wrong.push(format!("job {number}:\n{text}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared > 300, "only {compared} compared; refused: {}", refused.join("\n"));
}
