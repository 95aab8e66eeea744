//! Sheets of hand-made designs: nothing overlaps, nothing is lost, the figures are the ones worked by hand,
//! and PDF and SVG are sound and the same every time.

mod designs;
mod mode;
#[path = "../support/mod.rs"]
mod support;

use designs::*;
use sledwright::design::Design;
use sledwright::drawing::{Item, Page, Text};
use sledwright::output::{pdf, svg};
use sledwright::request::Paper;
use sledwright::sheet::{overlaps, sheets, template};

fn words(page: &Page) -> Vec<&str> {
    let text = |item: &'_ Item| matches!(item, Item::Text(_));
    let items = page.picture.items.iter().filter(|item| text(item));
    items.filter_map(|item| if let Item::Text(text) = item { Some(text.text.as_str()) } else { None }).collect()
}

fn meta() -> pdf::Meta {
    pdf::Meta { title: "Gull plaque: ½ in".to_owned(), language: "en".to_owned(), created: None }
}

#[test]
fn nothing_overlaps_is_struck_through_or_runs_off_the_frame() {
    for (name, request, design) in samples() {
        for page in sheets(&request, &design).into_iter().chain(template(&request, &design)) {
            let found = overlaps(&page);
            assert!(found.is_empty(), "{name}, {}: {found:#?}", page.title);
        }
    }
}

#[test]
fn the_check_of_sheets_reports_what_is_wrong() {
    // A text written twice, a text with a line through it, and one beyond the frame.
    let mut page = sheets(&request("Gull plaque", Paper::Letter), &none()).remove(0);
    let text = |x: f64| sledwright::drawing::Text::new(sledwright::drawing::at(x, 60.0), 3.5, "twice");
    page.picture.items = vec![Item::Text(text(50.0)), Item::Text(text(52.0)), Item::Text(text(page.width - 5.0))];
    let line = vec![sledwright::drawing::at(150.0, 61.0), sledwright::drawing::at(170.0, 61.0)];
    page.picture.items.push(Item::Text(text(155.0)));
    page.picture.items.push(Item::Path { points: line, closed: false, line: sledwright::drawing::Line::Thin });
    let found = overlaps(&page);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(found.iter().any(|what| what.contains("overlaps")));
    assert!(found.iter().any(|what| what.contains("struck")));
    assert!(found.iter().any(|what| what.contains("outside")));
}

#[test]
fn no_lettering_is_lower_than_three_and_a_half_millimetres_but_that_of_the_reasons() {
    for (name, request, design) in samples() {
        for page in sheets(&request, &design).into_iter().chain(template(&request, &design)) {
            let least = if page.title.to_lowercase().contains("reasons") { 2.5 } else { 3.5 };
            for item in &page.picture.items {
                if let Item::Text(text) = item {
                    assert!(text.height >= least, "{name}: {}", text.text);
                }
            }
        }
    }
}

#[test]
fn the_bench_sheet_carries_the_figures_worked_by_hand() {
    // The overview and the first bench sheet.
    let pages = sheets(&request("Gull plaque", Paper::Letter), &blind_pocket());
    let words: Vec<&str> = pages.iter().take(2).flat_map(words).collect();
    let all = words.join(" ").replace('\u{a0}', " ");
    // 17-1/16 in = 433.3875 mm, 7-9/16 in = 192.0875 mm, 1 in = 25.4 mm.
    let wanted =
        ["17-1/16 in", "7-9/16 in", "1 in", "(433.4 mm)", "(192.1 mm)", "(25.4 mm)", "FENCE", "LEAD END", "FEED"];
    for figure in wanted {
        assert!(words.contains(&figure), "{figure} is missing from {words:?}");
    }
    // Ordinates along: 0, 4, 4 + 9-1/16 = 13-1/16, 17-1/16; across: 3/4, 3/4 + 6-1/16 = 6-13/16, 7-9/16.
    for figure in ["0", "4", "13-1/16", "17-1/16", "3/4", "6-13/16", "7-9/16"] {
        assert!(words.contains(&figure), "{figure} is missing from {words:?}");
    }
    let sheets = sheets(&request("Gull plaque", Paper::Letter), &blind_pocket());
    let all_sheets = sheets.iter().flat_map(self::words).collect::<Vec<_>>().join(" ").replace('\u{a0}', " ");
    assert!(all_sheets.contains("along 4 + 9 + 1/16 + 4 = 17-1/16"), "{all}");
    assert!(all_sheets.contains("across 3/4 + 6 + 1/16 + 3/4 = 7-9/16"), "{all}");
    // Three of the machine's figures are guesses.
    assert!(words.contains(&"MEASURE MACHINE"));
    assert!(all.contains("MACHINE FIGURES NOT CONFIRMED: cutter-to-roller, strip, window"), "{all}");
    assert!(all_sheets.contains("POCKET DEPTH 3/4 (0.750)"), "{all_sheets}");
    let mut measured = request("Gull plaque", Paper::Letter);
    measured.machine.unconfirmed.clear();
    let page = sledwright::sheet::sheets(&measured, &blind_pocket()).remove(0);
    assert!(self::words(&page).contains(&"READY TO BUILD"));
}

/// All lettering of the sheets whose title begins so.
fn lettering(pages: &[Page], title: &str) -> String {
    let pages = pages.iter().filter(|page| page.title.starts_with(title));
    pages.flat_map(words).collect::<Vec<_>>().join(" ")
}

/// All lettering in the frame of the machine card.
fn card_of(pages: &[Page]) -> String {
    for page in pages {
        let texts: Vec<&Text> = page.picture.items.iter().filter_map(text_of).collect();
        let Some(heading) = texts.iter().find(|text| text.text == "MACHINE CARD") else { continue };
        let mut boxes = page.picture.items.iter().filter_map(|item| match item {
            Item::Path { points, closed: true, .. } if points.len() == 4 => Some(item.area()),
            _ => None,
        });
        let card = boxes.rfind(|area| area.holds(&heading.area())).expect("a frame round the card");
        let words: Vec<&str> =
            texts.iter().filter(|text| card.holds(&text.area())).map(|text| text.text.as_str()).collect();
        return words.join(" ");
    }
    panic!("no machine card")
}

fn text_of(item: &Item) -> Option<&Text> {
    if let Item::Text(text) = item { Some(text) } else { None }
}

#[test]
fn the_first_sheet_shows_every_part_once_in_its_circle_with_fence_and_lead_end() {
    for (name, request, design) in samples().into_iter().filter(|(_, _, design)| design.construction != "none") {
        let page = sheets(&request, &design).remove(0);
        assert!(page.title.starts_with("Overview"), "{name}: {}", page.title);
        // A letter of a part is alone in its text, and a circle of the size of letters is round its middle.
        let circles: Vec<_> = page
            .picture
            .items
            .iter()
            .filter_map(
                |item| if let Item::Circle { centre, radius, .. } = item { Some((centre, radius)) } else { None },
            )
            .collect();
        let lettered = |text: &sledwright::drawing::Text| {
            let area = text.area();
            circles.iter().any(|(centre, radius)| {
                area.x0 > centre.x - **radius
                    && area.x1 < centre.x + **radius
                    && (centre.y - text.at.y) < **radius
                    && centre.y > text.at.y
            })
        };
        let texts: Vec<_> = page
            .picture
            .items
            .iter()
            .filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
            .collect();
        for part in &design.parts {
            let count = texts.iter().filter(|text| text.text == part.id && lettered(text)).count();
            assert_eq!(count, 1, "{name}: {} is there {count} times", part.id);
            // The cut list and the key under the picture say the same.
            let named = format!("{} {}", part.id, part.name);
            let all = words(&page).join(" ").replace('\u{a0}', " ");
            assert!(all.contains(&named), "{name}: {named} is missing from {all}");
        }
        for word in ["FENCE", "LEAD END"] {
            assert_eq!(texts.iter().filter(|text| text.text == word).count(), 1, "{name}: {word}");
        }
    }
}

#[test]
fn a_planer_has_a_card_of_its_own() {
    let mut request = request("Box side", Paper::Letter);
    request.machine.kind = sledwright::library::MachineKind::Planer;
    request.machine.strip = sledwright::length::Length::ZERO;
    let card = card_of(&sheets(&request, &blind_pocket()));
    for word in ["Bit ", "Artwork", "Far guide", "read", "strip", "Carve area", "lands", "hatched"] {
        assert!(!card.contains(word), "{word} on the card of a planer: {card}");
    }
    // The sample's cut is 1/4 deep in a carrier of 1: 3/4 is left.
    for word in ["Depth of one pass 1/4 (0.250)", "Thickness to set 3/4 (0.750)", "Metal none above", "Snipe"] {
        assert!(card.contains(word), "{word} is missing: {card}");
    }
}

#[test]
fn a_disc_is_set_out_by_its_centre() {
    let pages = sheets(&request("Compass rose", Paper::Letter), &disc());
    let card = card_of(&pages);
    // Centre 8-1/32 from the lead end, 4-50/64 from the fence edge; 16-1/16 - 8-1/32 = 8-1/32.
    assert!(card.contains("Artwork by centre 8-1/32 from LEAD, 4-25/32 from FENCE"), "{card}");
    let bench = lettering(&pages, "Bench").replace('\u{a0}', " ");
    assert!(bench.contains("along 8-1/32 + 8-1/32 = 16-1/16"), "{bench}");
    for text in [&card, &bench] {
        assert!(!text.contains("pushed home") && !text.contains("datum corner"), "{text}");
    }
}

#[test]
fn the_card_says_where_the_carving_lands() {
    // Fence rail and lead end sawn at both edges, 2 x 1/64, origin 1/64: 3/64. Pocket 9-1/16 less the
    // smallest blank 9 - 1/32: 3/32 of play, 9/64 in all.
    let card = card_of(&sheets(&request("Gull plaque", Paper::Letter), &blind_pocket()));
    assert!(card.contains("at worst ± 3/64 along, ± 3/64 across with the blank pushed home"), "{card}");
    assert!(card.contains("else ± 9/64 and ± 9/64"), "{card}");
}

#[test]
fn a_blank_a_hair_proud_has_one_height_and_a_note() {
    let mut design = blind_pocket();
    // 0.010 in: a tenth of the room two figures would need.
    design.blank.z1 += sledwright::length::Length::inches(10, 1000);
    design.blank.highest = design.blank.z1;
    let bench = lettering(&sheets(&request("Gull plaque", Paper::Letter), &design), "Bench");
    assert!(bench.contains("Blank top proud by 0.010 in."), "{bench}");
    assert!(!bench.contains("1.010") && !bench.contains('~'), "{bench}");
}

#[test]
fn a_taper_is_dimensioned_at_both_ends() {
    let pages = sheets(&request("Oar blade", Paper::Letter), &taper());
    let words: Vec<&str> = pages.iter().flat_map(words).collect();
    // Far edge of the blank line at the lead end 1-1/4 + 6-1/3 = 7.5833, at the trail end 1-1/4 + 4-1/6 = 5.4167.
    // Neither is a mark of a 1/32 ruler: 242.67 and 173.33 thirty-seconds, told as 243 and 173.
    for figure in ["~7-19/32", "~5-13/32", "8-27/32"] {
        assert!(words.contains(&figure), "{figure} is missing from {words:?}");
    }
}

#[test]
fn without_a_measured_thickness_no_depth_and_no_cut_list_is_given() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &unmeasured());
    let words: Vec<&str> = pages.iter().flat_map(words).collect();
    assert!(words.contains(&"CALIPER FIRST"));
    assert!(words.join(" ").contains("DO NOT SET DEPTH YET"));
    assert!(!words.iter().any(|text| text.contains("0.750") || text.contains("POCKET DEPTH")), "{words:?}");
    assert!(!pages.iter().any(|page| page.title.contains("Cut") || page.title.contains("cut")));
}

#[test]
fn a_blank_that_needs_no_carrier_gets_one_sheet_that_says_so() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &none());
    assert_eq!(pages.len(), 1);
    let words = words(&pages[0]);
    let all = words.join(" ");
    assert!(all.contains("No carrier needed"), "{all}");
    assert!(all.contains("lead 5, trail 5, fence 1, far 1"), "{all}");
}

#[test]
fn a_metric_sheet_prints_no_fractions() {
    let (request, design) = metric();
    for page in sheets(&request, &design) {
        for text in words(&page) {
            // The reasons sheet of this sample carries values of an inch design.
            let fraction = text
                .split(|c: char| !c.is_ascii_digit() && c != '/')
                .any(|word| word.split_once('/').is_some_and(|(top, bottom)| !top.is_empty() && !bottom.is_empty()));
            assert!(
                !fraction || page.title.to_lowercase().contains("reasons") || text.contains("Bit 1/4"),
                "{}: {text}",
                page.title
            );
        }
    }
}

#[test]
fn the_pdf_is_sound_asks_not_to_be_scaled_and_has_true_paper_size() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &blind_pocket());
    let bytes = pdf::render(&pages, &meta()).unwrap();
    assert!(bytes.starts_with(b"%PDF-1.7"));
    let document = lopdf::Document::load_mem(&bytes).unwrap();
    assert_eq!(document.get_pages().len(), pages.len());
    let preferences = document.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
    assert_eq!(preferences.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
    assert!(document.trailer.get(b"ID").is_ok());
    for (id, page) in document.get_pages().values().zip(&pages) {
        let media = document.get_dictionary(*id).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
        // PDF 32000-1, 8.3.2.3: one unit is 1/72 in.
        for (value, mm) in media.iter().skip(2).zip([page.width, page.height]) {
            approx::assert_abs_diff_eq!(f64::from(value.as_float().unwrap()), mm / 25.4 * 72.0, epsilon = 0.01);
        }
    }
}

#[test]
fn names_of_many_scripts_and_marks_are_read_back_from_the_pdf() {
    // Read by another library, through the character maps that the PDF carries.
    let name = "Łódź Ærø, Ψαρά, Маяк: ½ Ø 45° ± ×";
    let pages = sheets(&request(name, Paper::A3), &blind_pocket());
    let document = lopdf::Document::load_mem(&pdf::render(&pages, &meta()).unwrap()).unwrap();
    for page in 1..=u32::try_from(pages.len()).unwrap() {
        let text = document.extract_text(&[page]).unwrap();
        assert!(text.contains(name), "page {page}: {text}");
    }
    // Every width is that of the font file, to a ten-thousandth of the size: a space of DejaVu Sans is 651 of
    // 2048 units, 317.87 thousandths, and of the bold face 713, 348.14 (as fonttools reads them).
    let mut widths: Vec<f32> = Vec::new();
    for font in document.objects.values().filter_map(|object| object.as_dict().ok()) {
        let Ok(below) = font.get(b"DescendantFonts").and_then(lopdf::Object::as_array) else { continue };
        let dictionary = match &below[0] {
            lopdf::Object::Reference(id) => document.get_dictionary(*id).unwrap(),
            other => other.as_dict().unwrap(),
        };
        let list = dictionary.get(b"W").unwrap().as_array().unwrap();
        widths.push(list[1].as_array().unwrap()[0].as_float().unwrap());
    }
    assert_eq!(widths.len(), 2);
    for space in [317.87, 348.14] {
        assert!(widths.iter().any(|width| (width - space).abs() < 0.01), "{widths:?}");
    }
    // Both faces are embedded, and each is a part of the whole font (ISO 32000-1, 9.6.4: six capitals and a
    // plus sign before the name).
    let fonts = document.get_page_fonts(*document.get_pages().get(&1).unwrap()).unwrap();
    assert_eq!(fonts.len(), 2);
    for font in fonts.values() {
        let base = String::from_utf8(font.get(b"BaseFont").unwrap().as_name().unwrap().to_vec()).unwrap();
        let (tag, _) = base.split_once('+').unwrap_or_else(|| panic!("{base} has no tag"));
        assert!(tag.len() == 6 && tag.chars().all(|c| c.is_ascii_uppercase()), "{base}");
    }
}

#[test]
fn every_part_has_a_figure_with_the_sizes_to_saw_it_to() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &rails_on_base());
    let text = lettering(&pages, "Parts");
    let figures: Vec<&str> = pages.iter().filter(|page| page.title.starts_with("Parts")).flat_map(words).collect();
    let design = rails_on_base();
    for part in &design.parts {
        assert_eq!(figures.iter().filter(|word| **word == part.id).count(), 1, "{} in {text}", part.id);
    }
    // Rails 18-9/16 x 3/4 x 57/64, ends 4 x 5-5/16 x 57/64, base 18-9/16 x 6-13/16 x 15/32: of each size one
    // figure in each part.
    for (figure, times) in
        [("18-9/16", 2), ("3/4", 1), ("57/64", 2), ("4", 1), ("5-5/16", 1), ("6-13/16", 1), ("15/32", 1)]
    {
        assert_eq!(figures.iter().filter(|word| **word == figure).count(), times, "{figure} in {figures:?}");
    }
    for figure in ["rail, 2 pieces", "end block, 2 pieces", "base, 1 piece"] {
        assert!(figures.contains(&figure), "{figure} is missing from {figures:?}");
    }
    // 1:1 slope: 45 degrees, from the right-angled triangle of the bevel.
    let (_, oar) = real_requests().into_iter().find(|(name, _)| name.starts_with("oar-loom")).unwrap();
    let design = sledwright::solve::solve(&oar).designs.remove(0);
    assert!(lettering(&sheets(&oar, &design), "Parts").contains("45°"));
}

#[test]
fn the_pdf_has_a_bookmark_for_every_page() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &rails_on_base());
    let document = lopdf::Document::load_mem(&pdf::render(&pages, &meta()).unwrap()).unwrap();
    // Read by the library's own table of contents.
    let found: Vec<(String, usize)> =
        document.get_toc().unwrap().toc.into_iter().map(|mark| (mark.title, mark.page)).collect();
    let expected: Vec<(String, usize)> =
        pages.iter().enumerate().map(|(place, page)| (page.title.clone(), place + 1)).collect();
    assert_eq!(found, expected);
}

#[test]
fn a_date_is_written_only_where_one_is_given() {
    let pages = sheets(&request("Gull plaque", Paper::Letter), &blind_pocket());
    let date = |created: Option<u64>| {
        let bytes = pdf::render(&pages, &pdf::Meta { created, ..meta() }).unwrap();
        let document = lopdf::Document::load_mem(&bytes).unwrap();
        let information = document.trailer.get(b"Info").unwrap().as_reference().unwrap();
        let information = document.get_dictionary(information).unwrap();
        let text = information.get(b"CreationDate").ok()?.as_str().unwrap().to_vec();
        Some(String::from_utf8(text).unwrap())
    };
    assert_eq!(date(None), None);
    // From the calendar of Python's `datetime`: leap days, the last second of a day, a century that is no
    // leap year.
    for (seconds, expected) in [
        (0, "D:19700101000000Z"),
        (951_782_400, "D:20000229000000Z"),
        (1_709_210_096, "D:20240229123456Z"),
        (1_798_697_228, "D:20261231060708Z"),
        (4_107_628_799, "D:21000301235959Z"),
    ] {
        assert_eq!(date(Some(seconds)).as_deref(), Some(expected));
    }
    assert_eq!(date(Some(u64::MAX)).as_deref(), Some("D:99991231235959Z"));
}

#[test]
fn the_svg_is_well_formed_in_millimetres_and_says_the_same_as_the_display_list() {
    for (name, request, design) in samples() {
        for page in sheets(&request, &design) {
            let text = svg::render(&page);
            let document = roxmltree::Document::parse(&text).unwrap();
            let root = document.root_element();
            assert_eq!(root.attribute("width"), Some(format!("{}mm", page.width).as_str()), "{name}");
            let view_box = format!("0 0 {} {}", page.width, page.height);
            assert_eq!(root.attribute("viewBox"), Some(view_box.as_str()));
            let written: Vec<String> = document
                .descendants()
                .filter(|node| node.has_tag_name("text"))
                // Of a figure with a fraction the pieces, with nothing between them.
                .map(|node| {
                    let pieces = node.descendants().filter(roxmltree::Node::is_text).filter_map(|node| node.text());
                    pieces.map(|text| text.trim_matches('\n')).collect::<String>().trim().to_owned()
                })
                .collect();
            let drawn = page.items().filter_map(|item| match item {
                Item::Text(text) => Some(text.text.trim().to_owned()),
                _ => None,
            });
            assert_eq!(written, drawn.collect::<Vec<String>>());
            assert!(!text.contains("NaN") && !text.contains("inf"), "{name}");
        }
    }
}

#[test]
fn the_same_design_gives_the_same_bytes() {
    let (request, design) = (request("Gull plaque", Paper::Letter), rails_on_base());
    let first = sheets(&request, &design);
    let second = sheets(&request, &design);
    assert_eq!(pdf::render(&first, &meta()).unwrap(), pdf::render(&second, &meta()).unwrap());
    let svgs = |pages: &[Page]| pages.iter().map(svg::render).collect::<Vec<_>>();
    assert_eq!(svgs(&first), svgs(&second));
}

#[test]
fn different_designs_get_different_file_ids() {
    let id = |design: Design| {
        let bytes = pdf::render(&sheets(&request("Gull plaque", Paper::Letter), &design), &meta()).unwrap();
        let document = lopdf::Document::load_mem(&bytes).unwrap();
        format!("{:?}", document.trailer.get(b"ID").unwrap())
    };
    assert_ne!(id(blind_pocket()), id(rails_on_base()));
}

/// Requests of the shipped examples and of plain size texts at the edges of what a machine takes.
fn real_requests() -> Vec<(String, sledwright::request::Request)> {
    let mut requests = support::examples();
    assert!(requests.len() >= 8, "{} examples", requests.len());
    for sizes in
        ["9 x 6 x 3/4", "2 x 2 x 1/2", "60 x 3 x 1/4", "14 x 12 x 1-1/2", "12-1/3 x 5-7/64 x .752", "3' x 4 x 1"]
    {
        let request = sledwright::request::from_sizes(sizes, sledwright::length::Unit::Inch);
        requests.push((sizes.to_owned(), request.unwrap_or_else(|report| panic!("{sizes}: {report:?}"))));
    }
    requests
}

#[test]
fn every_design_the_solver_finds_for_the_examples_makes_sound_sheets() {
    let mut count = 0;
    for (name, request) in real_requests() {
        for mut design in sledwright::solve::solve(&request).designs {
            sledwright::plan::check(&request, &mut design);
            for page in sheets(&request, &design).into_iter().chain(template(&request, &design)) {
                let found = overlaps(&page);
                assert!(found.is_empty(), "{name}, {}, {}: {found:#?}", design.construction, page.title);
                count += 1;
            }
        }
    }
    assert!(count > 100, "{count} sheets");
}
