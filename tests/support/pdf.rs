//! What a page of a PDF strokes, by its operators alone.

use lopdf::content::Content;

/// A place on the paper, mm.
pub type Spot = (f64, f64);

/// Points per millimetre: one unit of a PDF is 1/72 in (ISO 32000-1, 8.3.2.3).
const POINT: f64 = 25.4 / 72.0;

/// A straight line on a page, in mm of the paper, with its width and whether it is dashed.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    pub a: Spot,
    pub b: Spot,
    pub width: f64,
    pub dashed: bool,
}

/// What a page strokes.
#[derive(Debug, Default)]
pub struct Strokes {
    pub lines: Vec<Line>,
    /// Ends of curved pieces, with the width of their line.
    pub curved: Vec<(Spot, f64)>,
}

/// The lines a page strokes (ISO 32000-1, table 59 and 60), under whatever transformation is in force.
pub fn strokes(document: &lopdf::Document, page: lopdf::ObjectId) -> Strokes {
    let content = Content::decode(&document.get_page_content(page)).expect("content");
    let mut matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut width, mut dashed) = (1.0, false);
    let mut saved = Vec::new();
    let mut path: Vec<Vec<Spot>> = Vec::new();
    let mut ends: Vec<Spot> = Vec::new();
    let mut found = Strokes::default();
    for operation in &content.operations {
        let n: Vec<f64> =
            operation.operands.iter().filter_map(|operand| operand.as_float().ok().map(f64::from)).collect();
        let at = |x: f64, y: f64| -> Spot {
            ((matrix[0] * x + matrix[2] * y + matrix[4]) * POINT, (matrix[1] * x + matrix[3] * y + matrix[5]) * POINT)
        };
        match operation.operator.as_str() {
            "q" => saved.push((matrix, width, dashed)),
            "Q" => (matrix, width, dashed) = saved.pop().expect("saved before"),
            "cm" => {
                let m = matrix;
                matrix = [
                    n[0] * m[0] + n[1] * m[2],
                    n[0] * m[1] + n[1] * m[3],
                    n[2] * m[0] + n[3] * m[2],
                    n[2] * m[1] + n[3] * m[3],
                    n[4] * m[0] + n[5] * m[2] + m[4],
                    n[4] * m[1] + n[5] * m[3] + m[5],
                ];
            }
            "w" => width = n[0] * POINT,
            "d" => dashed = !operation.operands[0].as_array().expect("dashes").is_empty(),
            "m" => path.push(vec![at(n[0], n[1])]),
            "l" => path.last_mut().expect("begun").push(at(n[0], n[1])),
            "c" => {
                let end = at(n[4], n[5]);
                ends.push(end);
                path.push(vec![end]);
            }
            "v" | "y" => panic!("a curve of a kind that is never written"),
            "h" => {
                let run = path.last_mut().expect("begun");
                run.push(run[0]);
            }
            operator @ ("S" | "s") => {
                for run in &mut path {
                    if operator == "s" {
                        run.push(run[0]);
                    }
                    let straight = run.windows(2).filter(|p| p[0] != p[1]);
                    found.lines.extend(straight.map(|p| Line { a: p[0], b: p[1], width, dashed }));
                }
                found.curved.extend(ends.drain(..).map(|end| (end, width)));
                path.clear();
            }
            "f" | "F" | "f*" | "n" | "B" | "b" | "B*" | "b*" => {
                path.clear();
                ends.clear();
            }
            _ => {}
        }
    }
    found
}
