//! One sheet as SVG: size and coordinates in millimetres, text as text.

use std::fmt::Write;

use svg::node::Blob;
use svg::node::element::{Circle, Description, Group, Path, Rectangle, TSpan, Text as TextElement, Title};
use svg::{Document, Node};

use crate::drawing::{At, Ink, Item, Line, Page, Text, Weight, figure, font, hatch_lines};

/// Writes one sheet as SVG.
pub fn render(page: &Page) -> String {
    let flip = |p: At| (p.x, page.height - p.y);
    let mut sheet = Group::new().set("fill", "none").set("stroke", "black").set("stroke-miterlimit", "10");
    for item in page.items() {
        match item {
            Item::Path { points, closed, line } => {
                let data = path_data(&points.iter().map(|p| flip(*p)).collect::<Vec<_>>(), *closed);
                sheet.append(stroked(Path::new().set("d", data), *line));
            }
            Item::Circle { centre, radius, line } => {
                let (x, y) = flip(*centre);
                if !line.dashes().is_empty() {
                    // Dashes begin at the right and run counter-clockwise, as in the PDF; of a circle they
                    // would run the other way.
                    let (r, left, right) = (number(*radius), number(x - radius), number(x + radius));
                    let y = number(y);
                    let data = format!("M{right} {y}A{r} {r} 0 1 0 {left} {y}A{r} {r} 0 1 0 {right} {y}Z");
                    sheet.append(stroked(Path::new().set("d", data), *line));
                    continue;
                }
                let circle = Circle::new().set("cx", number(x)).set("cy", number(y)).set("r", number(*radius));
                sheet.append(stroked(circle, *line));
            }
            Item::Solid { points, ink } => {
                let data = path_data(&points.iter().map(|p| flip(*p)).collect::<Vec<_>>(), true);
                let fill = if *ink == Ink::Black { "black" } else { "white" };
                sheet.append(Path::new().set("d", data).set("fill", fill).set("stroke", "none"));
            }
            Item::Hatched { rings, hatch } => {
                let mut data = String::new();
                for (a, b) in hatch_lines(rings, *hatch) {
                    data += &path_data(&[flip(a), flip(b)], false);
                }
                if !data.is_empty() {
                    sheet.append(stroked(Path::new().set("d", data), Line::Hatch));
                }
            }
            Item::Text(text) => letter(&mut sheet, text, flip),
        }
    }
    let (width, height) = (number(page.width), number(page.height));
    let paper = Rectangle::new().set("width", width.as_str()).set("height", height.as_str()).set("fill", "white");
    let document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", "DejaVu Sans, sans-serif")
        .set("xml:lang", "en")
        .add(Title::new(font::printable(&page.title)))
        .add(Description::new().add(svg::node::Text::new("One unit is one millimetre on paper.")))
        .add(paper)
        .add(sheet);
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
}

fn letter(sheet: &mut Group, text: &Text, flip: impl Fn(At) -> (f64, f64)) {
    // Start and length are given, so that another font keeps the layout.
    let (x, y) = flip(text.start());
    let set = text.stacked.then(|| figure::set(text));
    let mut element = TextElement::new(if set.is_some() { "" } else { text.text.as_str() })
        .set("x", number(x))
        .set("y", number(y))
        .set("font-size", number(font::size(text.height)))
        .set("fill", "black")
        .set("stroke", "none");
    if text.weight == Weight::Bold {
        element = element.set("font-weight", "bold");
    }
    let turn = format!("rotate(-90 {} {})", number(x), number(y));
    if text.upwards {
        element = element.set("transform", turn.as_str());
    }
    let Some(set) = set else {
        sheet.append(element.set("textLength", number(text.width())));
        return;
    };
    for run in set.runs {
        let mut span = TSpan::new(run.text.as_str())
            .set("x", number(x + run.x))
            .set("y", number(y - run.y))
            .set("font-size", number(font::size(run.height)));
        if run.shown {
            span = span.set("textLength", number(font::width(&run.text, run.height, text.weight)));
        } else {
            span = span.set("fill", "none");
        }
        element = element.add(span);
    }
    // No white space between the pieces, which would part the text where it is searched.
    sheet.append(Blob::new(element.to_string().replace(">\n<", "><")));
    for (from, to, high) in set.bars {
        let data = path_data(&[(x + from, y - high), (x + to, y - high)], false);
        let mut bar = stroked(Path::new().set("d", data), Line::Bar);
        if text.upwards {
            bar = bar.set("transform", turn.as_str());
        }
        sheet.append(bar);
    }
}

fn stroked<N: Node>(mut node: N, line: Line) -> N {
    node.assign("stroke-width", number(line.width()));
    let dashes: Vec<String> = line.dashes().iter().map(|dash| number(*dash)).collect();
    if !dashes.is_empty() {
        node.assign("stroke-dasharray", dashes.join(" "));
    }
    node
}

/// A coordinate to a thousandth of a millimetre, without a needless tail.
fn number(value: f64) -> String {
    let rounded = libm::rint(value * 1000.0) / 1000.0;
    // Adding zero turns -0 into 0.
    format!("{}", rounded + 0.0)
}

fn path_data(points: &[(f64, f64)], closed: bool) -> String {
    let mut data = String::new();
    for (place, (x, y)) in points.iter().enumerate() {
        let command = if place == 0 { 'M' } else { 'L' };
        // Writing to a string does not fail.
        let _ = write!(data, "{command}{} {}", number(*x), number(*y));
    }
    if closed {
        data.push('Z');
    }
    data
}
