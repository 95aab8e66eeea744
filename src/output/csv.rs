//! `cutlist.csv`: one row for each kind of part, for a spreadsheet.

use crate::design::Design;
use crate::length::Length;
use crate::output::json::grain;
use crate::request::Request;

const HEADINGS: [&str; 13] = [
    "piece",
    "name",
    "count",
    "length",
    "width",
    "thickness",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "material",
    "grain",
    "from",
    "remark",
];

/// The table, with a heading row and lines ended as RFC 4180 asks (CR LF).
pub fn render(request: &Request, design: &Design) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    table.write_record(HEADINGS)?;
    for part in &design.parts {
        let size = part.size;
        let parents: Vec<&str> = design
            .cut_list
            .parents
            .iter()
            .filter(|parent| parent.yields.iter().any(|(id, _)| *id == part.id))
            .map(|parent| parent.id.as_str())
            .collect();
        table.write_record([
            plain(&part.id),
            plain(&part.name),
            part.places.len().to_string(),
            request.shop.ruler.with_unit(size.length),
            request.shop.ruler.with_unit(size.width),
            request.shop.depth_ruler.with_unit(size.thickness),
            millimetres(size.length),
            millimetres(size.width),
            millimetres(size.thickness),
            plain(&part.material),
            grain(part.grain).to_owned(),
            plain(&parents.join(" ")),
            plain(part.remark.as_deref().unwrap_or_default()),
        ])?;
    }
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

/// Millimetres to the nearest thousandth, halves away from zero.
fn millimetres(length: Length) -> String {
    format!("{:.3}", length.nearest(Length::micrometres(1)).to_mm())
}

/// Free text that a spreadsheet will not run as a formula (OWASP, "CSV Injection": cells that start
/// with `=`, `+`, `-`, `@`, tab or carriage return are led in by a single quote).
fn plain(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn free_text_is_never_a_formula() {
        // The characters are those of OWASP's page "CSV Injection".
        for text in ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx"] {
            assert_eq!(plain(text), format!("'{text}"));
        }
        assert_eq!(plain("MDF 3/4"), "MDF 3/4");
        assert_eq!(plain(""), "");
    }
}
